// Light where it should not go: by hand from E = I cos / d^2 and from the candela of a lamp's distribution.

#include "duskcast/measure/stray.hpp"
#include "measure_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE("light on a window, candela towards an eye") {
    Site site;
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    site.zone = Zone::e2;
    // 8 m to the east of the lamp, 6 m up: 10 m off, 0.8 = cos on an upright plane that faces west.
    site.watch_points = {{.id = "bedroom", .kind = WatchKind::window, .at = {8, 0, 6}, .facing = 1.5 * pi},
                         {.id = "line", .kind = WatchKind::boundary, .at = {0, 5, 0.1}}};
    site.eyes = {{.id = "driver", .at = {0, -20, 0.1}, .look_at = glm::dvec3{5, -20, 0.1}}};
    const auto stage = build_stage(site, {});
    Distribution even{.c = {0}, .gamma = {0, pi}, .candela = {500, 500}};
    Lighting lighting = trace_lighting(*stage, {make_fixture({0, 0, 0.1f}, {}, even)});
    const StrayReport report = measure_stray(site, *stage, lighting, {});
    REQUIRE(report.watch_points.size() == 2);
    const double square = 64 + 5.9 * 5.9; // the lens stands 0.1 m high
    CHECK(report.watch_points[0].direct_lx ==
          doctest::Approx(500 / square * 8 / std::sqrt(square)).epsilon(1e-3));
    CHECK(report.watch_points[0].bounced_lx == 0);
    // The worst plane at the boundary faces the lamp: 500 / 25 lx from the south.
    CHECK(report.watch_points[1].is_worst);
    CHECK(report.watch_points[1].direct_lx == doctest::Approx(20).epsilon(2e-3));
    CHECK(degrees_from_radians(report.watch_points[1].facing) == doctest::Approx(180));
    REQUIRE(report.glimpses.size() == 1);
    CHECK(report.glimpses[0].candela == doctest::Approx(500).epsilon(1e-3));
    // The driver looks east, the lamp is due north: square to it.
    REQUIRE(report.glimpses[0].off_sight.has_value());
    CHECK(degrees_from_radians(*report.glimpses[0].off_sight) == doctest::Approx(90).epsilon(1e-3));
    // EN 12193:2008 for E2: 5 lx, 7500 cd, 5 % (as quoted with CIE 150:2003).
    REQUIRE(report.limits.vertical_lx.has_value());
    CHECK(report.limits.vertical_lx->value == 5);
    CHECK(report.limits.candela->value == 7500);
    CHECK(report.limits.upward_share->value == doctest::Approx(0.05));
}

TEST_CASE("a lens behind a wall is not seen") {
    Site site;
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    site.walls = {{.id = "wall", .path = {{-5, 0}, {5, 0}}, .height = 4}};
    site.eyes = {{.id = "behind", .at = {0, 3, 1}}, {.id = "before", .at = {0, -3, 1}}};
    const auto stage = build_stage(site, {});
    const Distribution even{.c = {0}, .gamma = {0, pi}, .candela = {500, 500}};
    const Lighting lighting = trace_lighting(*stage, {make_fixture({0, -1, 0.5f}, {}, even)});
    const StrayReport report = measure_stray(site, *stage, lighting, {});
    REQUIRE(report.glimpses.size() == 2);
    for (const Glimpse& glimpse : report.glimpses)
        CHECK(glimpse.candela == doctest::Approx(glimpse.eye == "behind" ? 0 : 500).epsilon(1e-3));
}
