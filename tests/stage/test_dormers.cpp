// Dormers on the stage: closed bodies whose upper faces are the planes that rise from their eaves, worked out
// point by point and compared with rays; where a dormer ends, its highest line meets the roof (similar
// triangles).

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/base/random.hpp"
#include "duskcast/site/dormer_plan.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Site make_house_with(const Dormer& dormer) {
    Site site;
    site.roofs = {{.id = "roof",
                   .outline = {{0, 0}, {10, 0}, {10, 8}, {0, 8}},
                   .height = 3,
                   .rise_in_12 = 12,
                   .overhang = 0,
                   .thickness = 0.2,
                   .dormers = {dormer}}};
    site.sensor_spacing = site.ground_spacing = 0.5;
    return site;
}

double upper_at(const Stage& stage, double x, double y) {
    const Hit hit =
        stage.kernel->find_hit({static_cast<float>(x), static_cast<float>(y), 50}, {0, 0, -1}, 0, 100);
    return hit ? 50 - static_cast<double>(hit.distance) : -1;
}

} // namespace

TEST_CASE("a dormer's covering rises from its eaves until it meets the roof") {
    for (const DormerForm form : {DormerForm::gable, DormerForm::shed}) {
        const bool is_gable = form == DormerForm::gable;
        Dormer dormer{.id = "dormer", .form = form, .from = 3, .width = 2, .back = 0.5, .height = 1};
        dormer.rise_in_12 = is_gable ? 9 : 3;
        dormer.overhang = 0.2;
        const Site site = make_house_with(dormer);
        const RoofPlan roof = plan_roof(site, site.roofs[0]);
        const DormerPlan plan = plan_dormer(roof, dormer);
        // The roof rises by 1 in 1 from 3.2 m at its edge; 0.5 m in it is 3.7 m up, and the eave 4.7 m.
        CHECK(plan.foot == doctest::Approx(3.7));
        CHECK(plan.eave == doctest::Approx(4.7));
        CHECK(plan.top == doctest::Approx(is_gable ? 4.7 + 0.75 : 4.7 + 0.25 * 1 / 0.75));
        CHECK(plan.back == doctest::Approx(plan.top - 3.2)); // where the roof is as high
        const auto stage = build_stage(site, ".");
        const double slab = upper_at(*stage, 4, 0.6) - (is_gable ? 4.7 + 0.75 : 4.7 + 0.25 * 0.1);
        CHECK(slab > 0.02);
        CHECK(slab < 0.1);
        Random random(5);
        for (int i = 0; i < 3000; ++i) {
            const double x = 2 + 4 * static_cast<double>(random.uniform()),
                         y = 0.01 + 3.9 * static_cast<double>(random.uniform());
            double expected = 3.2 + y;
            const bool is_over = x > 2.8 && x < 5.2 && y > 0.3;
            if (is_over) {
                const double in = std::min(x - 3, 5 - x);
                expected = std::max(expected, 4.7 + slab + (is_gable ? 0.75 * in : 0.25 * (y - 0.5)));
            }
            CAPTURE(x);
            CAPTURE(y);
            CHECK(upper_at(*stage, x, y) == doctest::Approx(expected).epsilon(1e-4));
        }
    }
}

TEST_CASE("a dormer is closed round its window, whose pane is set back by its reveal") {
    Dormer dormer{.id = "dormer", .from = 3, .width = 2, .back = 0.5, .height = 1.4};
    dormer.window =
        Opening{.id = "pane", .from = 0.4, .width = 1.2, .sill = 0.3, .height = 0.9, .reveal = 0.1};
    dormer.window->glow = Glow{.luminance = 5};
    const auto stage = build_stage(make_house_with(dormer), ".");
    const std::vector<Facet> walls = facets_of(*stage, "roof.dormer");
    CHECK(glm::length(sum_solid(walls).normals) < 1e-4);
    const std::vector<Facet> pane = facets_of(*stage, "roof.dormer.pane");
    REQUIRE(pane.size() == 2);
    CHECK(sum_solid(pane).area == doctest::Approx(1.2 * 0.9).epsilon(1e-5));
    CHECK(sum_solid(pane).normals.y == doctest::Approx(-1.2 * 0.9).epsilon(1e-5)); // to the front, south
    REQUIRE(stage->glow_sources.size() == 1);
    CHECK(stage->glow_sources[0].lumens() == doctest::Approx(pi * 5 * 1.2 * 0.9).epsilon(1e-5));
    // Rays from the south over its front: 3.7 m up is its foot, and its gable rises as the roof does.
    Random random(8);
    for (int i = 0; i < 2000; ++i) {
        const double x = 3.01 + 1.98 * static_cast<double>(random.uniform()),
                     z = 3.72 + 2.3 * static_cast<double>(random.uniform());
        if (z > 5.1 + std::min(x - 3, 5 - x) - 0.01)
            continue;
        const Hit hit =
            stage->kernel->find_hit({static_cast<float>(x), -9, static_cast<float>(z)}, {0, 1, 0}, 0, 50);
        const bool is_pane = x > 3.4 && x < 4.6 && z > 4.0 && z < 4.9;
        const bool is_edge = std::abs(z - 5.1 - std::min(x - 3, 5 - x)) < 0.3; // under the overhang's edge
        if (is_edge)
            continue;
        CAPTURE(x);
        CAPTURE(z);
        CHECK(static_cast<double>(hit.distance) == doctest::Approx(is_pane ? 9.598 : 9.5).epsilon(1e-4));
        CHECK((stage->surfaces[static_cast<std::size_t>(stage->opaque.surface[hit.facet])].id ==
               "roof.dormer.pane") == is_pane);
    }
}
