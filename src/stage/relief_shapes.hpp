#pragma once
// What height fields are made of: random numbers by place, noise, rounded steps.

#include <algorithm>
#include <cmath>
#include <glm/glm.hpp>

#include "duskcast/base/random.hpp"

namespace duskcast {

inline constexpr auto inch = static_cast<float>(metres_per_inch);

/// In [0, 1), by the place alone. `stream`: one of several there.
inline float random_at(const glm::ivec2& place, unsigned stream) {
    const auto key = static_cast<std::uint64_t>(static_cast<std::uint32_t>(place.x)) << 32 |
                     static_cast<std::uint32_t>(place.y);
    return static_cast<float>(mix_bits(key * golden_step + stream * 0xd1342543de82ef95u) >> 40) * 0x1.0p-24f;
}

/// 0 to 1 as x goes from 0 to 1, level at both ends.
inline float ease(float x) {
    const float t = std::clamp(x, 0.0f, 1.0f);
    return t * t * (3 - 2 * t);
}

/// Smooth, -1 to 1 with a mean of about 0: values at whole numbers with eased steps between (value noise).
inline float noise_at(const glm::vec2& at, unsigned stream) {
    const glm::vec2 low = glm::floor(at);
    const glm::ivec2 cell(low);
    const float x = ease(at.x - low.x), y = ease(at.y - low.y);
    const float below = glm::mix(random_at(cell, stream), random_at(cell + glm::ivec2(1, 0), stream), x);
    const float above =
        glm::mix(random_at(cell + glm::ivec2(0, 1), stream), random_at(cell + glm::ivec2(1, 1), stream), x);
    return 2 * glm::mix(below, above, y) - 1;
}

} // namespace duskcast
