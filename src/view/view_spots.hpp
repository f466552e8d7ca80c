#pragma once
// What the rays of a picture meet, and what comes back from there.

#include <cstddef>
#include <cstdint>
#include <glm/glm.hpp>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/stage/ray_kernel.hpp"

namespace duskcast {

inline constexpr auto by_pi = static_cast<float>(1 / pi);
inline constexpr float far_away = 1e5f;

/// Moonlit or street-lit night sky: a little bluer than the screen's white (by eye), of luminance 1.
inline const glm::vec3 sky_colour = [] {
    const glm::dvec3 tint(0.80, 0.98, 1.45);
    return glm::vec3(tint / luminance_of(tint));
}();

/// What one ray of a pixel met.
struct ShadingPoint {
    std::size_t sums; ///< place in the block
    int sample;
    Hit hit;
    glm::vec3 position, facing, reflectance, transmittance;
    glm::vec3 glow{0};                        ///< cd/m2 per channel of its own
    glm::vec3 before{0}, behind{0};           ///< lux per channel on the two sides
    glm::vec3 soft_before{0}, soft_behind{0}; ///< of what is known between patches alone
    glm::vec3 sun{0};
    int close_up = -1; ///< place in the block's
    float width = 0;   ///< metres that the ray stands for
};

/// What comes back from there.
struct Returned {
    glm::vec3 luminance{0}, sky{0}, sun{0};

    void scale(const glm::vec3& by) { luminance *= by, sky *= by, sun *= by; }
};

/// Light on its way to a close-up, which is lit when all of it is known.
struct Arrival {
    std::uint32_t close_up;
    glm::vec3 lux, way;
};

} // namespace duskcast
