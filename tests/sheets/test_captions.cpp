#include <doctest/doctest.h>

#include "../../src/sheets/body_panel.hpp"
#include "../../src/sheets/captions.hpp"
#include "duskcast/site/layout.hpp"

using namespace duskcast;

TEST_CASE("a plate takes the sentences about what it shows, by id") {
    Site site{.is_as_new = true};
    site.walls.resize(1);
    site.walls[0].id = "front";
    site.walls[0].path = {{0, 0}, {6, 0}};
    site.walls[0].height = 4;
    site.fixtures = {{.id = "U1", .wall = "front", .along = 1, .setback = 0.4}};
    Stage stage;
    stage.surfaces.resize(1);
    Surface& front = stage.surfaces[0];
    front.id = front.part_of = "front";
    front.run = run_of(site.walls[0]);
    Report report;
    constexpr double level = lux_per_footcandle;
    report.levels_lx = {level};
    // U1 stands before the wall though its line is on another; U2 lights the wall from elsewhere; neither U12
    // nor a target and a tree with names like the wall's are its own.
    for (const auto& [fixture, surface] :
         {std::pair("U1", "front.bay"), {"U2", "front"}, {"U12", "front.bay"}}) {
        report.reaches.push_back({.fixture = fixture, .surface = surface});
        report.reaches.back().levels = {{.level_lx = level, .height = 1, .wall_height = 4}};
    }
    report.targets = {{.id = "face", .on = "front", .level_lx = level}, {.id = "front", .on = "bed"}};
    report.seen = {{.feature = "front-oak",
                    .is_tree = true,
                    .on = "front-oak",
                    .from = {Viewpoint::Kind::view, "front"}}};
    report.spill = {.emitted_lm = 100, .ground_lm = 100};
    const Lighting lighting;
    const WallSheet sheet = make_wall_sheet({site, stage, lighting, report}, front);
    REQUIRE(sheet.text.answers.size() == 3);
    CHECK(sheet.text.answers[0].starts_with("U1 on front.bay: "));
    CHECK(sheet.text.answers[1].starts_with("U2 on front: "));
    CHECK(sheet.text.answers[2].starts_with("Target face: "));
}

TEST_CASE("one mark where several fixtures share a line, of the light of all") {
    Site site{.is_as_new = true};
    site.walls.resize(1);
    site.walls[0].id = "front";
    site.walls[0].path = {{0, 0}, {6, 0}};
    site.walls[0].height = 4;
    Stage stage;
    stage.surfaces.resize(1);
    Surface& front = stage.surfaces[0];
    front.id = front.part_of = "front";
    front.run = run_of(site.walls[0]);
    Lighting lighting;
    Report report;
    report.levels_lx = {lux_per_footcandle};
    for (const auto& [id, along] : {std::pair("A", 2.0), {"B", 2.01}, {"C", 4.0}}) {
        site.fixtures.push_back({.id = id, .wall = "front", .along = along, .setback = 0.4});
        report.reaches.push_back({.fixture = id, .surface = "front", .along = along});
        report.reaches.back().levels = {{.level_lx = lux_per_footcandle, .height = 1}};
        report.reaches.back().together = {{.level_lx = lux_per_footcandle, .height = 3}};
    }
    const WallSheet sheet = make_wall_sheet({site, stage, lighting, report}, front);
    REQUIRE(sheet.fixtures.size() == 3);
    CHECK(sheet.fixtures[0].reach == 3);
    CHECK(!sheet.fixtures[1].reach);
    CHECK(sheet.fixtures[2].reach == 3);
}

TEST_CASE("what is said of fixtures that hang, are off, or stand free") {
    Site site{.is_as_new = true};
    site.units = LengthUnit::metre;
    site.walls.resize(1);
    site.walls[0].id = "front";
    site.walls[0].path = {{0, 0}, {6, 0}};
    site.walls[0].height = 4;
    Fixture fixture;
    fixture.id = "A";
    fixture.lamp = "unknown";
    fixture.wall = "front";
    fixture.mount = Mount::wall;
    fixture.lens_height = 2.5;
    fixture.tilt = pi;
    Fixture off = fixture;
    off.id = "B";
    off.mount = Mount::spike;
    off.lens_height = 0.15;
    off.setback = 0.4;
    off.dimming = 0;
    site.fixtures = {fixture, off};
    Stage stage;
    stage.surfaces.resize(1);
    Surface& front = stage.surfaces[0];
    front.id = front.part_of = "front";
    front.run = run_of(site.walls[0]);
    Lighting lighting;
    Report report;
    const WallSheet sheet = make_wall_sheet({site, stage, lighting, report}, front);
    REQUIRE(sheet.fixtures.size() == 2);
    CHECK(sheet.fixtures[0].text.lamp == "unknown");
    CHECK(sheet.fixtures[0].text.placed == "2.50 m up, tilt 180\u00b0");
    CHECK(sheet.fixtures[0].stem.y == doctest::Approx(-1));
    CHECK(sheet.fixtures[1].text.placed == "0.40 m back, off");
    CHECK_FALSE(sheet.fixtures[1].reach.has_value()); // the report has none
    CHECK(sheet.text.title == "front");               // a site without a name
    CHECK(sheet.text.detail == "Wall unfolded to scale, 6.00 m wide, 4.00 m high, seen from outside.");
    CHECK(sheet.text.answers.empty());
}

namespace {

/// A tree at the origin, 6 m high and 3 m wide on a trunk of 0.4 m, dark; its figures are given by hand.
struct DarkTree {
    Site site{.is_as_new = true};
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    Report report;

    DarkTree() {
        site.name = "Yard";
        site.units = LengthUnit::metre;
        site.light = LightUnit::lux;
        site.leaf_sensors = 10;
        site.trees = {{.id = "oak", .height = 6, .base = 2, .width = 3, .trunk_diameter = 0.4}};
        site.trees[0].foliage.leaf_size = 0.4;
        site.levels = {2, 20};
        report.levels_lx = site.levels;
    }
    BodySheet sheet() {
        stage = build_stage(site, ".");
        lighting.stage = stage.get();
        const Surface& oak = stage->surfaces[static_cast<std::size_t>(stage->find_surface("oak"))];
        return make_body_sheet({site, *stage, lighting, report}, oak, 20);
    }
};

} // namespace

TEST_CASE("a tree is shown from the side that the first view looks from, and from the other") {
    DarkTree dark;
    const auto sides = [&] {
        const BodySheet sheet = dark.sheet();
        REQUIRE(sheet.elevations.size() == 2);
        return std::pair(sheet.elevations[0].from, sheet.elevations[1].from);
    };
    CHECK(sides() == std::pair<std::string, std::string>("from the south", "from the north"));
    dark.site.views = {{.id = "drive", .eye = {20, 0, 1.6}}, {.id = "street", .eye = {0, -30, 1.6}}};
    CHECK(sides() == std::pair<std::string, std::string>("from the east", "from the west"));
    dark.site.views[0].eye = {-10, 10, 1.6};
    CHECK(sides() == std::pair<std::string, std::string>("from the north-west", "from the south-east"));
}

TEST_CASE("a bed of shrubs is shown along its length, first from the side that the first view is nearer to") {
    Site site{.is_as_new = true};
    site.leaf_sensors = 10;
    site.shrubs = {{.id = "bed", .outline = {{0, 0}, {0.6, 0}, {0.6, 6}, {0, 6}}, .height = 1}};
    site.views = {{.id = "street", .eye = {8, -30, 1.6}}};
    const auto sides = [&] {
        const auto stage = build_stage(site, ".");
        const Lighting lighting{.stage = stage.get()};
        const Report report;
        const BodySheet sheet =
            make_body_sheet({site, *stage, lighting, report},
                            stage->surfaces[static_cast<std::size_t>(stage->find_surface("bed"))], 20);
        REQUIRE(sheet.elevations.size() == 2);
        return std::pair(sheet.elevations[0].from, sheet.elevations[1].from);
    };
    CHECK(sides() == std::pair<std::string, std::string>("from the east", "from the west"));
    site.views[0].eye.x = -8;
    CHECK(sides() == std::pair<std::string, std::string>("from the west", "from the east"));
    site.shrubs[0].outline = {{0, 0}, {6, 0}, {6, 0.6}, {0, 0.6}};
    CHECK(sides().first == "from the south");
    site.shrubs[0].outline = {{0, 0}, {3, 0}, {3, 3}, {0, 3}}; // as wide as long: from where the view is
    site.views[0].eye = {-30, -30, 1.6};
    CHECK(sides().first == "from the south-west");
}

TEST_CASE("a tree's sheet has its own fixtures and those that stand free beside it, but no path light") {
    DarkTree dark;
    // The trunk's face is 0.2 m from its middle.
    dark.site.fixtures = {
        {.id = "T1", .tree = "oak", .bearing = 0, .setback = 1},
        {.id = "T2", .tree = "oak", .setback = 0.3, .lens_height = 4, .tilt = pi, .mount = Mount::tree},
        {.id = "N1", .at = glm::dvec2(3, 0)},
        {.id = "P1", .kind = FixtureKind::path, .at = glm::dvec2(-3, 0)},
        {.id = "F1", .at = glm::dvec2(9, 0)}};
    const BodySheet sheet = dark.sheet();
    std::vector<std::string> ids, placed;
    for (const BodyFixture& fixture : sheet.fixtures) {
        ids.push_back(fixture.text.id);
        placed.push_back(fixture.text.placed);
    }
    CHECK(ids == std::vector<std::string>{"T1", "T2", "N1"});
    CHECK(placed == std::vector<std::string>{"1.00 m back, tilt 0\u00b0", "4.00 m up, tilt 180\u00b0",
                                             "2.80 m back, tilt 0\u00b0"});
    // From the south east is right, from the north it is left.
    for (std::size_t side = 0; side < 2; ++side) {
        const BodyPanel panel(sheet, sheet.elevations[side]);
        PlateFrame frame = panel.extent();
        frame.scale = 100;
        const std::vector<PlatePanel::FootMark> marks = panel.foot_marks(frame);
        REQUIRE(marks.size() == 3);
        CHECK(marks[2].id == "N1");
        CHECK((marks[2].x > marks[0].x) == (side == 0));
        CHECK(std::abs(marks[2].x - marks[0].x) ==
              doctest::Approx(100 * (3 - sheet.fixtures[0].plan.x)).epsilon(0.2));
    }
    CHECK(sheet.text.detail.starts_with("Tree, 6 m high, from two sides."));
    REQUIRE(sheet.heights.size() == 2);
    CHECK(sheet.heights[0].text == "top 6 m");
    CHECK(sheet.heights[1].text == "leaves 2 m");
    dark.site.trees[0].base = 1.437;
    dark.site.trees[0].foliage.leaf_area_density = 0.02; // a few leaves, which end below its height
    const BodySheet thin = dark.sheet();
    CHECK(thin.heights[1].text == "leaves 1.4 m");
    REQUIRE(find_body_bounds(*dark.stage, "oak").high.z < 6);
    CHECK(thin.top == doctest::Approx(6));
}

TEST_CASE("a crown's bands are told at the level asked about") {
    DarkTree dark;
    // Without a target it is the lowest level from a foot-candle (10.76 lx) up.
    dark.report.trees = {
        {.tree = "oak",
         .bands = {{2, 4, 9, 12.5, {{2, 0.9}, {20, 0.25}}}, {4, 6, 9, 3, {{2, 0.4}, {20, 0}}}}},
        {.tree = "oak", .from = {Viewpoint::Kind::south, ""}, .bands = {{2, 6, 9, 1, {}}}}};
    BodySheet sheet = dark.sheet();
    CHECK(sheet.share_heading == "20 lx or more");
    REQUIRE(sheet.bands.size() == 2); // of the whole crown alone
    CHECK(sheet.bands[0].band == "2 to 4 m");
    CHECK(sheet.bands[0].mean == "12.5 lx");
    CHECK(sheet.bands[0].share == "25 %");
    CHECK(sheet.bands[0].part == 0.25);
    CHECK(sheet.bands[1].share == "0 %");
    dark.site.targets = {{.id = "crown", .on = "oak", .level = 2}};
    sheet = dark.sheet();
    CHECK(sheet.share_heading == "2 lx or more");
    CHECK(sheet.bands[1].share == "40 %");
    dark.site.units = LengthUnit::foot;
    CHECK(dark.sheet().bands[0].band == "6.5 to 13 ft");
}

TEST_CASE("a plate says how much light there is, or that there is none") {
    Site site{.is_as_new = true};
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    site.walls.resize(1);
    site.walls[0].id = "front";
    site.walls[0].path = {{0, 0}, {6, 0}};
    site.walls[0].height = 4;
    site.walls[0].gables = {{.id = "peak", .from = 1, .width = 3, .peak = 5.5}};
    site.ground.areas = {
        {.id = "bed", .kind = GroundKind::bed, .outline = {{0, -2}, {2, -2}, {2, 0}, {0, 0}}}};
    const auto stage = build_stage(site, ".");
    Lighting lighting{.stage = stage.get()};
    Report report;
    report.levels_lx = {2, 20};
    const auto index = [&](const char* id) { return stage->find_surface(id); };
    report.surfaces = {{.surface = index("front"),
                        .stats = {.mean_lx = 5, .max_lx = 107.6391, .coverage = {{2, 0.6}, {20, 0.13}}}},
                       {.surface = index("ground"), .stats = {.max_lx = 3}},
                       {.surface = index("bed"), .stats = {.max_lx = 21.52782}}};
    const PlateSource source{site, *stage, lighting, report};
    const auto wall = [&] {
        return make_wall_sheet(source, stage->surfaces[static_cast<std::size_t>(index("front"))]);
    };
    // 107.6391 lx are 10 fc; the level asked about is the lowest from 1 fc up.
    CHECK(wall().text.detail.ends_with(
        " Mean 5 lx (0.46 fc), highest 108 lx (10 fc); 13 % of it at 20 lx or more."));
    CHECK(wall().heights[0].text == "peak 5.50 m");
    CHECK(wall().heights[1].text == "eave 4.00 m");
    report.surfaces[0].stats.max_lx = 0.0005;
    CHECK(wall().text.detail.ends_with(" No direct light reaches it."));
    const auto ground = [&] { return make_ground_sheet(source).text.detail; };
    CHECK(ground().ends_with(" Highest 21.5 lx (2 fc), on bed."));
    report.surfaces[1].stats.max_lx = 53.81955;
    CHECK(ground().ends_with(" Highest 53.8 lx (5 fc), on the open ground."));
    report.surfaces[1].stats.max_lx = report.surfaces[2].stats.max_lx = 0.0001;
    CHECK(ground() == "Plan, north up. Colours show the light that falls on the ground.");
}

TEST_CASE("a closed house has a plate for each face that is lit or has a fixture, measured from its corner") {
    // 8 m by 5 m, walked round counter-clockwise from its south-west corner: south 0 to 8 m of the run, east
    // to 13, north to 21, west to 26.
    Site site{.is_as_new = true};
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    site.sensor_spacing = 0.5;
    site.walls.resize(1);
    Wall& house = site.walls[0];
    house.id = "house";
    house.path = {{0, 0}, {8, 0}, {8, 5}, {0, 5}};
    house.closed = true;
    house.height = 3;
    house.openings = {{.id = "door", .from = 3, .width = 1, .sill = 0, .height = 2},
                      {.id = "back-door", .from = 15, .width = 1, .sill = 0, .height = 2}};
    site.fixtures = {{.id = "U1", .wall = "house", .along = 2, .setback = 0.4},
                     {.id = "U2", .wall = "house", .along = 14.5, .setback = 0.4}};
    const auto stage = build_stage(site, ".");
    const Lighting lighting{.stage = stage.get()};
    Report report;
    report.levels_lx = {10};
    report.total_lx.assign(stage->sensors.size(), 0);
    const int index = stage->find_surface("house");
    const Surface& surface = stage->surfaces[static_cast<std::size_t>(index)];
    for (const char* id : {"U1", "U2"}) {
        report.reaches.push_back({.fixture = id, .surface = "house", .along = id[1] == '1' ? 2.0 : 14.5});
        report.reaches.back().levels = {{.level_lx = 10, .height = 1, .wall_height = 3}};
    }
    site.targets = {{.id = "all", .on = "house", .level = 10},
                    {.id = "door", .on = "house", .along = {{2, 5}}, .level = 10}};
    report.targets = {{.id = "all", .on = "house", .level_lx = 10},
                      {.id = "door", .on = "house", .level_lx = 10}};
    report.spill = {.emitted_lm = 100, .ground_lm = 100};
    // Of the south face every second column of sensors gets 20 lx.
    double lit = 0, whole = 0;
    for (int column = 0; column < surface.grid.columns; ++column)
        for (int row = 0; row < surface.grid.rows; ++row)
            if (const std::int32_t sensor = surface.grid.at(column, row);
                sensor >= 0 && surface.grid.u_of(column) < 8) {
                const auto i = static_cast<std::size_t>(sensor);
                whole += stage->sensors.area[i];
                lit += column % 2 == 0 ? stage->sensors.area[i] : 0;
                report.total_lx[i] = column % 2 == 0 ? 20 : 0;
            }
    const PlateSource source{site, *stage, lighting, report};
    const auto wall_plates = [&] {
        std::vector<std::string> ids;
        for (const Plate& plate : list_plates(source))
            if (plate.surface == index)
                ids.push_back(plate.id);
        return ids;
    };
    CHECK(wall_plates() == std::vector<std::string>{"house.south", "house.north"});

    const WallSheet south = make_wall_sheet(source, surface, 0);
    CHECK(south.text.title == "house, south face");
    CHECK(
        south.text.detail.starts_with("The south face to scale, 8.00 m wide, 3.00 m high, seen from outside. "
                                      "Mean " +
                                      print_illuminance_both(20 * lit / whole, site.light)));
    REQUIRE(south.fixtures.size() == 1);
    CHECK(south.fixtures[0].text.from_corner == "2.00 m from left corner");
    REQUIRE(south.text.answers.size() == 3);
    CHECK(south.text.answers[0].starts_with("U1 "));
    CHECK(south.text.answers[1].starts_with("Target all: "));
    CHECK(south.text.answers[2].starts_with("Target door: "));
    const auto count = [](const Surface& face, OutlineShape::Role role) {
        return std::count_if(face.outline.begin(), face.outline.end(),
                             [&](const OutlineShape& shape) { return shape.role == role; });
    };
    CHECK(count(south.surface, OutlineShape::Role::opening) == 1);
    CHECK(count(south.surface, OutlineShape::Role::corner) == 0);

    const WallSheet north = make_wall_sheet(source, surface, 2);
    CHECK(north.text.detail.ends_with(" No direct light reaches it."));
    REQUIRE(north.fixtures.size() == 1);
    CHECK(north.fixtures[0].text.from_corner == "1.50 m from left corner"); // 14.5 - 13
    REQUIRE(north.text.answers.size() == 2); // the door's target is on the south face alone
    CHECK(north.text.answers[0].starts_with("U2 "));
    CHECK(north.text.answers[1].starts_with("Target all: "));
    double low = 100, high = 0;
    for (const OutlineShape& shape : north.surface.outline)
        for (const glm::dvec2& point : shape.points) {
            low = std::min(low, point.x);
            high = std::max(high, point.x);
        }
    CHECK(low == doctest::Approx(13));
    CHECK(high == doctest::Approx(21));

    // Dark and with no fixture at all, every face is there.
    site.fixtures.clear();
    report.total_lx.assign(stage->sensors.size(), 0);
    CHECK(wall_plates() ==
          std::vector<std::string>{"house.south", "house.east", "house.north", "house.west"});
}
