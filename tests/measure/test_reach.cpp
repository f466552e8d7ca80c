// Reach: columns by hand, and the closed form of a cosine-power uplight on a wall.

#include "duskcast/measure/reach.hpp"
#include "measure_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE("reach of columns worked by hand") {
    // From the definition in report.hpp: from the hot spot upward without a break.
    const std::vector<double> heights{1, 2, 3, 4};
    SUBCASE("falling light") {
        // Straight in the logarithm from 40 at 2 to 10 at 3: 20 lies half way.
        const Reach reach = measure_reach(heights, {50, 40, 10, 5}, 5, 20);
        CHECK(reach.level_lx == 20);
        CHECK(reach.wall_height == 5);
        REQUIRE(reach.height);
        CHECK(*reach.height == doctest::Approx(2.5).epsilon(1e-12));
        CHECK(!reach.is_to_top);
    }
    SUBCASE("the hot spot may lie above a darker foot") {
        const Reach reach = measure_reach(heights, {1, 30, 30, 5}, 5, 20);
        REQUIRE(reach.height);
        CHECK(*reach.height == doctest::Approx(3 + std::log(1.5) / std::log(6.0)));
    }
    SUBCASE("exactly at the level counts") {
        const Reach reach = measure_reach(heights, {50, 20, 10, 5}, 5, 20);
        REQUIRE(reach.height);
        CHECK(*reach.height == 2);
    }
    SUBCASE("a shadow breaks it, whatever is lit above") {
        const Reach reach = measure_reach(heights, {50, 40, 0, 30}, 5, 20);
        REQUIRE(reach.height);
        CHECK(*reach.height >= 2);
        CHECK(*reach.height < 2.2); // black counts as a millionth of the level
        CHECK(!reach.is_to_top);
    }
    SUBCASE("all that is at the level is told, from below") {
        // From 40 at 2 to nothing (a millionth of the level) at 3; from nothing at 3 to 30 at 4.
        const Reach reach = measure_reach(heights, {50, 40, 0, 30}, 5, 20);
        REQUIRE(reach.stretches.size() == 2);
        CHECK(reach.stretches[0].from == 0);
        CHECK(reach.stretches[0].to == *reach.height);
        CHECK(reach.stretches[1].from == doctest::Approx(4 - std::log(1.5) / std::log(1.5e6)));
        CHECK(reach.stretches[1].to == 5);
        CHECK(measure_reach(heights, {5, 4, 3, 2}, 5, 20).stretches.empty());
    }
    SUBCASE("a dark ring of the beam: the hot spot's stretch is the reach, the other is told") {
        const Reach reach = measure_reach({1, 2, 3, 4, 5}, {60, 2, 2, 30, 5}, 6, 20);
        REQUIRE(reach.stretches.size() == 2);
        CHECK(*reach.height == doctest::Approx(1 + std::log(3.0) / std::log(30.0)));
        CHECK(reach.stretches[1].from == doctest::Approx(4 - std::log(1.5) / std::log(15.0)));
        CHECK(reach.stretches[1].to == doctest::Approx(4 + std::log(1.5) / std::log(6.0)));
    }
    SUBCASE("light that fails across a window ends at its sill") {
        const std::vector<Gap> window{{2.3, 3.6, "gable-window"}};
        const Reach reach = measure_reach({1, 2, 4, 5}, {50, 40, 10, 5}, 6, 20, window);
        CHECK(reach.height == 2.3);
        CHECK(reach.sill_of == "gable-window");
        CHECK(!reach.is_to_top);
        // Lit on both sides: glass is passed over.
        const Reach over = measure_reach({1, 2, 4, 5}, {50, 40, 30, 5}, 6, 20, window);
        CHECK(*over.height == doctest::Approx(4 + std::log(1.5) / std::log(6.0)));
        CHECK(over.sill_of.empty());
        // Lit from above: down to the window's head.
        const Reach down = measure_reach({1, 2, 4, 5}, {5, 10, 40, 50}, 6, 20, window);
        REQUIRE(down.stretches.size() == 1);
        CHECK(down.stretches[0] == Stretch{3.6, 6});
        CHECK(down.is_to_top);
    }
    SUBCASE("all above") {
        const Reach reach = measure_reach(heights, {50, 40, 30, 25}, 4.6, 20);
        REQUIRE(reach.height);
        CHECK(*reach.height == 4.6);
        CHECK(reach.is_to_top);
        CHECK(measure_reach(heights, {50, 40, 30, 20}, 4.6, 20).is_to_top); // exactly at the level
    }
    SUBCASE("all below") {
        const Reach reach = measure_reach(heights, {5, 4, 3, 2}, 5, 20);
        CHECK(!reach.height);
        CHECK(!reach.is_to_top);
        CHECK(reach.wall_height == 5);
    }
    SUBCASE("an empty column") {
        CHECK(!measure_reach({}, {}, 5, 20).height);
    }
    SUBCASE("one sensor") {
        CHECK(measure_reach({1}, {30}, 2, 20).height == 2);
        CHECK(!measure_reach({1}, {10}, 2, 20).height);
    }
    SUBCASE("never above the surface's own edge") {
        // The topmost sensor of a column cut by a slope keeps its row's height, here above the edge.
        const Reach reach = measure_reach(heights, {50, 40, 30, 10}, 3.1, 12);
        REQUIRE(reach.height);
        CHECK(*reach.height == 3.1);
    }
}

TEST_CASE("reach is exact where light falls by the same factor every metre") {
    // E = 800 exp(-1.3 z) reaches 10 lx at z = ln 80 / 1.3.
    const double exact = std::log(80.0) / 1.3;
    for (const double step : {0.1, 0.37, 1.0}) {
        std::vector<double> heights, lux;
        for (double z = step / 2; z < 6; z += step) {
            heights.push_back(z);
            lux.push_back(800 * std::exp(-1.3 * z));
        }
        const Reach reach = measure_reach(heights, lux, 6, 10);
        REQUIRE(reach.height);
        CHECK(*reach.height == doctest::Approx(exact).epsilon(1e-12));
    }
}

TEST_CASE("reach of an uplight on a wall: the closed form within an inch") {
    // E(z) = I0 cos^n(off axis) s / (s^2 + h^2)^1.5, solved by bisection; the site's own spacing of 6 in.
    Site site = make_wall_site(8, 9, 0.1524);
    site.walls[0].id = "front";
    const auto stage = build_stage(site, {});
    double worst = 0;
    int compared = 0;
    for (const double beam : {24.0, 36.0, 60.0})
        for (const double tilt_deg : {0.0, 5.0, 10.0, 20.0})
            for (const double setback_in : {12.0, 15.0, 18.0})
                for (const double x : {4.0, 4.06}) { // on and off the sensors' columns
                    const glm::dvec3 lens(x, -setback_in * metres_per_inch, 0.15);
                    const Aim aim{.tilt = radians_from_degrees(tilt_deg)};
                    LitFixture fixture = make_fixture(glm::vec3(lens), aim, make_cosine(beam, 1500));
                    fixture.lens.diameter = 0.05f;
                    const Lighting lighting = trace_lighting(*stage, {fixture});
                    const std::vector<double> levels{10, 20, 50, 100};
                    const std::optional<AimLine> line = find_aim_line(*stage, fixture);
                    REQUIRE(line);
                    CHECK(stage->surfaces[line->surface].id == "front");
                    CHECK(line->along == doctest::Approx(x).epsilon(1e-6));
                    const std::vector<Reach> reaches = measure_line_reach(
                        site, stage->surfaces[line->surface], lighting.direct_lx, line->along, levels);
                    REQUIRE(reaches.size() == levels.size());
                    for (std::size_t i = 0; i < levels.size(); ++i) {
                        const LineFacts facts = solve_line(lens, aim, beam, 1500, levels[i]);
                        const double exact = facts.reach;
                        const double hottest = wall_lux(lens, aim, beam, 1500, x, facts.hottest);
                        if (exact > 8.9 || hottest < 1.25 * levels[i]) // flat round the hot spot
                            continue;
                        CAPTURE(beam);
                        CAPTURE(tilt_deg);
                        CAPTURE(setback_in);
                        CAPTURE(levels[i]);
                        REQUIRE(reaches[i].height);
                        worst = std::max(worst, std::abs(*reaches[i].height - exact));
                        CHECK(std::abs(*reaches[i].height - exact) < metres_per_inch);
                        CHECK(reaches[i].wall_height == 9);
                        ++compared;
                    }
                }
    MESSAGE("largest error ", worst * 1000, " mm over ", compared, " reaches");
    CHECK(compared > 200);
}

TEST_CASE("the best column of a surface, its own upper edge, and holes") {
    Site site = make_wall_site(4, 2, 0.25);
    site.walls[0].gables = {{.id = "gable", .from = 1, .width = 2, .peak = 4}};
    site.walls[0].openings = {{.id = "window", .from = 3, .width = 0.5, .sill = 0.5, .height = 1}};
    const auto stage = build_stage(site, {});
    const Surface& wall = stage->surfaces[stage->find_surface("wall")];
    // Light that falls up the wall and sideways from x = 0.4: the best column is that over 0.375.
    const Lighting lighting = make_light(*stage, [](const glm::vec3& at, const glm::vec3&) {
        return 100 * std::exp(-at.z - 3 * std::abs(at.x - 0.4));
    });
    const std::vector<Reach> best = measure_best_reach(wall, lighting.direct_lx, {40, 200, 1e-9});
    REQUIRE(best.size() == 3);
    REQUIRE(best[0].height);
    CHECK(*best[0].height == doctest::Approx(std::log(2.5) - 3 * 0.025));
    CHECK(best[0].wall_height == 2);
    CHECK(!best[1].height);
    // Lit everywhere: the best column is the highest, next to the peak.
    REQUIRE(best[2].height);
    CHECK(best[2].is_to_top);
    CHECK(*best[2].height == doctest::Approx(3.75));
    // A column reads its own cells alone, not those of its neighbour where a hole interrupts it.
    const Lighting beside = make_light(
        *stage, [](const glm::vec3& at, const glm::vec3&) { return at.x > 3.0 && at.x < 3.5 ? 50.0 : 0.0; });
    for (const Reach& reach : measure_best_reach(wall, beside.direct_lx, {40}))
        CHECK(reach.is_to_top);
    // The light goes on above a window; its neighbour's darkness is no break.
    const Lighting over_window = make_light(*stage, [](const glm::vec3& at, const glm::vec3&) {
        return at.x > 3.25 && at.x < 3.5 && at.z < 1.75 ? 60.0 - 5 * at.z : 0.0;
    });
    const std::vector<Reach> over = measure_best_reach(wall, over_window.direct_lx, {40});
    REQUIRE(over[0].height);
    CHECK(*over[0].height > 1.6);
    const Lighting left_of_it = make_light(*stage, [](const glm::vec3& at, const glm::vec3&) {
        return at.x < 3.0 && at.x > 2.75 && at.z < 1.5 ? 50.0 : 0.0;
    });
    const std::vector<Reach> one = measure_best_reach(wall, left_of_it.direct_lx, {40});
    REQUIRE(one[0].height);
    CHECK(*one[0].height < 1.625);
    CHECK(!one[0].is_to_top);
}

TEST_CASE("which wall a fixture stands before") {
    Site site = make_wall_site(10, 3, 0.25);
    Wall side = site.walls[0];
    side.id = "side";
    side.path = {{10, 0}, {10, 8}}; // its outside to the east
    site.walls.push_back(side);
    site.walls[0].projections = {
        {.id = "bay", .from = 4, .width = 2, .depth = 1, .bottom = 0, .height = 2, .openings = {}}};
    const auto stage = build_stage(site, {});
    const auto line_of = [&](const glm::vec3& at, double azimuth_deg) -> std::string {
        const LitFixture fixture =
            make_fixture(at, {.azimuth = radians_from_degrees(azimuth_deg)}, make_isotropic(1));
        const std::optional<AimLine> line = find_aim_line(*stage, fixture);
        if (!line)
            return "none";
        return stage->surfaces[line->surface].id + " " + print_number(line->along);
    };
    CHECK(line_of({2, -1, 0}, 0) == "wall 2");
    CHECK(line_of({2, -1, 0}, 45) == "wall 3");    // aslant: a metre on for a metre out
    CHECK(line_of({5, -2, 0}, 0) == "wall.bay 2"); // left flank 1 m, then half the front
    CHECK(line_of({2, -1, 0}, 180) == "none");     // faces away
    CHECK(line_of({2, 1, 0}, 0) == "none");        // the wall lies behind it
    CHECK(line_of({2, 1, 0}, 180) == "none");      // a wall from behind
    CHECK(line_of({2, -16, 0}, 0) == "none");      // beyond 15 m
    CHECK(line_of({2, -14, 0}, 0) == "wall 2");
    CHECK(line_of({12, 3, 0}, 270) == "side 3");
    CHECK(line_of({12, 9, 0}, 270) == "none"); // past its end
}

TEST_CASE("a report's lines of reach: gable, upper edge, and which fixtures have one") {
    Site site = make_wall_site(10, 3, 0.1);
    site.walls[0].gables = {{.id = "gable", .from = 2, .width = 4, .peak = 5}};
    site.lamps = {{.id = "lamp", .figures = {.lumens = 300, .beam_angle = radians_from_degrees(36)}}};
    site.trees = {{.id = "oak", .at = {5, -8}, .height = 5, .base = 2, .width = 2}};
    site.leaf_sensors = 10;
    const auto add = [&](const char* id, FixtureKind kind, double along) {
        site.fixtures.push_back(
            {.id = id, .kind = kind, .lamp = "lamp", .wall = "wall", .along = along, .setback = 0.4});
    };
    add("U1", FixtureKind::uplight, 3);
    add("U2", FixtureKind::in_ground, 4);
    add("U3", FixtureKind::wash, 8);
    add("P1", FixtureKind::path, 8);
    add("D1", FixtureKind::downlight, 8);
    site.fixtures.push_back({.id = "T1", .lamp = "lamp", .tree = "oak", .setback = 1.0});
    const auto stage = build_stage(site, {});
    Lighting lighting = make_light(*stage, [](const glm::vec3&, const glm::vec3&) { return 30.0; });
    lighting.fixtures = make_fixtures(site, {});
    light_evenly(lighting, *stage, [](const glm::vec3&, const glm::vec3&) { return 15.0; });
    const Report report = measure_report(site, *stage, lighting, {20, 40});
    std::vector<std::string> lines;
    for (const FixtureReach& reach : report.reaches)
        lines.push_back(reach.fixture + " " + reach.surface + " " + print_number(reach.along) + " " +
                        reach.gable);
    CHECK(lines == std::vector<std::string>{"U1 wall 3 gable", "U2 wall 4 gable", "U3 wall 8 "});
    // Upper edge of a gable by its slope: 3 + 2 (1 / 2) m at 3 m, the peak at 4 m.
    const double tops[3] = {4, 5, 3};
    for (int i = 0; i < 3; ++i) {
        REQUIRE(report.reaches[i].levels.size() == 2);
        REQUIRE(report.reaches[i].together.size() == 2);
        CHECK(report.reaches[i].together[0].wall_height == doctest::Approx(tops[i]));
        CHECK(report.reaches[i].together[0].is_to_top);
        CHECK(report.reaches[i].together[0].height == report.reaches[i].together[0].wall_height);
        CHECK(!report.reaches[i].together[1].height);
        CHECK(!report.reaches[i].levels[0].height); // 15 lx of its own
    }
}

TEST_CASE("no reach ends within a window's glass") {
    // Light that falls by the same factor each metre: every level has one height, unless it lies in the
    // glass.
    Site site = make_wall_site(4, 6, 0.15);
    site.walls[0].openings = {{.id = "window", .from = 1.5, .width = 1, .sill = 2.02, .height = 1.3}};
    const auto stage = build_stage(site, {});
    const Surface& wall = stage->surfaces[stage->find_surface("wall")];
    const Lighting lighting = make_light(*stage, [](const glm::vec3& at, const glm::vec3&) {
        return 100 * std::exp(-static_cast<double>(at.z));
    });
    std::vector<double> levels;
    for (double height = 5.5; height > 0.3; height -= 0.1)
        levels.push_back(100 * std::exp(-height));
    int at_sill = 0;
    for (const Reach& reach : measure_line_reach(site, wall, lighting.direct_lx, 2.0, levels)) {
        const double exact = std::log(100 / reach.level_lx);
        REQUIRE(reach.height);
        REQUIRE(reach.stretches.size() == 1);
        if (exact > 2.02 && exact < 3.32) {
            CHECK(*reach.height == doctest::Approx(2.02));
            CHECK(reach.sill_of == "window");
            ++at_sill;
        } else if (std::abs(exact - 2.02) > 0.15 && std::abs(exact - 3.32) > 0.15) {
            CHECK(*reach.height == doctest::Approx(exact).epsilon(1e-3));
            CHECK(reach.sill_of.empty());
        }
    }
    CHECK(at_sill > 10);
}
