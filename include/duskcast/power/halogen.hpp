#pragma once
// What a tungsten-halogen lamp does at other than its rated voltage.

namespace duskcast {

/// Powers of the current's ratio to the rated one by which a halogen lamp's figures change, good within
/// 5 % of the rated current (Field Guide to Illumination, SPIE 2007).
struct HalogenLaw {
    double volts = 1.9;
    double watts = 2.9;
    double lumens = 6.5;
    double life = -25;
    double colour_temperature = 0.8;

    /// The same as a power of the voltage's ratio, for a figure above: lumens 3.42, watts 1.53, colour
    /// temperature 0.42. (Customary: lumens 3.4, watts 1.6, from memory.)
    constexpr double of_volts(double exponent) const { return exponent / volts; }
};
inline constexpr HalogenLaw halogen_law;

inline constexpr double halogen_watts_exponent = halogen_law.of_volts(halogen_law.watts);

/// Of the rated figure, at a share of the rated voltage.
double halogen_lumens_share(double volts_share);
double halogen_watts_share(double volts_share);
double halogen_colour_share(double volts_share); ///< of kelvin

} // namespace duskcast
