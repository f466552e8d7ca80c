// A house whose upper storey stands back: walls that begin at a height, and the roof of the storey below that
// shows before them.

#include <doctest/doctest.h>

#include "duskcast/site/roof_plan.hpp"
#include "duskcast/stage/solid_bodies.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE("an upper storey stands back behind the roof of the lower one") {
    Site site;
    Wall lower{.id = "lower", .path = {{0, 0}, {12, 0}, {12, 8}, {0, 8}}, .closed = true};
    lower.height = 3;
    Wall upper{.id = "upper", .path = {{2, 2}, {10, 2}, {10, 8}, {2, 8}}, .closed = true};
    upper.foot = upper.height = 3;
    site.walls = {lower, upper};
    site.roofs = {{.id = "skirt", .form = RoofForm::hip, .wall = "lower", .rise_in_12 = 3, .overhang = 0.3},
                  {.id = "top", .form = RoofForm::hip, .wall = "upper"}};
    site.sensor_spacing = 0.1;
    const auto stage = build_stage(site, ".");
    const RoofPlan skirt = plan_roof(site, site.roofs[0]);
    // 2 m behind its edge and 0.3 m of overhang, at 3 in 12, from 0.15 m above the lower wall.
    CHECK(skirt.top_at({6, 2}) == doctest::Approx(3.15 + 2.3 * 0.25));
    const Surface& wall = stage->surfaces[static_cast<std::size_t>(stage->find_surface("upper"))];
    const SolidBodies bodies(stage->opaque);
    double front = 0;
    for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i) {
        const glm::vec3 at = stage->sensors.position(i);
        CHECK(static_cast<double>(at.z) > skirt.top_at(glm::dvec2(at)) - 1e-3);
        CHECK_FALSE(bodies.contain(step_off(at, stage->sensors.normal(i))));
        if (stage->sensors.ny[i] < -0.5f)
            front += stage->sensors.area[i];
    }
    // What is seen of the front: 8 m, from where the skirt meets it to the top roof.
    CHECK(front == doctest::Approx(8 * (6 - 3.725)).epsilon(0.03));
    // From before it one sees the wall above the skirt, and the skirt above the lower wall.
    const auto seen = [&](float z) {
        const Hit hit = stage->kernel->find_hit({6, -20, z}, {0, 1, 0}, 0, 50);
        return stage->surfaces[static_cast<std::size_t>(stage->opaque.surface[hit.facet])].id;
    };
    CHECK(seen(1.5f) == "lower");
    CHECK(seen(3.5f) == "skirt");
    CHECK(seen(4.5f) == "upper");
    CHECK(seen(6.5f) == "top");
}
