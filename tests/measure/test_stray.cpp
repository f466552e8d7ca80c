// Light where it should not go: on windows, into eyes, upwards.

#include <algorithm>

#include "duskcast/measure/spill.hpp"
#include "duskcast/measure/stray.hpp"
#include "measure_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Site make_watched_site() {
    Site site{.is_as_new = true};
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    site.ground.areas = {{.id = "bed", .outline = {{-2, -2}, {2, -2}, {2, 2}, {-2, 2}}}};
    site.ground_spacing = 1;
    return site;
}

LitFixture make_named(const std::string& id, const glm::vec3& at, const Aim& aim,
                      const Distribution& distribution) {
    LitFixture fixture = make_fixture(at, aim, distribution);
    fixture.id = id;
    return fixture;
}

/// The report of fixtures given by hand.
StrayReport measure(const Site& site, std::vector<LitFixture> fixtures,
                    const std::vector<double>& bounced_lx = {}) {
    const auto stage = build_stage(site, {});
    Spill spill;
    for (const LitFixture& fixture : fixtures)
        add_spill(*stage, {}, find_places(*stage, fixture.lens, {}), fixture, spill);
    const Lighting lighting = trace_lighting(*stage, std::move(fixtures));
    return measure_stray(site, *stage, lighting, spill, bounced_lx);
}

std::optional<double> facing(double degrees) {
    return radians_from_degrees(degrees);
}

} // namespace

TEST_CASE("light on an upright plane is I cos / d^2") {
    // Inverse-square law (IES definition 9.1.1), by hand: 100 cd from (0, 0, 1) to (0, 6, 9): d = 10 m, and a
    // plane that faces south has its normal 53.13 degrees off: 100 x 0.6 / 100 = 0.6 lx.
    Site site = make_watched_site();
    const LitFixture lamp = make_named("A", {0, 0, 1}, {}, make_isotropic(100));
    site.watch_points = {{"south", WatchKind::window, {0, 6, 9}, facing(180)},
                         {"askew", WatchKind::window, {0, 6, 9}, facing(240)},
                         {"away", WatchKind::window, {0, 6, 9}, facing(0)},
                         {"any", WatchKind::boundary, {0, 6, 9}, {}},
                         {"level", WatchKind::boundary, {3, 4, 1}, {}}};
    const StrayReport report = measure(site, {lamp});
    REQUIRE(report.watch_points.size() == 5);
    CHECK(report.watch_points[0].direct_lx == doctest::Approx(0.6).epsilon(3e-4));
    CHECK(report.watch_points[1].direct_lx == doctest::Approx(0.6 * 0.5).epsilon(3e-4));
    CHECK(report.watch_points[2].direct_lx == 0);
    CHECK(report.watch_points[2].most_from == "");
    CHECK(report.watch_points[3].direct_lx == doctest::Approx(0.6).epsilon(3e-4));
    CHECK(report.watch_points[3].is_worst);
    CHECK(degrees_from_radians(report.watch_points[3].facing) == doctest::Approx(180));
    // d = 5 m square on at azimuth 216.87 degrees; planes stand every 5 degrees, so up to 1 - cos 2.5 short.
    CHECK(report.watch_points[4].direct_lx <= 4.0 * (1 + 3e-4));
    CHECK(report.watch_points[4].direct_lx >= 4.0 * (std::cos(radians_from_degrees(2.5)) - 3e-4));
    CHECK(report.watch_points[4].most_from == "A");
}

TEST_CASE("a window opposite a glowing wall has the light of its configuration factor") {
    // A wall of 6 m x 4 m and 3 cd/m2 squarely opposite at 10 m: pi L F = 0.66298 lx, F four times the
    // corner factor of Howell's catalogue. Here the wall is 384 small cosine emitters of L dA candela each.
    Site site = make_watched_site();
    site.watch_points = {{"pane", WatchKind::window, {0, -10, 3}, facing(0)}};
    std::vector<LitFixture> wall;
    const double cell = 0.25;
    for (int column = 0; column < 24; ++column)
        for (int row = 0; row < 16; ++row)
            wall.push_back(make_named("W",
                                      {static_cast<float>(-3 + (column + 0.5) * cell), 0,
                                       static_cast<float>(1 + (row + 0.5) * cell)},
                                      {.tilt = pi / 2, .azimuth = pi}, make_cosine(120, 3 * cell * cell)));
    const StrayReport report = measure(site, wall);
    CHECK(report.watch_points[0].direct_lx == doctest::Approx(0.66298).epsilon(1e-3));
    // Level emitters: half of what they give goes up.
    CHECK(report.upward_share == doctest::Approx(0.5).epsilon(0.002));
}

TEST_CASE("fixtures add up, the one that gives most is named, and what is thrown back comes on top") {
    Site site = make_watched_site();
    site.watch_points = {{"pane", WatchKind::window, {0, 10, 2}, facing(180)},
                         {"line", WatchKind::boundary, {10, 0, 2}, {}}};
    const std::vector<LitFixture> lamps{make_named("near", {0, 5, 2}, {}, make_isotropic(50)),
                                        make_named("far", {0, 0, 2}, {}, make_isotropic(100))};
    const WatchPlanes planes = make_watch_planes(site);
    CHECK(planes.first == std::vector<std::size_t>{0, 1, 73});
    // 50 / 25 + 100 / 100 (inverse-square law).
    StrayReport report = measure(site, lamps);
    CHECK(report.watch_points[0].direct_lx == doctest::Approx(3).epsilon(3e-4));
    CHECK(report.watch_points[0].most_from == "near");
    CHECK(report.watch_points[0].most_lx == doctest::Approx(2).epsilon(3e-4));
    CHECK(report.watch_points[0].bounced_lx == 0);

    // Much light thrown back from the east makes east the worst way to face.
    std::vector<double> bounced_lx(planes.sensors.size(), 0.0);
    bounced_lx[0] = 0.25;
    for (std::size_t i = 1; i < bounced_lx.size(); ++i)
        bounced_lx[i] = 20 * std::max(0.0, std::sin(planes.facing[i]));
    report = measure(site, lamps, bounced_lx);
    CHECK(report.watch_points[0].direct_lx == doctest::Approx(3).epsilon(3e-4));
    CHECK(report.watch_points[0].bounced_lx == 0.25);
    CHECK(degrees_from_radians(report.watch_points[1].facing) == doctest::Approx(90));
    CHECK(report.watch_points[1].bounced_lx == doctest::Approx(20));
}

TEST_CASE("what stands between keeps light off a window and out of an eye") {
    // A wall 4 m high along x from 0 to 6 m; the lamp before it, the window and the eye behind.
    Site site = make_wall_site(6, 4, 0.5);
    site.watch_points = {{"behind", WatchKind::window, {3, 5, 2}, facing(180)},
                         {"above", WatchKind::window, {3, 5, 20}, facing(180)}};
    site.eyes = {{"hidden", {3, 5, 1.6}, {}}, {"open", {3, -9, 1.6}, {}}};
    LitFixture lamp = make_named("A", {3, -2, 1}, {}, make_isotropic(100));
    const StrayReport report = measure(site, {lamp});
    CHECK(report.watch_points[0].direct_lx == 0);
    CHECK(report.watch_points[1].direct_lx > 0);
    REQUIRE(report.fixtures_in_view.size() == 2);
    CHECK(report.fixtures_in_view[0].visible_share == 0);
    CHECK(report.fixtures_in_view[0].candela == 0);
    CHECK(report.fixtures_in_view[1].visible_share == 1);
    CHECK(report.fixtures_in_view[1].candela == doctest::Approx(100).epsilon(3e-4));
    CHECK(!report.fixtures_in_view[1].off_sight);

    // Seen past the wall's end, the line from the eye to the lens's middle touching it: half the lens. An
    // edge's share by sixteen rays is off by 0.14 at most (direct.cpp).
    lamp.lens.diameter = 0.3f;
    lamp.lens.centre = {7, -2, 1};
    site.eyes = {{"edge", {5, 2, 1}, {}}};
    const StrayReport half = measure(site, {lamp});
    CHECK(std::abs(half.fixtures_in_view[0].visible_share - 0.5) <= 0.14);
    CHECK(half.fixtures_in_view[0].candela ==
          doctest::Approx(100 * half.fixtures_in_view[0].visible_share).epsilon(3e-4));
}

TEST_CASE("candela towards an eye are the lamp's at that angle, and the angle off its sight is said") {
    // 1000 cd cos^n, n = ln 0.5 / ln cos(beam / 2), beam 60 degrees; lens at (0, 0, 1), upright; the eye
    // 3 m away and 4 m higher: atan(3 / 4) = 36.87 degrees off the beam, cos = 0.8.
    Site site = make_watched_site();
    site.views = {{"porch", {3, 0, 5}, {3, 0, 0}, radians_from_degrees(50)}};
    site.eyes = {{"guest", {3, 0, 5}, glm::dvec3(0, 0, 1)}, {"any", {0, 0, 0.5}, {}}};
    LitFixture lamp = make_named("A", {0, 0, 1}, {}, make_cosine(60, 1000));
    lamp.scale = 0.5;
    const double n = std::log(0.5) / std::log(std::cos(radians_from_degrees(30)));
    const StrayReport report = measure(site, {lamp});
    REQUIRE(report.fixtures_in_view.size() == 3);
    CHECK(report.fixtures_in_view[0].eye == "porch");
    CHECK(report.fixtures_in_view[0].candela == doctest::Approx(500 * std::pow(0.8, n)).epsilon(1e-3));
    CHECK(report.fixtures_in_view[0].distance == doctest::Approx(5));
    // Looking straight down: the lens lies atan(3 / 4) from that; looking at the lens: not at all.
    CHECK(degrees_from_radians(*report.fixtures_in_view[0].off_sight) == doctest::Approx(36.8698976));
    CHECK(*report.fixtures_in_view[1].off_sight < 1e-6);
    CHECK(report.fixtures_in_view[2].candela == 0); // from below there is no light
}

TEST_CASE("lumens upwards as the limits count them, and as they reach the sky") {
    Site site = make_watched_site();
    site.zone = Zone::e2;
    // Half of an even lamp's light, all of an upright beam's, none of one that points down.
    CHECK(measure(site, {make_named("A", {0, 0, 1}, {}, make_isotropic(100))}).upward_share ==
          doctest::Approx(0.5).epsilon(1e-4));
    CHECK(measure(site, {make_named("A", {0, 0, 1}, {.tilt = pi}, make_cosine(36, 500))}).upward_share <
          1e-9);
    // A beam that a wall catches counts as upwards all the same: 45 degrees up, 1 m before a wall 4 m high.
    const Site walled = make_wall_site(6, 4, 0.5);
    const StrayReport caught =
        measure(walled, {make_named("A", {3, -1, 0.2f}, {.tilt = pi / 4}, make_cosine(10, 500))});
    CHECK(caught.upward_share > 0.999);
    CHECK(caught.sky_share < 0.01);
    CHECK(measure(site, {}).upward_share == 0);
}

TEST_CASE("the limits of the zones") {
    // EN 12193:2008 (same figures as CIE 150:2003), as a secondary source quotes them: light on properties
    // before curfew 2, 5, 10, 25 lx; 2500, 7500, 10000, 25000 cd; upward 0, 5, 15, 25 %.
    const std::array<std::array<double, 3>, 4> quoted{
        {{2, 2500, 0}, {5, 7500, 0.05}, {10, 10000, 0.15}, {25, 25000, 0.25}}};
    for (int i = 0; i < 4; ++i) {
        const ZoneLimits limits = limits_of(static_cast<Zone>(i + 1));
        CHECK(limits.vertical_lx->value == quoted[i][0]);
        CHECK(limits.candela->value == quoted[i][1]);
        CHECK(limits.upward_share->value == quoted[i][2]);
        CHECK(limits.vertical_lx->source == LimitSource::quoted);
    }
    // After curfew 0.1, 1, 2, 5 lx and 0, 500, 1000, 2500 cd: from memory, and said to be.
    const std::array<std::array<double, 2>, 4> remembered{{{0.1, 0}, {1, 500}, {2, 1000}, {5, 2500}}};
    for (int i = 0; i < 4; ++i) {
        const ZoneLimits limits = limits_of(static_cast<Zone>(i + 1));
        CHECK(limits.late_vertical_lx->value == remembered[i][0]);
        CHECK(limits.late_candela->value == remembered[i][1]);
        CHECK(limits.late_vertical_lx->source == LimitSource::remembered);
        CHECK(limits.late_candela->source == LimitSource::remembered);
    }
    CHECK(!limits_of(Zone::e0).vertical_lx);
    CHECK(limits_of(Zone::e0).candela->value == 0);
    CHECK(limits_of(Zone::e0).candela->source == LimitSource::remembered);
}

TEST_CASE("stray light is measured where a site asks for it") {
    Site site = make_watched_site();
    site.views = {{"street", {0, -9, 1.6}, {0, 0, 1}, 1}};
    CHECK(!asks_for_stray(site));
    site.zone = Zone::e0;
    CHECK(asks_for_stray(site));
    site.zone.reset();
    site.eyes = {{"guest", {3, 0, 5}, {}}};
    CHECK(asks_for_stray(site));
    site.eyes.clear();
    site.watch_points = {{"pane", WatchKind::window, {0, 10, 2}, {}}};
    CHECK(asks_for_stray(site));
    const StrayReport dark = measure(site, {});
    REQUIRE(dark.watch_points.size() == 1);
    CHECK(dark.watch_points[0].direct_lx == 0);
}
