#pragma once
// What the rays of a picture meet, and what comes back from there.

#include <cstddef>
#include <cstdint>
#include <glm/glm.hpp>
#include <span>

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

/// One ray of a pixel.
struct SpotRay {
    glm::vec3 position; ///< what it met
    int sample;
    int close_up = -1; ///< place in the block's
    bool is_sunlit = false;
};

/// What rays of a pixel met, all on one facet: its light is found once, and whether it arrives by every ray.
struct ShadingPoint {
    std::size_t pixel; ///< of the image
    std::size_t place; ///< of the pixel in the block
    Hit hit;           ///< of the ray next to the middle of all
    std::uint32_t first_ray, ray_count;
    glm::vec3 position; ///< of the same
    glm::vec3 facing, reflectance, transmittance;
    glm::vec3 glow{0};                        ///< cd/m2 per channel of its own
    glm::vec3 before{0}, behind{0};           ///< lux per channel on the two sides, the mean of the rays
    glm::vec3 soft_before{0}, soft_behind{0}; ///< of what is known between patches alone
    glm::vec3 sun{0};                         ///< the mean of the rays
    float width = 0;                          ///< metres that a ray stands for

    /// cd/m2 that rays in full light have more, and those in shadow less, than the mean of all.
    float above_mean = 0, below_mean = 0;

    std::span<const SpotRay> rays_of(std::span<const SpotRay> all) const {
        return all.subspan(first_ray, ray_count);
    }
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
