// What is said of a fixture on plates and schedules.

#include <doctest/doctest.h>

#include "duskcast/sheets/fixture_words.hpp"

using namespace duskcast;

namespace {

Site make_site(const std::string& name, double watts) {
    Site site;
    site.units = LengthUnit::foot;
    site.lamps = {Lamp{.id = "spot", .name = name, .watts = watts}};
    return site;
}

Fixture make_fixture() {
    Fixture fixture;
    fixture.id = "U1";
    fixture.lamp = "spot";
    fixture.tilt = radians_from_degrees(8.0);
    return fixture;
}

} // namespace

TEST_CASE("a lamp is called by its name, with its watts where the name has none") {
    struct Row {
        const char* name;
        double watts;
        const char* said;
    };
    for (const Row& row : {Row{"", 4, "spot, 4 W"}, Row{"narrow", 4, "narrow, 4 W"},
                           Row{"narrow 4 W, 24\u00b0", 4, "narrow 4 W, 24\u00b0"}, Row{"", 0, "spot"},
                           Row{"MR16", 3.5, "MR16, 3.5 W"}}) {
        const FixtureText text = describe_fixture(make_site(row.name, row.watts), make_fixture(), {}, 0.15);
        CHECK(text.id == "U1");
        CHECK(text.lamp == row.said);
    }
    Fixture unknown = make_fixture();
    unknown.lamp = "gone";
    CHECK(describe_fixture(make_site("", 4), unknown, {}, 0.15).lamp == "gone");
}

TEST_CASE("what stands is told by its setback, what hangs by its height, and both by their tilt") {
    const Site site = make_site("", 4);
    Fixture fixture = make_fixture();
    const auto placed = [&](std::optional<double> setback_in, double height_ft) {
        if (setback_in)
            *setback_in *= metres_per_inch;
        return describe_fixture(site, fixture, setback_in, height_ft * metres_per_foot).placed;
    };
    CHECK(placed(15, 0.5) == "15 in back, tilt 8\u00b0");
    CHECK(placed(54, 0.5) == "4 ft 6 in back, tilt 8\u00b0");
    CHECK(placed(std::nullopt, 0.5) == "tilt 8\u00b0"); // it stands free
    CHECK(placed(4, 12) == "12 ft up, tilt 8\u00b0");
    CHECK(placed(15, 3.2) == "15 in back, tilt 8\u00b0"); // 3.2 ft are less than the metre that hangs
    CHECK(placed(15, 3.3) == "3 ft 3 1/2 in up, tilt 8\u00b0");
    fixture.dimming = 0;
    CHECK(placed(15, 0.5) == "15 in back, off");
    fixture.dimming = 0.5; // dimmed is not off
    CHECK(placed(15, 0.5) == "15 in back, tilt 8\u00b0");
    fixture.kind = FixtureKind::path;
    fixture.tilt = pi;
    CHECK(placed(std::nullopt, 1.5) == "plumb");
    fixture.tilt = pi - radians_from_degrees(5.0);
    CHECK(placed(std::nullopt, 1.5) == "tilt 175\u00b0");
    fixture.kind = FixtureKind::downlight; // which is not set with a plumb line
    fixture.tilt = pi;
    CHECK(placed(std::nullopt, 9) == "9 ft up, tilt 180\u00b0");
}

TEST_CASE("how high light carries is told to the half foot, and to the top where nothing is missing") {
    Reach reach{.height = 13.2 * metres_per_foot, .wall_height = 20 * metres_per_foot};
    CHECK(print_carry(reach, LengthUnit::foot) == "reaches 13 ft");
    reach.height = 13.3 * metres_per_foot;
    CHECK(print_carry(reach, LengthUnit::foot) == "reaches 13.5 ft");
    CHECK(print_carry(reach, LengthUnit::metre) == "reaches 4.1 m");
    reach.is_to_top = true;
    CHECK(print_carry(reach, LengthUnit::foot) == "reaches all the way up");
    // A sixteenth of an inch short of the top is the top: both are printed alike.
    reach.is_to_top = false;
    reach.height = reach.wall_height - metres_per_inch / 16;
    CHECK(print_carry(reach, LengthUnit::foot) == "reaches all the way up");
    reach.height = reach.wall_height - metres_per_inch;
    CHECK(print_carry(reach, LengthUnit::foot) == "reaches 20 ft");
    reach.height.reset();
    CHECK(print_carry(reach, LengthUnit::foot) == "reaches nowhere");
}

TEST_CASE("a tape to what stands on ground that falls is said to be held level") {
    // A bank 3 ft high at its west falls to nothing over 4 ft: 4 ft held level, 5 ft laid along it.
    Site site = make_site("", 4);
    site.walls = {Wall{.id = "house", .path = {{0, 0}, {0, 10 * metres_per_foot}}}};
    Fixture fixture = make_fixture();
    fixture.at = glm::dvec2(-4, 0) * metres_per_foot;
    const std::string level = print_fixture_place(site, fixture);
    CHECK(level.rfind("4 ft from ", 0) == 0);
    CHECK(level.find("level") == std::string::npos);
    const auto corner = [](double x, double y) { return glm::dvec2(x, y) * metres_per_foot; };
    site.ground.areas = {{.id = "bank",
                          .kind = GroundKind::lawn,
                          .outline = {corner(-4, -20), corner(0, -20), corner(0, 20), corner(-4, 20)},
                          .height = 3 * metres_per_foot,
                          .fall = GroundFall{.towards = radians_from_degrees(90)}}};
    CHECK(print_fixture_place(site, fixture) == level + ", the tape held level");
}
