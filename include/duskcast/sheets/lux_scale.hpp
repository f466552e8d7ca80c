#pragma once
// The fixed scale of light that every plate has.

#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/draw/colour_scale.hpp"

namespace duskcast {

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

} // namespace duskcast
