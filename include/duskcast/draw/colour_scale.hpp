#pragma once
// The one colour scale of all illuminance plates.

#include <array>
#include <vector>

#include "duskcast/base/colour.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {

/// The dusk ramp: lightness rises evenly from night blue through violet and ember to pale straw (OKLab),
/// so that it reads in greyscale and to the colour-blind. `t` 0..1, clamped.
Colour dusk_colour(double t);

/// The eight colours of Okabe and Ito, "Color Universal Design" (2008), which the colour-blind tell apart
/// (from memory), those that stand out best on paper first; grey instead of yellow, too pale there.
inline constexpr std::array<Colour, 8> curve_colours = {{{0.0, 0.447, 0.698},
                                                         {0.835, 0.369, 0.0},
                                                         {0.0, 0.0, 0.0},
                                                         {0.8, 0.475, 0.655},
                                                         {0.0, 0.62, 0.451},
                                                         {0.902, 0.624, 0.0},
                                                         {0.337, 0.706, 0.914},
                                                         {0.5, 0.5, 0.5}}};

/// Whether a small thing of this colour wants white letters on it.
bool is_dark(const Colour& colour);

/// Ends of the fixed logarithmic scale. The same on every plate, so that two can be compared.
inline constexpr double scale_low_lx = 0.5381955;  ///< 0.05 fc
inline constexpr double scale_high_lx = 1076.3910; ///< 100 fc

/// Place of an illuminance on the scale, 0..1, clamped.
double scale_place(double lux);

inline Colour lux_colour(double lux) {
    return dusk_colour(scale_place(lux));
}

/// Round ticks of the scale within its ends, in the unit: 0.05, 0.1, 0.2, 0.5, 1 ...
std::vector<double> scale_ticks(LightUnit unit);

/// Less through as much to more: blue at -1, light grey at 0, brown at 1 (OKLab). As dark on one side as
/// on the other; blue and brown are told apart by the red- and green-blind. `t` is clamped.
Colour change_colour(double t);

/// Ratio at the upper end of its scale; the lower end is one by that.
inline constexpr double ratio_end = 4;

/// Place of a ratio on the scale of ratios, logarithmic: -1 at a quarter, 0 at one, 1 at four; clamped.
double ratio_place(double ratio);

} // namespace duskcast
