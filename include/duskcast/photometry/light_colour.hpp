#pragma once
// The colour of a lamp's light, and what voltage does to the light of a tungsten-halogen lamp.

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

/// Powers of the current's ratio to the rated one by which a halogen lamp's figures change, good within
/// 5 % of the rated current (Field Guide to Illumination, SPIE 2007).
struct HalogenLaw {
    double volts = 1.9;
    double watts = 2.9;
    double lumens = 6.5;
    double life = -25;
    double colour_temperature = 0.8;

    /// The same as a power of the voltage's ratio, for a figure above: lumens 3.42, watts 1.53, colour
    /// temperature 0.42.
    constexpr double of_volts(double exponent) const { return exponent / volts; }
};
inline constexpr HalogenLaw halogen_law;

// Powers of the voltage's ratio to the rated one.
inline constexpr double halogen_lumens_exponent = halogen_law.of_volts(halogen_law.lumens); ///< 3.42
inline constexpr double halogen_watts_exponent = halogen_law.of_volts(halogen_law.watts);   ///< 1.53
inline constexpr double halogen_colour_exponent =
    halogen_law.of_volts(halogen_law.colour_temperature); ///< 0.42, of kelvin

} // namespace duskcast
