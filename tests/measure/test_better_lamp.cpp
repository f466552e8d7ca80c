// What another lamp would do: checked against lighting the site with it.

#include <doctest/doctest.h>

#include "duskcast/measure/better_lamp.hpp"
#include "measure_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A wall of 8 m by 9 m with an uplight; three lamps of cosine-power beams, one of another socket.
Site make_lamp_site() {
    Site site = make_wall_site(8, 9, 0.25);
    const auto add = [&](const char* id, double watts, double candela, const char* socket) {
        site.lamps.push_back({.id = id,
                              .figures = {.centre_candela = candela, .beam_angle = radians_from_degrees(30)},
                              .watts = watts,
                              .socket = socket});
    };
    add("low", 3, 500, "bi-pin");
    add("middle", 4, 1500, "bi-pin");
    add("high", 6, 3000, "bi-pin");
    add("other", 9, 9000, "screw");
    Fixture fixture{.id = "U1", .lamp = "low", .wall = "wall", .along = 4, .setback = 0.4};
    fixture.tilt = radians_from_degrees(5);
    site.fixtures = {fixture};
    return site;
}

Report report_on(const Site& site, bool has_better = true) {
    const auto stage = build_stage(site, {});
    const Lighting lighting = trace_lighting(*stage, make_fixtures(site, {}));
    Report report = measure_report(site, *stage, lighting, {10});
    if (has_better)
        find_better_lamps(site, {}, *stage, lighting, report);
    return report;
}

} // namespace

TEST_CASE("the lamp that carries a level higher does so when it is put in") {
    Site site = make_lamp_site();
    const FixtureReach line = report_on(site).reaches.at(0);
    CHECK(line.goal == 9);        // no target on the line: the wall's top
    CHECK(line.lamps_tried == 2); // not its own, nor that of another socket
    REQUIRE(line.better);
    CHECK(line.better->lamp == "high");
    site.fixtures[0].lamp = "high";
    const FixtureReach with_it = report_on(site, false).reaches.at(0);
    CHECK(*line.better->reach.height == doctest::Approx(*with_it.together[0].height).epsilon(1e-6));
    // Already the best: tried, and none is better.
    const FixtureReach best = report_on(site).reaches.at(0);
    CHECK(best.lamps_tried == 2);
    CHECK(!best.better);
}

TEST_CASE("of the lamps that are enough the one of least watts, and none where nothing is missing") {
    Site site = make_lamp_site();
    site.targets = {{.id = "low", .on = "wall", .between = std::array{0.0, 2.0}, .level = 10, .share = 0}};
    const double low_reach = *report_on(site).reaches.at(0).together[0].height;
    site.targets[0].between = std::array{0.0, low_reach + 0.4};
    const FixtureReach line = report_on(site).reaches.at(0);
    CHECK(line.target == "low");
    CHECK(line.goal == doctest::Approx(low_reach + 0.4));
    REQUIRE(line.better);
    CHECK(line.better->lamp == "middle");
    site.targets[0].between = std::array{0.0, low_reach - 0.1};
    CHECK(!report_on(site).reaches.at(0).better);
    CHECK(report_on(site).reaches.at(0).lamps_tried == 0);
}

TEST_CASE("the lamp that lights more of a missed target") {
    Site site = make_lamp_site();
    site.targets = {{.id = "face", .on = "wall", .along = std::array{3.0, 5.0}, .level = 10, .share = 0.99}};
    const TargetReport target = report_on(site).targets.at(0);
    REQUIRE(!target.is_reached);
    REQUIRE(target.better);
    CHECK(target.better->fixture == "U1");
    CHECK(target.better->lamp == "high");
    site.fixtures[0].lamp = "high";
    CHECK(target.better->share == doctest::Approx(report_on(site, false).targets[0].share));
    site.targets[0].share = 0;
    CHECK(!report_on(site).targets[0].better); // met
}

TEST_CASE("a fixture is for what most of its light falls on, or for the target there") {
    Site site = make_lamp_site();
    const auto purpose = [&] { return report_on(site, false).purposes.at(0); };
    CHECK(purpose().on == "wall");
    CHECK(purpose().target.empty());
    CHECK(purpose().share > 0.3);
    CHECK(purpose().share <= 1);
    site.targets = {{.id = "foot", .on = "wall", .between = std::array{0.0, 3.0}, .level = 10},
                    {.id = "top", .on = "wall", .between = std::array{8.0, 9.0}, .level = 10}};
    CHECK(purpose().target == "foot");
    const Site near = site;
    site.fixtures[0].setback = 30; // upright, and the wall is hardly touched
    site.fixtures[0].tilt = 0;
    CHECK(purpose().on == "");
    CHECK(purpose().target.empty());
    site = near;
    // A dense hedge before the wall takes most of a wash, whose line still runs up the wall.
    Shrub hedge;
    hedge.id = "hedge";
    hedge.path = {{2, -1}, {6, -1}};
    hedge.width = 0.8;
    hedge.height = 1.2;
    hedge.foliage.leaf_area_density = 8;
    site.shrubs = {hedge};
    site.fixtures[0].setback = 2.5;
    site.fixtures[0].tilt = radians_from_degrees(80);
    const Report report = report_on(site, false);
    CHECK(report.purposes[0].on == "hedge");
    CHECK(report.purposes[0].target.empty());
    REQUIRE(report.reaches.size() == 1);
    CHECK(report.reaches[0].surface == "wall");
}

TEST_CASE("a path light in a border is for the way beside it, which gets less of its light") {
    Site site = make_lamp_site();
    site.ground.areas = {
        {.id = "border", .kind = GroundKind::mulch, .outline = {{0, -3}, {8, -3}, {8, -2}, {0, -2}}},
        {.id = "walk", .kind = GroundKind::paving, .outline = {{0, -4}, {8, -4}, {8, -3}, {0, -3}}}};
    site.targets = {{.id = "way", .on = "walk", .level = 1}};
    Fixture& light = site.fixtures[0];
    light.wall = "";
    light.at = {4, -2.7};
    light.lens_height = 2;
    light.tilt = pi;
    light.kind = FixtureKind::downlight;
    const auto purpose = [&] { return report_on(site, false).purposes.at(0); };
    CHECK(purpose().on == "border");
    CHECK(purpose().target.empty());
    light.kind = FixtureKind::path;
    CHECK(purpose().on == "walk");
    CHECK(purpose().target == "way");
    light.at = glm::dvec2{4, -2.3}; // hardly any reaches the walk
    CHECK(purpose().on == "border");
}
