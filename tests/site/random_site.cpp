#include "random_site.hpp"

#include <random>

#include "duskcast/site/finish.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast::test {
namespace {

class Maker {
public:
    explicit Maker(unsigned seed) : random_(seed) {}

    Site make();

private:
    double between(double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random_);
    }
    int whole(int low, int high) { return std::uniform_int_distribution<int>(low, high)(random_); }
    bool maybe() { return whole(0, 1) == 1; }
    /// One of an enumeration's first `count`.
    template <class Enum> Enum any(int count) { return static_cast<Enum>(whole(0, count - 1)); }
    template <class Make> auto sometimes(Make make) { return maybe() ? std::optional(make()) : std::nullopt; }
    std::string id(const char* stem, std::size_t index) { return stem + std::to_string(index); }

    Finish finish() {
        if (maybe())
            return make_finish(finish_table()[random_() % finish_table().size()].name);
        if (maybe())
            return {"", glm::dvec3(between(0, 1))};
        return {"", {between(0, 1), between(0, 1), between(0, 1)}};
    }
    Foliage foliage() {
        if (maybe())
            return {};
        const bool is_in_words = maybe();
        return {any<LeafKind>(14),
                is_in_words ? any<LeafDensity>(3) : LeafDensity::medium,
                is_in_words ? std::nullopt : std::optional(between(0.1, 2)),
                between(0.05, 0.2),
                between(-0.4, 0.6),
                between(0, 0.9),
                whole(-9, 9999),
                maybe(),
                maybe() ? 0.75 : between(0, 3)};
    }
    std::optional<Growth> growth() {
        if (maybe())
            return {};
        const auto within = [&](double low, double high) {
            return sometimes([&] { return between(low, high); });
        };
        return Growth{between(0, 1), between(0, 1), within(0, 0.02), within(30, 60), within(40, 60)};
    }
    std::vector<glm::dvec2> triangle(double x, double y) {
        return {{x, y}, {x + between(1, 3), y}, {x, y + between(1, 3)}};
    }
    std::vector<glm::dvec2> rectangle(double x, double y, double width, double depth) {
        return {{x, y}, {x + width, y}, {x + width, y + depth}, {x, y + depth}};
    }
    Glow glow() {
        Glow made{.cct = maybe() ? 2700 : between(1800, 6500)};
        (maybe() ? made.luminance : made.lumens) = between(1, 900);
        return made;
    }
    std::optional<Cladding> cladding() {
        return sometimes([&] { return any<Cladding>(9); });
    }
    std::optional<Finish> some_finish() {
        return sometimes([&] { return finish(); });
    }
    /// What is seen of an opening in pictures.
    void dress(Opening& opening) {
        opening.style = sometimes([&] { return any<OpeningStyle>(8); });
        opening.trim = some_finish();
        opening.glow = sometimes([&] { return glow(); });
        if (maybe()) // a dark room does not glow
            opening.room = opening.glow ? Room::curtains : any<Room>(3);
        opening.casing = maybe() ? 0 : between(0, 0.09);
        opening.shutter_finish = some_finish();
    }
    std::string words_for_plant();
    void vary_foliage(Foliage& foliage);
    void add_plants(Site& site);
    Wall wall(std::size_t index);
    void add_houses(Site& site);
    void add_steps(Site& site);
    void add_fountains(Site& site);
    void add_lanterns(Site& site);
    void add_lamps(Site& site);
    Photo photo(const Site& site);
    Variant variant(const Site& site);
    Fixture fixture(const Site& site, std::size_t index);
    Network network();

    std::mt19937 random_;
};

Wall Maker::wall(std::size_t index) {
    const double y = 30.0 * static_cast<double>(index);
    Wall wall;
    wall.id = id("wall", index);
    wall.path = {
        {between(0, 1), y}, {between(20, 21), y + between(0, 1)}, {between(20, 21), y + between(9, 10)}};
    wall.closed = maybe();
    wall.foot = maybe() ? between(index ? -1 : 0, 1) : 0; // fixtures stand at the first
    wall.height = between(3, 5);
    wall.finish = maybe() ? finish() : Finish{};
    wall.cladding = cladding();
    if (maybe())
        wall.gables.push_back({"g", between(0.1, 1), between(5, 6), between(6, 9), cladding()});
    if (maybe())
        wall.projections.push_back({.id = "p",
                                    .kind = any<ProjectionKind>(2),
                                    .from = between(8, 8.5),
                                    .width = between(3, 4),
                                    .depth = between(0.5, 1),
                                    .bottom = maybe() ? between(0.1, 0.5) : 0,
                                    .height = between(2.5, 3)});
    if (!wall.projections.empty() && maybe()) {
        Projection& projection = wall.projections[0];
        projection.finish = finish();
        projection.cladding = cladding();
        projection.openings.push_back({"pw", OpeningKind::window, between(1.1, 1.3), between(1, 1.1),
                                       between(0.6, 0.7), between(1, 1.2), between(0, 0.3), finish()});
        dress(projection.openings[0]);
    }
    if (maybe())
        wall.eave = Eave{between(0, 1), between(0.1, 0.3), between(0, 0.5), finish()};
    if (maybe()) {
        wall.openings.push_back({"w", any<OpeningKind>(2), between(14, 15), between(1, 2), between(0, 0.5),
                                 between(1, 2), between(0, 0.3), maybe() ? finish() : make_finish("glass")});
        dress(wall.openings[0]);
        wall.openings[0].shutters = sometimes([&] { return any<Shutters>(2); });
    }
    wall.corner_boards = maybe() ? 0 : between(0, 0.3);
    wall.frieze = maybe() ? 0 : between(0, 0.5);
    wall.trim = some_finish();
    if (maybe())
        wall.number = HouseNumber{.text = std::to_string(whole(1, 9999)),
                                  .along = between(11, 12),
                                  .up = between(1, 2),
                                  .height = maybe() ? 5 * metres_per_inch : between(0.05, 0.3),
                                  .finish = maybe() ? make_finish("slate dark") : finish()};
    return wall;
}

/// Roofs over a house, over a wall of one segment, and over no wall.
void Maker::add_houses(Site& site) {
    Wall house{.id = "house", .path = rectangle(100, -60, between(10, 14), between(8, 9)), .closed = true};
    house.height = between(3, 6);
    house.eave = sometimes([&] { return Eave{between(0, 1), between(0.1, 0.3), between(0, 0.5), finish()}; });
    Wall shed{.id = "shed", .path = {{100, 60}, {between(106, 110), between(58, 62)}}};
    shed.height = between(2, 3);
    site.walls.push_back(house);
    site.walls.push_back(shed);

    const auto roof = [&](const char* name) {
        return Roof{.id = name,
                    .form = any<RoofForm>(3),
                    .ridge = any<RidgeRun>(2),
                    .rise_in_12 = maybe() ? 6 : between(1, 14),
                    .overhang = maybe() ? 0.3 : between(0, 1),
                    .thickness = maybe() ? 0.15 : between(0.05, 0.4),
                    .cover = any<RoofCover>(4),
                    .finish = some_finish(),
                    .gable_finish = some_finish(),
                    .trim = maybe() ? make_finish("paint white old") : finish(),
                    .has_gutters = maybe()};
    };
    Roof over_house = roof("house-roof"), over_shed = roof("shed-roof"), porch = roof("porch-roof");
    over_house.wall = "house";
    over_house.height = sometimes([&] { return between(3, 7); });
    for (std::size_t i = 0; i < 2; ++i)
        over_house.chimneys.push_back({.id = id("chimney", i),
                                       .at = {between(101, 109), between(-59, -53)},
                                       .width = maybe() ? 0.8 : between(0.4, 1),
                                       .depth = maybe() ? 0.6 : between(0.4, 1),
                                       .height = sometimes([&] { return between(8, 20); }),
                                       .finish = maybe() ? make_finish("brick red common") : finish()});
    if (over_house.form != RoofForm::shed && over_house.ridge == RidgeRun::along &&
        over_house.rise_in_12 > 4) {
        Dormer dormer{.id = "dormer",
                      .form = any<DormerForm>(2),
                      .side = maybe() ? 1 : 3,
                      .from = between(4, 4.5),
                      .width = between(1, 1.4),
                      .back = maybe() ? 0.6 : between(0.3, 0.8),
                      .height = maybe() ? 0.6 : between(0.3, 0.5),
                      .overhang = maybe() ? 0.15 : between(0, 0.3),
                      .finish = some_finish(),
                      .cladding = cladding()};
        dormer.rise_in_12 = sometimes([&] { return between(0.5, 1); });
        if (maybe()) {
            dormer.window = Opening{.id = "pane",
                                    .from = 0.1,
                                    .width = between(0.3, 0.7),
                                    .sill = between(0.12, 0.14),
                                    .height = between(0.1, 0.12),
                                    .reveal = between(0.01, 0.09),
                                    .finish = finish()};
            dress(*dormer.window);
        }
        over_house.dormers.push_back(dormer);
    }
    over_shed.wall = "shed";
    over_shed.depth = between(3, 8);
    porch.outline = rectangle(100, -70, between(2, 4), between(2, 3));
    porch.height = between(2.4, 3);
    porch.columns = sometimes([&] {
        return Columns{.count = whole(1, 6),
                       .form = any<ColumnForm>(2),
                       .diameter = maybe() ? 0.2 : between(0.1, 0.4),
                       .top_diameter = sometimes([&] { return between(0.1, 0.3); }),
                       .foot = maybe() ? 0 : between(-0.2, 1),
                       .finish = maybe() ? make_finish("paint white old") : finish()};
    });
    site.roofs = {over_house, over_shed, porch};
}

void Maker::add_steps(Site& site) {
    Steps steps{.id = "steps",
                .width = maybe() ? 1.2 : between(0.5, 3),
                .foot = maybe() ? 0 : between(-0.2, 1),
                .height = between(0.1, 3),
                .riser = maybe() ? 7 * metres_per_inch : between(0.1, 0.3),
                .tread = maybe() ? 11 * metres_per_inch : between(0.2, 0.5),
                .landing = sometimes([&] { return between(0.5, 2); }),
                .railing = sometimes([&] { return any<RailingSides>(3); }),
                .railing_form = any<RailingForm>(2),
                .railing_height = maybe() ? 36 * metres_per_inch : between(0.7, 1.2),
                .finish = maybe() ? make_finish("concrete") : finish(),
                .railing_finish = maybe() ? make_finish("paint white old") : finish()};
    if (maybe()) {
        steps.wall = "house";
        steps.along = between(2, 8);
        steps.setback = maybe() ? 0 : between(0, 2);
    } else {
        steps.at = glm::dvec2(between(130, 140), between(-9, 9));
        steps.facing = maybe() ? 0 : between(-6, 6);
    }
    site.steps = {steps};
    site.railings = {{.id = "railing",
                      .path = {{120, -9}, {between(122, 124), -9}, {124, between(-6, -2)}},
                      .foot = maybe() ? 0 : between(-1, 1),
                      .end_foot = sometimes([&] { return between(-1, 1); }),
                      .height = maybe() ? 36 * metres_per_inch : between(0.5, 1.2),
                      .post_spacing = maybe() ? 1.8 : between(0.5, 4),
                      .form = any<RailingForm>(2),
                      .finish = maybe() ? make_finish("paint white old") : finish()}};
}

void Maker::add_fountains(Site& site) {
    Fountain fountain{.id = "fountain",
                      .at = {between(150, 160), between(-9, 9)},
                      .foot = sometimes([&] { return between(-0.2, 1); }),
                      .width = maybe() ? 6 * metres_per_foot : between(0.5, 5),
                      .rim = maybe() ? 16 * metres_per_inch : between(0.1, 0.8),
                      .bowls = maybe() ? 1 : whole(0, 3),
                      .jet = maybe() ? 0 : between(0.1, 2),
                      .finish = maybe() ? make_finish("limestone pale") : finish(),
                      .glow = sometimes([&] { return glow(); })};
    if (fountain.bowls > 0)
        fountain.height = sometimes([&] { return between(1.5, 4); });
    site.fountains = {fountain};
}

void Maker::add_lanterns(Site& site) {
    for (std::size_t i = 0; i < 2; ++i) {
        Lantern lantern{.id = id("lantern", i), .form = any<LanternForm>(3), .width = between(0.1, 0.2)};
        lantern.height = sometimes([&] { return between(0.1, 0.4); });
        lantern.depth = sometimes([&] { return between(0.05, 0.2); });
        lantern.turn = maybe() ? between(-6, 6) : 0;
        lantern.finish = maybe() ? make_finish("glass") : finish();
        lantern.glow = glow();
        lantern.is_hooded = lantern.form != LanternForm::sphere && maybe();
        if (maybe()) {
            lantern.wall = "wall0";
            lantern.along = between(1, 7);
            lantern.up = between(1, 2);
            lantern.setback = sometimes([&] { return between(0.2, 0.5); });
        } else {
            lantern.at = glm::dvec3(between(-60, -50), between(-9, 9), between(1, 3));
            lantern.pole = sometimes([&] {
                return Pole{.foot = maybe() ? 0 : between(-0.5, 0.5),
                            .diameter = maybe() ? 0.1 : between(0.05, 0.2),
                            .arm = between(0.5, 2),
                            .arm_azimuth = maybe() ? 0 : between(-6, 6),
                            .finish = maybe() ? make_finish("slate dark") : finish()};
            });
            if (lantern.pole && maybe() && !lantern.is_hooded)
                lantern.pole->arm = 0;
        }
        site.lanterns.push_back(lantern);
    }
}

/// A kind with what may be said of each.
std::string Maker::words_for_plant() {
    const auto& kinds = plant_kinds();
    const PlantKind& kind = kinds[random_() % kinds.size()];
    std::string words(kind.name);
    const char* const colours[] = {"purple", "dark green", "golden", "silver"};
    const char* const states[] = {"autumn", "bare", "summer", "spring"};
    if (maybe())
        words += std::string(", ") + colours[whole(0, 3)];
    if (maybe())
        words += std::string(", ") + states[whole(0, 3)];
    if (maybe())
        words += whole(0, 1) ? ", dense" : ", light";
    if (maybe())
        words += ", " + std::to_string(whole(8, 11)) + " ft 3 in";
    if (maybe())
        words += ", " + std::to_string(whole(2, 4)) + " m wide";
    return words;
}

/// What the file itself may say against a plant's words.
void Maker::vary_foliage(Foliage& foliage) {
    foliage.leaf = maybe() ? any<LeafKind>(14) : foliage.leaf;
    if (maybe())
        foliage.leaf_area_density = between(0.1, 2); // then no word that differs
    else if (maybe())
        foliage.density = any<LeafDensity>(3);
    foliage.leaf_size = maybe() ? between(0.2, 0.4) : foliage.leaf_size;
    foliage.clumping = maybe() ? between(0, 0.9) : foliage.clumping;
    foliage.seed = maybe() ? whole(1, 99) : foliage.seed;
    foliage.is_deciduous = maybe() ? !foliage.is_deciduous : foliage.is_deciduous;
    foliage.twig_area_index = maybe() ? between(0, 3) : foliage.twig_area_index;
}

void Maker::add_plants(Site& site) {
    for (std::size_t i = 0; i < 2; ++i)
        site.trees.push_back({id("tree", i),
                              {between(60, 80), between(-9, 9)},
                              maybe() ? between(i ? -1 : 0, 1) : 0,
                              any<CrownForm>(7),
                              between(6, 9),
                              between(0, 3),
                              between(3, 6),
                              maybe() ? between(0.1, 0.4) : 0,
                              foliage(),
                              growth()});
    const std::string words = words_for_plant();
    Tree named = make_usual_tree(words, sometimes([&] { return between(4, 12); }));
    named.id = "named";
    named.at = {between(60, 80), between(30, 40)};
    named.form = maybe() ? any<CrownForm>(7) : named.form;
    named.base = maybe() ? between(0, 0.4) * named.height : named.base;
    named.width = maybe() ? between(2, 6) : named.width;
    named.trunk_diameter = maybe() ? between(0.1, 0.4) : named.trunk_diameter;
    vary_foliage(named.foliage);
    named.growth = growth();
    site.trees.push_back(named);

    site.shrubs.push_back(
        {"bed", triangle(40, 0), {}, 0, maybe() ? between(-1, 1) : 0, between(0.5, 2), foliage()});
    site.shrubs.push_back(
        {"hedge", {}, {{40, 9}, {between(45, 50), 9}}, between(0.3, 1), 0, between(1, 2), foliage()});
    Shrub border = make_usual_shrub(words_for_plant(), sometimes([&] { return between(0.5, 2); }));
    border.id = "border";
    border.outline = triangle(40, 20);
    vary_foliage(border.foliage);
    site.shrubs.push_back(border);
}

Fixture Maker::fixture(const Site& site, std::size_t index) {
    Fixture fixture;
    const FixtureModel* model = nullptr;
    if (!site.catalogue.fixtures.empty() && maybe())
        model = &site.catalogue.fixtures[random_() % 2];
    if (model)
        fixture = model->usual;
    fixture.id = id("fixture", index);
    fixture.model = model ? model->id : "";
    fixture.kind = model ? fixture.kind : any<FixtureKind>(6);
    fixture.lamp = !model ? site.lamps[random_() % 3].id : model->lamps.empty() ? "mr-36" : model->lamps[0];
    switch (whole(0, 2)) {
    case 0:
        fixture.wall = site.walls[0].id;
        fixture.along = between(16, 18);
        break;
    case 1:
        fixture.tree = site.trees[0].id;
        fixture.bearing = maybe() ? radians_from_degrees(between(-360, 360)) : 0;
        break;
    default:
        fixture.at = glm::dvec2(between(-90, -80), between(-9, 9));
    }
    if (!fixture.at && maybe())
        fixture.setback = between(0.2, 2);
    fixture.lens_height = maybe() ? between(0, 0.5) : 0.15;
    if (maybe())
        fixture.lens_diameter = between(0.01, 0.1);
    fixture.shroud_length = maybe() ? between(0, 0.1) : fixture.shroud_length;
    fixture.hood_length = maybe() ? between(0, 0.1) : fixture.hood_length;
    if (maybe())
        fixture.rim = {between(0.1, 0.3), between(0, 0.1)};
    if (maybe())
        fixture.louvre = {between(0.005, 0.02), between(0, 0.02)};
    if (model)
        fixture.tilt = between(model->least_tilt, model->greatest_tilt);
    else
        fixture.tilt = maybe() ? radians_from_degrees(180) : between(0, 3.1);
    fixture.finish = maybe() ? any<BodyFinish>(4) : fixture.finish;
    if (maybe())
        fixture.azimuth = between(-6, 6);
    else
        fixture.turn = between(-6, 6);
    fixture.spin = maybe() ? between(-6, 6) : 0;
    fixture.mount = any<Mount>(4);
    fixture.light_loss_factor = maybe() ? between(0, 1) : 1;
    fixture.dimming = maybe() ? between(0, 1) : 1;
    return fixture;
}

Network Maker::network() {
    Network network;
    network.transformers.push_back({.id = "t",
                                    .at = {between(-9, 9), between(-90, -80)},
                                    .rating = between(100, 900),
                                    .taps = {between(11, 12), between(13, 14)},
                                    .secondaries = whole(1, 3)});
    Transformer& transformer = network.transformers[0];
    if (maybe())
        transformer.tap = transformer.taps[1];
    transformer.secondary_limit = maybe() ? 25 : between(10, 30);
    network.hubs.push_back({"h", {between(-9, 9), between(-70, -60)}});
    for (std::size_t i = 0; i < 2; ++i) {
        CableRun run{.id = id("run", i), .fixtures = {id("fixture", 2 * i), id("fixture", 2 * i + 1)}};
        run.transformer = maybe() ? "t" : "";
        if (maybe())
            run.tap = transformer.taps[0];
        run.secondary = maybe() ? transformer.secondaries : 1;
        run.gauge = cable_gauges[random_() % cable_gauges.size()];
        run.layout = any<RunLayout>(4);
        if (run.layout == RunLayout::hub) {
            run.hub = "h";
            if (maybe())
                run.path = {{between(-9, 9), -79}, {between(-9, 9), -72}};
        } else if (maybe()) {
            run.follow = "wall0";
        }
        if (run.layout == RunLayout::centre_fed && maybe())
            run.home = {{between(-9, 9), -79}, {between(-9, 9), -72}};
        run.slack = maybe() ? between(0, 0.3) : 0.1;
        run.lead = maybe() ? between(0, 3) : 2 * metres_per_foot;
        run.lead_gauge = maybe() ? 16 : 18;
        run.is_sleeved = maybe();
        network.runs.push_back(run);
    }
    return network;
}

void Maker::add_lamps(Site& site) {
    Lamp flood{.id = "flood", .name = maybe() ? "a flood" : "", .watts = between(1, 20)};
    if (maybe())
        flood.volt_amperes = between(20, 30);
    else if (maybe())
        flood.power_factor = between(0.5, 1);
    flood.cct = between(2000, 5000);
    flood.socket = maybe() ? "GU5.3" : "";
    flood.is_regulated = maybe();
    if (maybe())
        flood.tolerance = between(0.5, 1);
    if (maybe())
        flood.depreciation = between(0.5, 1);
    if (maybe())
        flood.price = between(0, 99);
    flood.draw = any<Draw>(4);
    flood.rated_volts = maybe() ? between(11, 13) : 12;
    if (maybe())
        flood.measured_watts = between(1, 20);
    if (maybe())
        flood.operating_volts = {between(9, 10), between(12, 15)};
    if (maybe())
        flood.max_volts = between(16, 20);
    flood.figures.beam_angle = between(0.2, 1.2);
    if (maybe())
        flood.figures.centre_candela = between(10, 9000);
    else
        flood.figures.lumens = between(10, 900);
    flood.figures.profile = any<Profile>(2);
    const bool is_shaped = whole(0, 19) == 0; // ovals and leaning beams take long to make
    if (is_shaped && maybe())
        flood.figures.beam_angle_across = between(0.2, 1.2);
    if (flood.figures.beam_angle_across && maybe()) {
        flood.figures.field_angle = flood.figures.beam_angle * between(1.3, 1.8);
        flood.figures.field_angle_across = *flood.figures.beam_angle_across * between(1.3, 1.8);
    }
    if (is_shaped && maybe())
        flood.figures.peak_angle = between(0.1, 0.6);
    site.lamps = {flood,
                  {.id = "spot", .file = "files/narrow.ies", .watts = maybe() ? between(1, 9) : 0},
                  {.id = "halo", .file = "files/narrow.ies", .watts = 2}};
    if (is_shaped)
        site.lamps[2] = {
            .id = "halo",
            .figures = {.lumens = 90, .beam_angle = between(0.3, 0.8), .ring_angle = between(0.9, 1.1)},
            .watts = 2};
}

Photo Maker::photo(const Site& site) {
    Photo made{.id = "phone", .file = "files/phone.jpg", .cropped = maybe()};
    made.focal_35mm = sometimes([&] { return between(20, 80); });
    made.eye_height = sometimes([&] { return between(1, 2); });
    PhotoMark on_wall{.id = "on-wall", .pixel = {between(0, 4000), between(0, 3000)}};
    on_wall.wall = site.walls[0].id;
    on_wall.along = between(1, 20);
    on_wall.up = between(0, 3);
    PhotoMark on_ground{.id = "on-ground", .pixel = {between(0, 4000), between(0, 3000)}};
    on_ground.at = glm::dvec3(between(-9, 9), between(-30, -20), maybe() ? 0 : between(0, 1));
    made.marks = {on_wall, on_ground};
    PhotoLength door{
        .id = "door", .wall = site.walls[0].id, .along = between(1, 20), .length = between(1, 3)};
    door.from = {between(0, 4000), between(0, 1000)};
    door.to = {between(0, 4000), between(1100, 3000)};
    made.lengths = {door};
    if (maybe())
        made.lengths.push_back({.id = "slab", .from = {5, 6}, .to = {between(20, 4000), 7}, .length = 1.2});
    made.white = sometimes([&] {
        return PhotoWhite{{between(0, 4000), between(0, 3000)}, maybe() ? 0.75 : between(0.1, 1)};
    });
    made.taken = any<Daylight>(3);
    if (made.taken == Daylight::sun)
        made.sun = PhotoSun{between(-3, 3), between(0.1, 1.5)};
    for (int i = whole(0, 2); i > 0; --i) {
        PhotoMask mask{.kind = any<MaskKind>(3)};
        if (mask.kind == MaskKind::plant)
            mask.plant = maybe() ? site.trees[0].id : site.shrubs[1].id;
        for (int j = 2 * whole(3, 5); j > 0; --j)
            mask.outline.push_back(between(-100, 4000));
        made.masks.push_back(mask);
    }
    return made;
}

Variant Maker::variant(const Site& site) {
    Fixture added = fixture(site, 99);
    added.at = glm::dvec2(-85, between(-9, 9));
    added.wall = added.tree = "";
    added.along = added.bearing = 0;
    added.setback.reset();
    Variant made{.id = "more", .name = maybe() ? "one more" : "", .added = {added}};
    if (added.model.empty()) {
        std::vector<Setting> settings{{Knob::lamp, 0, "flood"}};
        if (whole(0, 9) == 0) // another lamp to be made
            settings.push_back({Knob::beam, between(0.3, 1), ""});
        settings.push_back({Knob::tilt, between(0, 3), ""});
        settings.push_back({maybe() ? Knob::azimuth : Knob::turn, between(-6, 6), ""});
        settings.push_back({Knob::lens_height, between(0.1, 0.5), ""});
        made.changes = {{{added.id}, settings}};
    }
    made.changes.push_back({{}, {{Knob::dimming, between(0, 1), ""}}});
    for (const Fixture& present : site.fixtures) {
        if (!present.wall.empty())
            made.changes.push_back(
                {{present.id}, {{Knob::setback, between(0.5, 2), ""}, {Knob::along, between(16, 18), ""}}});
        else if (!present.tree.empty())
            made.changes.push_back(
                {{present.id}, {{Knob::setback, between(0.5, 2), ""}, {Knob::bearing, between(-6, 6), ""}}});
        else if (maybe())
            made.without.push_back(present.id);
    }
    std::vector<std::string> row;
    for (const Fixture& present : site.fixtures)
        if (!present.wall.empty())
            row.push_back(present.id);
    if (row.size() >= 2)
        made.changes.push_back({row, {{Knob::spacing, between(0.3, 0.5), ""}}});
    made.plants = sometimes([&] { return SeasonChoice{any<Season>(2), maybe() ? between(0, 1) : 0}; });
    return made;
}

Site Maker::make() {
    Site site;
    site.name = maybe() ? "a \"quoted\" \\ name, Jard\xC3\xADn\t\x01" : "";
    site.units = maybe() ? LengthUnit::foot : LengthUnit::metre;
    site.light = maybe() ? LightUnit::footcandle : LightUnit::lux;
    for (int i = whole(0, 4); i > 0; --i)
        site.levels.push_back(between(0.1, 100));
    site.sensor_spacing = between(0.1, 0.5);
    site.ground_spacing = between(0.3, 0.5);
    site.leaf_sensors = whole(0, 4000);
    site.ambient = maybe() ? between(0, 5) : 0;
    site.is_as_new = maybe();
    site.sky = any<NightSky>(3);
    site.schema = maybe() ? "site.schema.json" : "";
    if (whole(0, 19) == 0) { // its lamps take long to make
        static const Site full = read_site_file(random_site_folder / "full.site.json").site;
        site.catalogue_file = full.catalogue_file;
        site.catalogue = full.catalogue;
    }
    site.ground.base = any<GroundKind>(5);
    site.ground.margin = maybe() ? between(0, 9) : 6;
    for (std::size_t i = 0; i < 2; ++i)
        site.ground.areas.push_back({.id = id("area", i),
                                     .kind = any<GroundKind>(5),
                                     .outline = triangle(between(-50, 50), between(-50, 50)),
                                     .finish = some_finish(),
                                     .glow = sometimes([&] { return glow(); })});
    GroundArea terrace{.id = "terrace",
                       .kind = any<GroundKind>(5),
                       .outline = triangle(between(-120, -110), between(-9, 9)),
                       .height = between(0.1, 2),
                       .retaining = sometimes([&] {
                           return RetainingWall{maybe() ? make_finish("sandstone") : finish(), cladding()};
                       }),
                       .finish = some_finish(),
                       .glow = sometimes([&] { return glow(); })};
    if (terrace.kind != GroundKind::water)
        terrace.fall = sometimes([&] {
            return GroundFall{maybe() ? 0 : *terrace.height - between(0.01, 0.1), between(-6, 6)};
        });
    if (terrace.fall && terrace.fall->to == 0)
        terrace.height = between(0.1, 0.3); // no steeper than the check allows
    site.ground.areas.push_back(terrace);
    for (std::size_t i = 0; i < 2; ++i)
        site.walls.push_back(wall(i));
    add_houses(site);
    add_steps(site);
    add_plants(site);
    add_lanterns(site);
    site.meshes.push_back({"stone",
                           "files/stone.obj",
                           maybe() ? 1 : between(0.01, 9),
                           any<UpAxis>(2),
                           {between(-9, 9), between(-9, 9), between(-1, 1)},
                           maybe() ? between(-6, 6) : 0,
                           maybe() ? finish() : Finish{}});
    add_lamps(site);
    for (std::size_t i = 0; i < 4; ++i)
        site.fixtures.push_back(fixture(site, i));
    if (maybe())
        site.network = network();
    site.targets.push_back({"front", site.walls[0].id, site.walls[0].gables.empty() ? "" : "g",
                            std::array{between(0, 1), between(2, 3)},
                            std::array{between(0, 1), between(2, 3)}, between(1, 99), between(0, 1)});
    site.targets.push_back({"crown", "tree0", "", {}, {}, lux_per_footcandle, 0.8});
    site.targets.push_back({"part", "stone.top", "", {}, std::array{between(0, 1), between(2, 3)}, 5, 0.5});
    site.views.push_back({"street",
                          {between(-9, 9), between(-60, -40), between(1, 2)},
                          {0, 0, between(0, 5)},
                          radians_from_degrees(between(1, 170))});
    site.photos.push_back(photo(site));
    if (maybe())
        site.zone = any<Zone>(5);
    for (std::size_t i = 0; i < 2; ++i) {
        site.watch_points.push_back({id("watch", i),
                                     any<WatchKind>(2),
                                     {between(-90, -80), between(-9, 9), between(0, 9)},
                                     maybe() ? std::optional(between(-6, 6)) : std::nullopt});
        site.eyes.push_back(
            {id("eye", i),
             {between(-9, 9), between(-60, -40), between(1, 2)},
             maybe() ? std::optional(glm::dvec3{between(-9, 9), 0, between(0, 5)}) : std::nullopt});
    }
    site.variants.push_back(variant(site));
    add_fountains(site);
    return site;
}

} // namespace

Site make_random_site(unsigned seed) {
    return Maker(seed).make();
}

} // namespace duskcast::test
