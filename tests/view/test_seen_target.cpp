// How a target stands out: luminances given by hand on a bed in a lawn.

#include <doctest/doctest.h>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/seen_target.hpp"

using namespace duskcast;

TEST_CASE("a target's contrast is its luminance against what lies round it") {
    Site site;
    site.units = LengthUnit::metre;
    site.ground.areas = {
        {.id = "bed", .kind = GroundKind::bed, .outline = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}}}};
    site.targets = {{.id = "planting", .on = "bed"}};
    const auto stage = build_stage(site, {});
    const Camera camera = make_camera({.eye = {0, -3, 10}, .look_at = {0, 0, 0}}, 400, 300);
    for (const auto& [on_bed, verdict] : {std::pair(2.0, "does not stand out"), std::pair(4.0, "stands out"),
                                          std::pair(12.0, "a focal point")}) {
        const double wanted = on_bed;
        // L = rho E / pi, so that the bed sends `wanted` cd/m2 and the lawn 1.
        const BouncedLight bounced = [&](const Hit& hit, const glm::vec3& position, const glm::vec3&) {
            const bool is_bed = std::abs(position.x) < 1 && std::abs(position.y) < 1;
            return (is_bed ? wanted : 1.0) * pi / glm::dvec3(stage->reflectance_at(hit, position));
        };
        const ViewImage image = trace_view(*stage, {}, camera, 0, bounced);
        const SeenTarget seen = measure_seen_targets(image, find_regions(site, *stage)).at(0);
        CHECK(seen.luminance == doctest::Approx(wanted).epsilon(0.02)); // pixels on the edge are mixed
        CHECK(seen.surroundings == doctest::Approx(1).epsilon(0.03));
        CHECK(seen.contrast == doctest::Approx(wanted).epsilon(0.04));
        CHECK(describe_seen_target(seen).ends_with(std::string(": ") + verdict));
        // Its solid angle: 4 m2 cos / d^2 with cos = 10 / d, the bed being small against the distance.
        const double distance = std::sqrt(109.0);
        const double steradians = 4 * 10 / std::pow(distance, 3);
        CHECK(static_cast<double>(seen.pixels) ==
              doctest::Approx(steradians * camera.pixels_per_tangent * camera.pixels_per_tangent)
                  .epsilon(0.03));
    }
    site.targets[0].id = "behind";
    const Camera away = make_camera({.eye = {0, -3, 10}, .look_at = {0, -30, 10}}, 100, 60);
    const SeenTarget unseen =
        measure_seen_targets(trace_view(*stage, {}, away, 0), find_regions(site, *stage)).at(0);
    CHECK(unseen.pixels == 0);
    CHECK(describe_seen_target(unseen) == "not in sight");
}
