// Fountains on the stage. Volumes and areas are closed forms of solid geometry.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/site/fountain_plan.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// m2 of a regular polygon of 32 sides over the square of its radius; pi for a circle.
const double polygon = 16 * std::sin(2 * pi / 32);

double frustum(double low, double high, double height) {
    return polygon * height / 3 * (low * low + low * high + high * high);
}

Site make_fountain_site(const Fountain& fountain) {
    Site site;
    site.fountains = {fountain};
    site.ground_spacing = 0.25;
    site.ground.margin = 3;
    return site;
}

std::vector<Facet> all_facets_of(const Stage& stage) {
    return pick_triangles(stage, [](const Surface& surface) {
        return surface.kind == SurfaceKind::fountain || surface.kind == SurfaceKind::water;
    });
}

} // namespace

TEST_CASE("a basin is a cylinder less what stands above its water") {
    const Fountain fountain{.id = "basin", .at = {2, 1}, .foot = 0.2, .width = 3, .rim = 0.5, .bowls = 0};
    const auto stage = build_stage(make_fountain_site(fountain), ".");
    const SolidSums sums = sum_solid(all_facets_of(*stage));
    CHECK(glm::length(sums.normals) < 1e-5);
    CHECK(count_open_edges(all_facets_of(*stage)) == 0);
    // 6 in of stone round water 2.5 in below the rim; it goes 0.3 m into the ground.
    const double inner = 1.5 - 0.1524, water = 0.0635;
    CHECK(sums.volume == doctest::Approx(polygon * (1.5 * 1.5 * 0.8 - inner * inner * water)).epsilon(1e-5));
    CHECK(sums.low.z == doctest::Approx(-0.1));
    CHECK(sums.high.z == doctest::Approx(0.7));
    const SolidSums surface = sum_solid(facets_of(*stage, "basin.water"));
    CHECK(surface.area == doctest::Approx(polygon * inner * inner).epsilon(1e-5));
    CHECK(surface.normals.z == doctest::Approx(surface.area).epsilon(1e-6));
    // Its sensors stand for what is not in the ground: the outside, the rim and what is inside above the
    // water.
    const Surface& stone = surface_named(*stage, "basin");
    const double outside = 64 * 1.5 * std::sin(pi / 32) * 0.5, ring = polygon * (1.5 * 1.5 - inner * inner),
                 inside = 64 * inner * std::sin(pi / 32) * water;
    CHECK(stone.area == doctest::Approx(outside + ring + inside).epsilon(0.01));
    // No ground is lit within it.
    const Surface& ground = surface_named(*stage, "ground");
    for (std::size_t i = ground.first; i < ground.first + ground.count; ++i)
        CHECK(glm::distance(glm::dvec2(stage->sensors.position(i)), fountain.at) >
              1.5 * std::cos(pi / 32) - 1e-5);
}

TEST_CASE("bowls and jet close the fountain, as high and as wide as it says") {
    for (const int bowls : {1, 2, 3}) {
        const Fountain fountain{.id = "tiers", .width = 2, .bowls = bowls, .height = 1.8, .jet = 0.5};
        const auto stage = build_stage(make_fountain_site(fountain), ".");
        const std::vector<Facet> facets = all_facets_of(*stage);
        const SolidSums sums = sum_solid(facets);
        CHECK(glm::length(sums.normals) < 1e-5);
        CHECK(count_open_edges(facets) == 0);
        CHECK(sums.high.x == doctest::Approx(1));
        // The water stands a little below the highest rim, and the jet that much above it.
        CHECK(sums.high.z > 1.8 + 0.5 - 0.0635 - 1e-6);
        CHECK(sums.high.z < 1.8 + 0.5);
        // As much as its outline turned about the axis holds, whose soft bends are cut a little.
        const FountainProfile plan = plan_fountain(make_fountain_site(fountain), fountain);
        double volume = 0;
        for (std::size_t i = 0; i + 1 < plan.points.size(); ++i)
            volume += frustum(plan.points[i].radius, plan.points[i + 1].radius,
                              plan.points[i + 1].z - plan.points[i].z);
        CHECK(sums.volume == doctest::Approx(volume).epsilon(0.01));
        CHECK(plan.rims.size() == static_cast<std::size_t>(bowls) + 1);
    }
}

TEST_CASE("a basin's water gives off the lumens it is said to, from the ring that no pedestal covers") {
    Fountain fountain{.id = "lit", .width = 3, .bowls = 1, .glow = Glow{.lumens = 120, .cct = 3000}};
    const auto stage = build_stage(make_fountain_site(fountain), ".");
    REQUIRE(stage->glow_sources.size() == 1);
    const GlowSource& source = stage->glow_sources[0];
    CHECK(source.lumens() == doctest::Approx(120).epsilon(1e-6));
    CHECK(stage->surfaces[source.surface].id == "lit.water");
    CHECK(source.area < 0.95 * sum_solid(facets_of(*stage, "lit.water")).area); // the bowl's water is dark
    fountain.bowls = 0;
    const auto bare = build_stage(make_fountain_site(fountain), ".");
    const double inner = 1.5 - 0.1524;
    CHECK(bare->glow_sources[0].area == doctest::Approx(polygon * inner * inner).epsilon(1e-6));
}

TEST_CASE("a fountain stands on the ground where its file says no height") {
    Fountain fountain{.id = "one", .at = {1, 1}, .bowls = 0};
    Site site = make_fountain_site(fountain);
    site.ground.areas = {{.id = "bank", .outline = {{-3, -3}, {4, -3}, {4, 4}, {-3, 4}}, .height = 0.6}};
    CHECK(plan_fountain(site, fountain).foot == doctest::Approx(0.6));
    fountain.foot = 0.1;
    CHECK(plan_fountain(site, fountain).foot == doctest::Approx(0.1));
}
