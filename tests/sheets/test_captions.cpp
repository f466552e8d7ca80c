#include <doctest/doctest.h>

#include "../../src/sheets/captions.hpp"
#include "duskcast/site/layout.hpp"

using namespace duskcast;

TEST_CASE("a plate takes the sentences about what it shows, by id") {
    Site site;
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
    report.trees = {{.tree = "front-oak",
                     .from = {Viewpoint::Kind::view, "front"},
                     .lit_to = {{.level_lx = level, .wall_height = 9}}}};
    report.spill = {.emitted_lm = 100, .ground_lm = 100};
    const Lighting lighting;
    const WallSheet sheet = make_wall_sheet({site, stage, lighting, report}, front);
    REQUIRE(sheet.text.answers.size() == 3);
    CHECK(sheet.text.answers[0].starts_with("U1 on front.bay: "));
    CHECK(sheet.text.answers[1].starts_with("U2 on front: "));
    CHECK(sheet.text.answers[2].starts_with("Target face: "));
}

TEST_CASE("one mark where several fixtures share a line, of the light of all") {
    Site site;
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
    Site site;
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
