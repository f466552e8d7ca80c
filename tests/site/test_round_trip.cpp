// What is printed reads back as the same site, to the last bit.

#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <iterator>
#include <random>
#include <string>

#include "duskcast/site/finish.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

const std::filesystem::path folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";

/// Random sites that pass every check, with figures that no short decimal hits.
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
    std::string id(const char* stem, std::size_t index) { return stem + std::to_string(index); }

    Finish finish() {
        if (maybe())
            return make_finish(finish_table()[static_cast<std::size_t>(whole(0, 30))].name);
        if (maybe())
            return {"", glm::dvec3(between(0, 1))};
        return {"", {between(0, 1), between(0, 1), between(0, 1)}};
    }
    Foliage foliage() {
        if (maybe())
            return {};
        const bool is_in_words = maybe();
        return {leaf_colours()[static_cast<std::size_t>(whole(0, 3))].kind,
                is_in_words ? static_cast<LeafDensity>(whole(0, 2)) : LeafDensity::medium,
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
        const auto sometimes = [&](double low, double high) {
            return maybe() ? std::optional(between(low, high)) : std::nullopt;
        };
        return Growth{between(0, 1), between(0, 1), sometimes(0, 0.02), sometimes(10, 30), sometimes(7, 20)};
    }
    std::vector<glm::dvec2> triangle(double x, double y) {
        return {{x, y}, {x + between(1, 3), y}, {x, y + between(1, 3)}};
    }
    Wall wall(std::size_t index);
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
    if (maybe())
        wall.gables.push_back({"g", between(0.1, 1), between(5, 6), between(6, 9)});
    if (maybe())
        wall.projections.push_back({"p",
                                    maybe() ? ProjectionKind::bay : ProjectionKind::chimney,
                                    between(8, 8.5),
                                    between(3, 4),
                                    between(0.5, 1),
                                    maybe() ? between(0.1, 0.5) : 0,
                                    between(2.5, 3),
                                    {},
                                    {}});
    if (!wall.projections.empty() && maybe()) {
        wall.projections[0].finish = finish();
        wall.projections[0].openings.push_back({"pw", OpeningKind::window, between(1.1, 1.3), between(1, 1.1),
                                                between(0.6, 0.7), between(1, 1.2), between(0, 0.3),
                                                finish()});
    }
    if (maybe())
        wall.eave = Eave{between(0, 1), between(0.1, 0.3), between(0, 0.5), finish()};
    if (maybe())
        wall.openings.push_back({"w", maybe() ? OpeningKind::window : OpeningKind::door, between(14, 15),
                                 between(1, 2), between(0, 0.5), between(1, 2), between(0, 0.3),
                                 make_finish("glass")});
    return wall;
}

Fixture Maker::fixture(const Site& site, std::size_t index) {
    Fixture fixture;
    fixture.id = id("fixture", index);
    fixture.kind = static_cast<FixtureKind>(whole(0, 5));
    fixture.lamp = site.lamps[static_cast<std::size_t>(whole(0, 2))].id;
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
    fixture.shroud_length = maybe() ? between(0, 0.1) : 0;
    fixture.hood_length = maybe() ? between(0, 0.1) : 0;
    if (maybe())
        fixture.rim = {between(0.1, 0.3), between(0, 0.1)};
    if (maybe())
        fixture.louvre = {between(0.005, 0.02), between(0, 0.02)};
    fixture.tilt = maybe() ? radians_from_degrees(180) : between(0, 3.1);
    if (maybe())
        fixture.azimuth = between(-6, 6);
    else
        fixture.turn = between(-6, 6);
    fixture.spin = maybe() ? between(-6, 6) : 0;
    fixture.mount = static_cast<Mount>(whole(0, 3));
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
        run.gauge = cable_gauges[static_cast<std::size_t>(whole(0, 5))];
        run.layout = static_cast<RunLayout>(whole(0, 3));
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
        network.runs.push_back(run);
    }
    return network;
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
    site.ground.base = static_cast<GroundKind>(whole(0, 4));
    site.ground.margin = maybe() ? between(0, 9) : 6;
    for (std::size_t i = 0; i < 2; ++i)
        site.ground.areas.push_back({id("area", i), static_cast<GroundKind>(whole(0, 4)),
                                     triangle(between(-50, 50), between(-50, 50)),
                                     maybe() ? std::optional(finish()) : std::nullopt});
    for (std::size_t i = 0; i < 2; ++i)
        site.walls.push_back(wall(i));
    for (std::size_t i = 0; i < 2; ++i)
        site.trees.push_back({id("tree", i),
                              {between(60, 80), between(-9, 9)},
                              maybe() ? between(i ? -1 : 0, 1) : 0,
                              static_cast<CrownForm>(whole(0, 6)),
                              between(6, 9),
                              between(0, 3),
                              between(3, 6),
                              maybe() ? between(0.1, 0.4) : 0,
                              foliage(),
                              growth()});
    site.shrubs.push_back(
        {"bed", triangle(40, 0), {}, 0, maybe() ? between(-1, 1) : 0, between(0.5, 2), foliage()});
    site.shrubs.push_back(
        {"hedge", {}, {{40, 9}, {between(45, 50), 9}}, between(0.3, 1), 0, between(1, 2), foliage()});
    site.meshes.push_back({"stone",
                           "files/stone.obj",
                           maybe() ? 1 : between(0.01, 9),
                           static_cast<UpAxis>(whole(0, 1)),
                           {between(-9, 9), between(-9, 9), between(-1, 1)},
                           maybe() ? between(-6, 6) : 0,
                           maybe() ? finish() : Finish{}});
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
    flood.draw = static_cast<Draw>(whole(0, 3));
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
    flood.figures.profile = static_cast<Profile>(whole(0, 1));
    if (maybe())
        flood.figures.beam_angle_across = between(0.2, 1.2);
    if (maybe())
        flood.figures.peak_angle = between(0.1, 0.6);
    site.lamps = {
        flood,
        {.id = "spot", .file = "files/narrow.ies", .watts = maybe() ? between(1, 9) : 0},
        {.id = "halo",
         .figures = {.lumens = 90, .beam_angle = between(0.3, 0.8), .ring_angle = between(0.9, 1.1)},
         .watts = 2}};
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
    if (maybe())
        site.zone = static_cast<Zone>(whole(0, 4));
    for (std::size_t i = 0; i < 2; ++i) {
        site.watch_points.push_back({id("watch", i),
                                     static_cast<WatchKind>(whole(0, 1)),
                                     {between(-90, -80), between(-9, 9), between(0, 9)},
                                     maybe() ? std::optional(between(-6, 6)) : std::nullopt});
        site.eyes.push_back(
            {id("eye", i),
             {between(-9, 9), between(-60, -40), between(1, 2)},
             maybe() ? std::optional(glm::dvec3{between(-9, 9), 0, between(0, 5)}) : std::nullopt});
    }
    Fixture added = fixture(site, 99);
    added.at = glm::dvec2(-85, between(-9, 9));
    added.wall = added.tree = "";
    added.along = added.bearing = 0;
    added.setback.reset();
    Variant more{.id = "more", .name = maybe() ? "one more" : "", .added = {added}};
    more.changes = {{{added.id}, {{Knob::lamp, 0, "flood"}, {Knob::tilt, between(0, 3), ""}}},
                    {{}, {{Knob::dimming, between(0, 1), ""}}}};
    if (maybe())
        more.plants = SeasonChoice{static_cast<Season>(whole(0, 1)), maybe() ? between(0, 1) : 0};
    site.variants.push_back(more);
    return site;
}

std::string message_of(const std::string& text) {
    try {
        read_site(text, folder / "case.site.json");
    } catch (const InputError& error) {
        return error.what();
    }
    return "";
}

} // namespace

TEST_CASE("a site with every key reads back equal, and its text prints the same again") {
    const SiteFile read = read_site_file(folder / "full.site.json");
    const std::string text = print_site(read.site);
    const SiteFile again = read_site(text, folder / "full.site.json");
    CHECK(again.site == read.site);
    CHECK(print_site(again.site) == text);
    CHECK(again.warnings.size() == read.warnings.size());
}

TEST_CASE("what the full example says arrives in SI") {
    const Site site = read_site_file(folder / "full.site.json").site;
    CHECK(site.schema == "../../src/site/site.schema.json");
    // 1 ft = 0.3048 m, 1 in = 0.0254 m (NIST SP 811 appendix B); 1 fc = 10.763910 lx.
    CHECK(site.levels[0] == doctest::Approx(0.25 * 10.763910).epsilon(1e-7));
    CHECK(site.levels[1] == 10);
    CHECK(site.ambient == 0.1);
    CHECK(site.sensor_spacing == doctest::Approx(8 * 0.0254));
    CHECK(site.ground_spacing == doctest::Approx(0.45));
    CHECK(site.walls[0].gables[0].peak == doctest::Approx(24 * 0.3048));
    CHECK(site.walls[0].openings[1].height == doctest::Approx(80 * 0.0254));
    CHECK(site.walls[0].projections[0].openings[0].finish == make_finish("glass"));
    CHECK(site.trees[0].form == CrownForm::vase);
    CHECK(site.shrubs[1].foliage == Foliage{.density = LeafDensity::dense});
    CHECK(site.trees[0].foliage.is_deciduous);
    CHECK(!site.shrubs[0].foliage.is_deciduous);
    CHECK(site.trees[0].growth->height == doctest::Approx(0.3048));
    CHECK(*site.trees[0].growth->trunk_diameter == doctest::Approx(0.25 * 0.0254));
    CHECK(*site.trees[0].growth->mature_width == doctest::Approx(30 * 0.3048));
    CHECK(site.meshes[0].scale == doctest::Approx(0.3048));
    CHECK(site.meshes[0].turn == doctest::Approx(0.52359877559829887));               // pi / 6
    CHECK(*site.lamps[0].figures.field_angle == doctest::Approx(1.0471975511965976)); // pi / 3
    CHECK(site.targets[1].level == doctest::Approx(10.763910).epsilon(1e-7));
    CHECK(site.zone == Zone::e2);
    REQUIRE(site.watch_points.size() == 2);
    CHECK(site.watch_points[0].at.z == doctest::Approx(16 * 0.3048));
    CHECK(*site.watch_points[0].facing == doctest::Approx(4.71238898038469)); // 3 pi / 2
    CHECK(site.watch_points[1].kind == WatchKind::boundary);
    CHECK(!site.watch_points[1].facing);
    CHECK(site.eyes.at(0).look_at->x == doctest::Approx(60 * 0.3048));
    REQUIRE(site.variants.size() == 2);
    CHECK(site.variants[0].plants == SeasonChoice{Season::bare, 10});
    CHECK(site.variants[1].changes[0].settings == std::vector<Setting>{{Knob::spacing, 4 * 0.3048, ""}});
    CHECK(site.variants[1].changes[2].settings[0].value == doctest::Approx(0.69813170079773)); // 2 pi / 9
    // Defaults by kind.
    CHECK(site.fixtures[1].lens_height == 0);
    CHECK(site.fixtures[1].mount == Mount::surface);
    CHECK(site.fixtures[2].mount == Mount::tree);
    CHECK(site.fixtures[3].lens_height == 0.45);
    CHECK(site.fixtures[3].tilt == doctest::Approx(3.14159265358979));
}

TEST_CASE("100 random sites read back equal") {
    for (unsigned seed = 1; seed <= 100; ++seed) {
        CAPTURE(seed);
        const Site site = Maker(seed).make();
        const std::string text = print_site(site);
        const std::string message = message_of(text);
        CHECK(message == "");
        if (message.empty()) {
            const Site again = read_site(text, folder / "case.site.json").site;
            CHECK(again == site);
            CHECK(print_site(again) == text);
        }
    }
}

TEST_CASE("print_site writes what a person would, and leaves defaults out") {
    Site site;
    site.name = "porch";
    site.levels = {0.5 * lux_per_footcandle, 1 * lux_per_footcandle, 2 * lux_per_footcandle,
                   5 * lux_per_footcandle};
    Fixture fixture;
    fixture.id = "up1";
    fixture.lamp = "spot";
    fixture.wall = "front";
    fixture.along = 6 * 0.3048;
    fixture.setback = read_length("15 in");
    fixture.lens_height = read_length("5 in");
    fixture.tilt = radians_from_degrees(7.5);
    site.fixtures = {fixture};
    CHECK(print_site(site) == R"({
  "duskcast": 1,
  "name": "porch",
  "units": "ft",
  "light": "fc",
  "fixtures": [
    {
      "id": "up1",
      "kind": "uplight",
      "lamp": "spot",
      "wall": "front",
      "along": 6,
      "setback": 1.25,
      "lens_height": "5 in",
      "tilt": 7.5
    }
  ]
}
)");
}

TEST_CASE("a downlight hangs where it is placed") {
    const auto mount_of = [](const std::string& where) {
        const std::string text = R"({ "duskcast": 1,
            "walls": [{ "id": "front", "path": [[0, 0], [40, 0]], "height": 10 }],
            "trees": [{ "id": "oak", "at": [60, 20], "height": 25, "base": 6, "width": 20 }],
            "lamps": [{ "id": "spot", "watts": 5, "lumens": 350, "beam": 36 }],
            "fixtures": [{ "id": "d", "kind": "downlight", "lamp": "spot", "lens_height": 8, )" +
                                 where + "}] }";
        return read_site(text, folder / "case.site.json").site.fixtures.at(0).mount;
    };
    CHECK(mount_of(R"("wall": "front", "along": 3)") == Mount::wall);
    CHECK(mount_of(R"("tree": "oak")") == Mount::tree);
}

TEST_CASE("a byte-order mark, blank lines and either line end are read") {
    const SiteFile read =
        read_site("\xEF\xBB\xBF{\r\n  \"duskcast\": 1,\r\n  \"name\": \"x\"\r\n}\r\n", "x.site.json");
    CHECK(read.site.name == "x");
    CHECK(read.place_of("name") == Place{"x.site.json", 3, 11, "name"});
}

TEST_CASE("places: of a value, of the nearest thing the file holds, and of the site") {
    const SiteFile read = read_site_file(folder / "full.site.json");
    const std::string file = (folder / "full.site.json").generic_string();
    CHECK(read.place_of("name") == Place{file, 4, 11, "name"});
    CHECK(read.place_of("walls[0].path[1]") == Place{file, 22, 24, "walls[0].path[1]"});
    CHECK(read.place_of("walls[0].path[1][0]") == read.place_of("walls[0].path[1]"));
    CHECK(read.place_of("fixtures[3].tilt") == read.place_of("fixtures[3]"));
    CHECK(read.place_of("nothing") == read.place_of(""));
    CHECK(read.folder() == folder);
}

TEST_CASE("angles may be text") {
    const auto view = [](const std::string& angle) {
        return read_site(R"({ "duskcast": 1, "views": [{ "id": "v", "eye": [0, 0, 5], "look_at": [0, 9, 5],
            "field_of_view": )" +
                             angle + "}] }",
                         "x.site.json")
            .site.views.at(0)
            .field_of_view;
    };
    CHECK(view("60") == doctest::Approx(1.0471975511965976));
    CHECK(view("\"60 deg\"") == doctest::Approx(1.0471975511965976));
    CHECK(view("\"1.25 rad\"") == 1.25);
}
