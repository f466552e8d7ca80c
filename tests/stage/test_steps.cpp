// Steps and railings on the stage. Volumes, areas and shares are closed forms of plane and solid geometry.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/site/finish.hpp"
#include "duskcast/site/steps_plan.hpp"
#include "duskcast/stage/solid_bodies.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Site make_stoop() {
    Site site;
    site.walls = {{.id = "house", .path = {{0, 0}, {8, 0}}, .height = 3}};
    site.steps = {{.id = "stoop",
                   .wall = "house",
                   .along = 4,
                   .width = 1.5,
                   .height = 0.9,
                   .riser = 0.2,
                   .tread = 0.3,
                   .landing = 1.0}};
    site.ground.areas = {
        {.id = "pad", .kind = GroundKind::paving, .outline = {{2, -4}, {6, -4}, {6, 0}, {2, 0}}}};
    site.sensor_spacing = 0.1;
    site.ground_spacing = 0.5;
    site.ground.margin = 2;
    return site;
}

} // namespace

TEST_CASE("a flight has as many steps as its riser allows, and its treads are where they should be") {
    const Site site = make_stoop();
    CHECK(count_steps(site.steps[0]) == 5); // 0.9 / 0.2 = 4.5
    CHECK(count_steps({.height = 0.8, .riser = 0.2}) == 4);
    CHECK(count_steps({.height = 0.81, .riser = 0.2}) == 5);
    const StepsPlan plan = plan_steps(site, site.steps[0]);
    CHECK(plan.rise == doctest::Approx(0.18));
    CHECK(plan.head == glm::dvec2(4, 0));
    CHECK(plan.down == glm::dvec2(0, -1));
    for (std::size_t i = 0; i < 5; ++i) {
        const double step = static_cast<double>(i);
        CHECK(plan.treads[i].top == doctest::Approx(0.9 - 0.18 * step));
        CHECK(plan.treads[i].outline[0].y == doctest::Approx(-1 - 0.3 * step));
        CHECK(signed_area(plan.treads[i].outline) == doctest::Approx(1.5 * (i == 0 ? 1.0 : 0.3)));
    }
}

TEST_CASE("steps are closed bodies with sensors on every tread, and hide what is within them") {
    const auto stage = build_stage(make_stoop(), ".");
    const SolidSums sums = sum_solid(facets_of(*stage, "stoop"));
    CHECK(glm::length(sums.normals) < 1e-5);
    CHECK(count_open_edges(facets_of(*stage, "stoop")) == 0);
    // They go 0.3 m into the ground.
    const double volume = 1.5 * (1.0 * 1.2 + 0.3 * (0.72 + 0.54 + 0.36 + 0.18 + 4 * 0.3));
    CHECK(sums.volume == doctest::Approx(volume).epsilon(1e-5));

    const Surface& surface = stage->surfaces[stage->find_surface("stoop")];
    CHECK(surface.kind == SurfaceKind::steps);
    CHECK(surface.area == doctest::Approx(1.5 * 2.2).epsilon(1e-6));
    REQUIRE(surface.count > 250); // a hundred to the square metre
    std::array<double, 5> areas{};
    for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i) {
        CHECK(stage->sensors.normal(i) == glm::vec3(0, 0, 1));
        const glm::vec3 at = stage->sensors.position(i);
        const double step = at.y > -1 ? 0 : std::ceil((-1 - static_cast<double>(at.y)) / 0.3);
        CHECK(static_cast<double>(at.z) == doctest::Approx(0.9 - 0.18 * step).epsilon(1e-5));
        areas[static_cast<std::size_t>(step)] += stage->sensors.area[i];
    }
    for (std::size_t i = 0; i < 5; ++i)
        CHECK(areas[i] == doctest::Approx(1.5 * (i == 0 ? 1.0 : 0.3)).epsilon(0.03));

    const SolidBodies bodies(stage->opaque);
    for (std::size_t i = 0; i < stage->sensors.size(); ++i)
        CHECK_FALSE(bodies.contain(step_off(stage->sensors.position(i), stage->sensors.normal(i))));
    CHECK(stage->surfaces[stage->find_surface("pad")].area == doctest::Approx(16 - 1.5 * 2.2).epsilon(1e-4));
}

TEST_CASE("a railing stands open but for its balusters, which leave no more than four inches") {
    Site site;
    site.railings = {{.id = "rail", .path = {{0, 0}, {3, 0}}, .foot = 0.5, .post_spacing = 2}};
    site.sensor_spacing = site.ground_spacing = 0.5;
    const auto stage = build_stage(site, ".");
    const SolidSums sums = sum_solid(facets_of(*stage, "rail"));
    CHECK(sums.low.z == doctest::Approx(0.49));                 // posts stand a little into the floor
    CHECK(sums.high.z == doctest::Approx(0.5 + 37.5 * 0.0254)); // and rise above the handrail
    // Level rays square to it at half its height: of each bay of 1.5 m, its posts of 3.5 in taken off, as
    // many balusters of 1.25 in as leave gaps of at most 4 in.
    const double inch = 0.0254, open = 1.5 - 3.5 * inch;
    const double count = std::ceil((open - 4 * inch) / (5.25 * inch));
    const int rays = 30000;
    int blocked = 0, gap = 0, widest = 0;
    for (int i = 0; i < rays; ++i) {
        const auto x = static_cast<float>(3 * (i + 0.5) / rays);
        Ray ray = make_ray({x, -1, 0.95f}, {x, 1, 0.95f}, 1);
        stage->kernel->find_occluded({&ray, 1}, Coherence::incoherent);
        blocked += ray.is_occluded() ? 1 : 0;
        gap = ray.is_occluded() ? 0 : gap + 1;
        widest = std::max(widest, gap);
    }
    const double expected =
        (2 * 3.5 * inch + 2 * count * 1.25 * inch) / 3; // half of each end's post is beyond
    CHECK(blocked / static_cast<double>(rays) == doctest::Approx(expected).epsilon(1e-3));
    CHECK(widest * 3.0 / rays <= 4 * inch + 1e-3);
    CHECK(widest * 3.0 / rays == doctest::Approx((open - count * 1.25 * inch) / (count + 1)).epsilon(1e-3));
}

TEST_CASE("a railing follows steps at its height above their noses") {
    Site site = make_stoop();
    site.steps[0].railing = RailingSides::both;
    site.steps[0].railing_height = 0.9;
    const auto stage = build_stage(site, ".");
    const StepsPlan plan = plan_steps(site, site.steps[0]);
    REQUIRE(plan.railings.size() == 2);
    CHECK(plan.railings[0][0].x < 4); // who goes up to the north has the west on the left
    const double inset = 2.5 * 0.0254;
    for (const std::vector<glm::dvec3>& line : plan.railings)
        for (double out = 0.3; out < 2.1; out += 0.0937) {
            // From the landing's nose the line falls by a step's rise for each tread.
            const double nose = 0.9 - std::max(0.0, out - (1 - inset)) * 0.18 / 0.3;
            const Hit hit = stage->kernel->find_hit(
                {static_cast<float>(line[0].x), static_cast<float>(-out), 5}, {0, 0, -1}, 0, 9);
            const double top = 5 - static_cast<double>(hit.distance) - nose;
            CAPTURE(out);
            CHECK(top > 0.9 - 1e-3);
            CHECK(top < 0.9 + 0.05 + 0.18 / 0.3 * 0.1); // a post, whose top is level
        }
    site.steps[0].railing = RailingSides::right;
    CHECK(plan_steps(site, site.steps[0]).railings.size() == 1);
    CHECK(plan_steps(site, site.steps[0]).railings[0][0].x > 4);
}
