#pragma once
// The colour of a lamp's light.

#include <glm/glm.hpp>

namespace duskcast {

/// Weights of linear sRGB in luminance (IEC 61966-2-1, ITU-R BT.709).
inline constexpr glm::dvec3 luminance_weights{0.2126, 0.7152, 0.0722};

inline double luminance_of(const glm::dvec3& linear) {
    return glm::dot(luminance_weights, linear);
}

/// Linear sRGB of a black body's light at `cct` kelvin, scaled to luminance 1: lux times this is the light
/// per channel. Below about 1900 K blue would be negative: it is 0. `cct` is clamped to 1667..25,000.
/// Planckian locus by the cubic approximation of Kim et al. (US patent 7024034, 2006; from memory).
/// Within 0.001 of the black body's x and y from 2000 to 6500 K.
glm::dvec3 light_colour(double cct);

} // namespace duskcast
