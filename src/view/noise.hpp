#pragma once
// Random textures for pictures.

#include <cstdint>
#include <glm/glm.hpp>

#include "duskcast/base/random.hpp"

namespace duskcast {

/// Smooth, -1 to 1 with a mean of 0 over a large region: random values at whole numbers with eased steps
/// between. `salt`: 0..7, one of several textures.
inline float solid_noise(const glm::vec3& at, std::uint64_t salt) {
    const glm::vec3 low = glm::floor(at);
    const glm::vec3 share = at - low;
    const glm::vec3 eased = share * share * (3.0f - 2.0f * share);
    float sum = 0;
    for (int corner = 0; corner < 8; ++corner) {
        const glm::ivec3 step(corner & 1, corner >> 1 & 1, corner >> 2);
        float weight = 1;
        for (int axis = 0; axis < 3; ++axis)
            weight *= step[axis] ? eased[axis] : 1 - eased[axis];
        if (weight == 0)
            continue;
        const glm::ivec3 cell = glm::ivec3(low) + step;
        const auto key = [](int number) { return static_cast<std::uint64_t>(number + (1 << 20)); };
        sum += weight * hash_to_unit(key(cell.x) << 42 ^ key(cell.y) << 21 ^ key(cell.z), salt);
    }
    return 2 * sum - 1;
}

} // namespace duskcast
