#include <doctest/doctest.h>

#include "../../src/sheets/captions.hpp"
#include "duskcast/site/layout.hpp"

using namespace duskcast;

TEST_CASE("a sentence names an id only as a whole") {
    CHECK(names_id("U1 on front: 1 fc reaches 9 ft.", "front"));
    CHECK(names_id("U1 on front: 1 fc reaches 9 ft.", "U1"));
    CHECK(names_id("Reached on front.", "front"));
    CHECK(names_id("front", "front"));
    CHECK_FALSE(names_id("U12 on front.bay: 1 fc", "U1"));
    CHECK_FALSE(names_id("U12 on front.bay: 1 fc", "front"));
    CHECK_FALSE(names_id("U12 on front.bay: 1 fc", "bay"));
    CHECK(names_id("U12 on front.bay: 1 fc", "front.bay"));
    CHECK_FALSE(names_id("the up-front wall", "front"));
    CHECK(names_id("front.bay and front", "front"));
    CHECK_FALSE(names_id("anything", ""));
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
