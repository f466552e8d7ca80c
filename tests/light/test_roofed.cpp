// Bounced light where bodies overlap, as those of roofs do: patches are partly buried then.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/light/solve_bounce.hpp"
#include "lamps.hpp"

using namespace duskcast;

TEST_CASE("a patch that is partly buried reflects what its finish does, and energy closes") {
    Site site{.is_as_new = true, .ambient = 0.1};
    const Finish white{"", glm::dvec3(0.5)};
    Wall front{.id = "front", .path = {{0, 0}, {10, 0}}, .height = 3, .finish = white};
    front.gables = {{.id = "gable", .from = 1, .width = 4, .peak = 5.5}};
    front.eave = Eave{.depth = 0.45, .thickness = 0.2, .rake_depth = 0.25, .soffit = white};
    site.walls = {front};
    site.roofs = {{.id = "roof",
                   .wall = "front",
                   .depth = 6,
                   .rise_in_12 = 9,
                   .cover = RoofCover::metal,
                   .finish = Finish{"", glm::dvec3(0.2)},
                   .trim = white,
                   .has_gutters = true,
                   .chimneys = {{.id = "flue", .at = {7, 3}, .finish = white}}}};
    site.sensor_spacing = 0.5;
    site.ground_spacing = 1;
    site.ground.margin = 3;
    const auto stage = build_stage(site, ".");
    const std::vector<LitFixture> fixtures{test::make_point("up", {3, -1, 0.3f}),
                                           test::make_point("far", {8, -4, 2})};
    const BounceSetup setup = set_up_bounce(*stage, fixtures, site.ambient);
    for (const glm::vec3& reflectance : setup.bounce->patches.reflectance)
        CHECK(reflectance.g <= 0.5f + 1e-5f);
    Lighting lighting = trace_lighting(*stage, fixtures);
    add_bounce(setup, lighting);
    for (const double lux : lighting.bounced_lx)
        REQUIRE(std::isfinite(lux));
    // What is emitted is absorbed, or leaves (conservation of energy); bounces end at a thousandth.
    const EnergyBalance& energy = lighting.energy;
    CHECK(energy.emitted > 1);
    CHECK(energy.absorbed + energy.sky + energy.lost == doctest::Approx(energy.emitted).epsilon(2e-3));
}
