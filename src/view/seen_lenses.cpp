// The lenses that an eye looks into.

#include <algorithm>
#include <cmath>
#include <optional>

#include "duskcast/view/view_trace.hpp"

namespace duskcast {

std::vector<SeenLens> find_lenses(const Stage& stage, const std::vector<LitFixture>& fixtures,
                                  const Camera& camera) {
    std::vector<SeenLens> found;
    const glm::vec3 eye(camera.eye);
    for (std::size_t i = 0; i < fixtures.size(); ++i) {
        const LitFixture& fixture = fixtures[i];
        const std::optional<glm::dvec2> place = camera.project(fixture.lens.centre);
        if (!place || fixture.table.values().empty())
            continue;
        const glm::vec3 way = eye - fixture.lens.centre;
        const float distance = glm::length(way);
        const glm::vec3 direction = way / distance;
        const double candela = FixtureCandela(fixture).towards(direction);
        if (!(candela > 0))
            continue;
        std::vector<Ray> rays;
        for (int spot = 0; spot < Sight::lens_samples; ++spot)
            rays.push_back(make_ray(eye, lens_spot(fixture.lens, eye, spot), end_before(distance / 2)));
        stage.kernel->find_occluded(rays, Coherence::coherent);
        const auto seen =
            std::count_if(rays.begin(), rays.end(), [](const Ray& ray) { return !ray.is_occluded(); });
        if (seen == 0)
            continue;
        const double share = static_cast<double>(seen) / Sight::lens_samples;
        const double tilt = fixture.lens.is_flush
                                ? std::abs(direction.z)
                                : std::abs(glm::dot(glm::dvec3(direction), beam_axis(fixture.aim)));
        const double radius = std::max(fixture.lens.diameter / 2.0, 0.005);
        const double area = pi * radius * radius * std::max(tilt, 0.1);
        SeenLens lens{.fixture = i, .place = *place};
        lens.radius = camera.pixels_per_tangent * radius / glm::dot(glm::dvec3(-way), camera.forward);
        lens.eye_lx = candela * share / (distance * distance) * fixture.colour;
        lens.luminance = candela / area * fixture.colour;
        found.push_back(lens);
    }
    return found;
}

} // namespace duskcast
