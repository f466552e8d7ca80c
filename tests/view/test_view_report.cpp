// The figures of a view: luminances given by hand.

#include <doctest/doctest.h>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/view_report.hpp"

using namespace duskcast;

TEST_CASE("a target's contrast is its luminance against what lies round it") {
    Site site{.is_as_new = true};
    site.units = LengthUnit::metre;
    site.ground.areas = {
        {.id = "bed", .kind = GroundKind::bed, .outline = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}}}};
    site.targets = {{.id = "planting", .on = "bed"}};
    const auto stage = build_stage(site, {});
    const Camera camera = make_camera({.eye = {0, -3, 10}, .look_at = {0, 0, 0}}, 400, 300);
    for (const double wanted : {2.0, 4.0, 12.0}) {
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
        CHECK(seen.is_recognisable() == (wanted >= 3));
        CHECK(seen.is_focal() == (wanted >= 10));
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
    CHECK_FALSE(unseen.is_recognisable());
}

TEST_CASE("a view's mean and highest luminance, and the lenses it shows") {
    ViewImage image{.camera = make_camera({.eye = {0, 0, 1}, .look_at = {0, 1, 1}}, 4, 2)};
    // A grey of L in all three channels has luminance L: seven pixels of 1 and one of 9 have a mean of 2.
    image.luminance.assign(8, glm::vec3(1));
    image.luminance[5] = glm::vec3(9);
    image.surface.assign(8, -1);
    image.distance.assign(8, 1.0f);
    SeenLens lens{.fixture = 1};
    lens.luminance = glm::dvec3(300);
    lens.eye_lx = glm::dvec3(0.25);
    image.lenses = {lens};
    std::vector<LitFixture> fixtures(2);
    fixtures[0].id = "U1";
    fixtures[1].id = "U2";
    const ViewReport report = measure_view("street", image, fixtures, {});
    CHECK(report.view == "street");
    CHECK(report.width == 4);
    CHECK(report.height == 2);
    CHECK(report.mean == doctest::Approx(2));
    CHECK(report.max == doctest::Approx(9));
    CHECK(report.targets.empty());
    REQUIRE(report.lenses.size() == 1);
    CHECK(report.lenses[0].fixture == "U2");
    CHECK(report.lenses[0].luminance == doctest::Approx(300));
    CHECK(report.lenses[0].eye_lx == doctest::Approx(0.25));
}
