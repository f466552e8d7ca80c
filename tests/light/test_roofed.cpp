// Bounced light where bodies overlap, as those of roofs do: patches are partly buried then.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/light/reference.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/stage/solid_bodies.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

/// A front with a gable whose rakes and eaves a roof carries.
Site make_roofed_site() {
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
    return site;
}

} // namespace

TEST_CASE("a patch that is partly buried reflects what its finish does, and energy closes") {
    const Site site = make_roofed_site();
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

TEST_CASE("a wall right under rakes and eaves, against traced paths") {
    Site site = make_roofed_site();
    site.ambient = 0;
    site.sensor_spacing = 0.15;
    const auto stage = build_stage(site, ".");
    std::vector<LitFixture> fixtures{test::make_point("left", {2, -0.35f, 0.3f}),
                                     test::make_point("right", {4, -0.35f, 0.3f}),
                                     test::make_point("eave", {7, -0.35f, 0.3f})};
    for (LitFixture& fixture : fixtures)
        fixture.lumens = measure_leaving_lumens(fixture);
    const Surface& front = stage->surfaces[stage->find_surface("front")];
    std::vector<std::uint32_t> under;
    for (std::uint32_t i = front.first; i < front.first + front.count; ++i) {
        const glm::vec3 at = stage->sensors.position(i);
        const float underside = 3 + std::max(0.0f, 2.5f * (1 - std::abs(at.x - 3) / 2));
        if (at.z > underside - 0.35f)
            under.push_back(i);
    }
    REQUIRE(under.size() > 100);
    Lighting lighting = trace_lighting(*stage, fixtures);
    add_bounce(set_up_bounce(*stage, fixtures, site.ambient), lighting);
    double sum = 0, ours = 0, theirs = 0;
    std::size_t count = 0;
    for (const ReferenceLight& light : trace_reference(*stage, fixtures, {.paths = 20000}, under)) {
        if (light.bounced_lx < 0.1)
            continue;
        const double off = lighting.bounced_lx[light.sensor] - light.bounced_lx;
        sum += (off * off - std::pow(light.bounced_error_lx, 2)) / std::pow(light.bounced_lx, 2);
        ours += lighting.bounced_lx[light.sensor];
        theirs += light.bounced_lx;
        ++count;
    }
    REQUIRE(count > 100);
    const double rms = std::sqrt(std::max(0.0, sum / static_cast<double>(count)));
    MESSAGE(count, " sensors, ", 100 * rms, " % rms, mean off by ", 100 * (ours / theirs - 1), " %");
    CHECK(rms < 0.01);
    CHECK(std::abs(ours / theirs - 1) < 0.005);
}

TEST_CASE("what bodies bury does not count as patches") {
    const auto stage = build_stage(make_roofed_site(), ".");
    const SolidBodies bodies(stage->opaque);
    constexpr std::size_t most = 6000;
    const Patches patches(*stage, {.size = 0.02, .most_flat = most});
    std::size_t open = 0, buried = 0;
    for (std::uint32_t i = 0; i < patches.size(); ++i) {
        const PatchPoint point = patches.point_on(i, 0.5f, 0.5f, 0.5f);
        ++(bodies.contain(step_off(point.position, point.normal)) ? buried : open);
    }
    MESSAGE(open, " in the open, ", buried, " buried");
    CHECK(buried > most / 10);
    CHECK(open > 0.8 * most); // cells grow by a tenth a step, their number falls by a fifth at most
    CHECK(open < 1.1 * most); // and rectangles of slanted parts are filled in part
}
