#include "duskcast/light/landing.hpp"

#include <algorithm>
#include <cmath>
#include <tbb/parallel_for.h>

namespace duskcast {

std::span<const glm::vec3> landing_rays() {
    static const std::vector<glm::vec3> rays = [] {
        std::vector<glm::vec3> made(landing_directions);
        for (int i = 0; i < landing_directions; ++i) {
            const double z = 1 - (2.0 * i + 1) / landing_directions;
            const double level = std::sqrt(1 - z * z);
            const double angle = 2.399963229728653 * i; // the golden angle
            made[i] = {static_cast<float>(level * std::cos(angle)),
                       static_cast<float>(level * std::sin(angle)), static_cast<float>(z)};
        }
        return made;
    }();
    return rays;
}

glm::vec3 landing_origin(const Lens& lens) {
    return {lens.centre.x, lens.centre.y, std::max(lens.centre.z, 2 * surface_offset)};
}

std::vector<Hit> trace_landing(const Stage& stage, const Lens& lens) {
    const std::span<const glm::vec3> rays = landing_rays();
    const glm::vec3 from = landing_origin(lens);
    std::vector<Hit> hits(rays.size());
    tbb::parallel_for(std::size_t{0}, rays.size(), [&](std::size_t i) {
        hits[i] = stage.kernel->find_hit(from, rays[i], surface_offset, 1e5f);
    });
    return hits;
}

std::vector<double> share_lumens(const LitFixture& fixture) {
    const std::span<const glm::vec3> rays = landing_rays();
    const glm::mat3 lamp_from_world(glm::transpose(world_from_fixture(fixture.aim)));
    const bool is_covered = fixture.lens.is_covered();
    std::vector<double> lumens(rays.size());
    double sum = 0;
    for (std::size_t i = 0; i < rays.size(); ++i) {
        lumens[i] = static_cast<double>(fixture.table.candela(lamp_from_world * rays[i]));
        if (is_covered)
            lumens[i] *= fixture.lens.open_share(rays[i].z);
        sum += lumens[i];
    }
    // Weighted by the lamp's lumens, not by equal parts of 4 pi, so that the parts add up to them.
    const double each = sum > 0 ? fixture.lumens / sum : 0;
    for (double& share : lumens)
        share *= each;
    return lumens;
}

} // namespace duskcast
