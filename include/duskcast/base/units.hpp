#pragma once
// The only place where feet, inches, foot-candles and degrees exist. Inside: SI and radians.

#include <optional>
#include <string>
#include <string_view>

namespace duskcast {

inline constexpr double pi = 3.14159265358979323846;
inline constexpr double metres_per_foot = 0.3048; ///< exact (international foot)
inline constexpr double metres_per_inch = 0.0254; ///< exact
inline constexpr double lux_per_footcandle = 1.0 / (metres_per_foot * metres_per_foot); ///< 10.7639

enum class LengthUnit { metre, foot };
enum class LightUnit { lux, footcandle };

constexpr double radians_from_degrees(double degrees) {
    return degrees * (pi / 180.0);
}
constexpr double degrees_from_radians(double radians) {
    return radians * (180.0 / pi);
}
constexpr double metres_per(LengthUnit unit) {
    return unit == LengthUnit::foot ? metres_per_foot : 1.0;
}
constexpr double lux_per(LightUnit unit) {
    return unit == LightUnit::footcandle ? lux_per_footcandle : 1.0;
}

/// Reads a length: "18 in", "5 ft 6 in", "5'6\"", "1/2 in", "5 1/2 in", "0.45 m", "45 cm", "450 mm",
/// or a bare number in `bare` (without `bare` a bare number is an error). Result in metres.
/// Throws InputError (place left empty) naming what stood there and the units known.
double read_length(std::string_view text, std::optional<LengthUnit> bare = std::nullopt);

/// Reads an illuminance: "1 fc", "10 lx", "10 lux", or a bare number in `bare`. Result in lux.
/// Throws InputError (place left empty).
double read_illuminance(std::string_view text, std::optional<LightUnit> bare = std::nullopt);

/// A length for people: feet and inches to the half inch ("13 ft 6 in", "7 1/2 in", "-2 ft"),
/// or metres to the centimetre ("4.12 m").
std::string print_length(double metres, LengthUnit unit);

/// A height of light for people, to what a plan can know of it: half a foot ("13.5 ft") or a tenth of a metre
/// ("4.1 m").
std::string print_height(double metres, LengthUnit unit);
std::string print_height_range(double from, double to, LengthUnit unit); ///< "6.5 to 13 ft"

/// A setback for people: the trade speaks of inches below 4 ft ("15 in").
std::string print_setback(double metres, LengthUnit unit);

/// An illuminance for people, three digits at most and none beyond 0.01, where hand-held meters end
/// (smaller ones show their first digit): "0.12 fc", "1.5 fc", "24 fc", "161 lx", "0.004 lx", "<0.001 lx".
std::string print_illuminance(double lux, LightUnit unit);

/// The same in the user's unit first and the other in brackets: "1 fc (10.8 lx)".
std::string print_illuminance_both(double lux, LightUnit unit);

/// A bare figure with three significant digits, no exponent, no trailing zeros: "0.125", "3.5", "1,240".
std::string print_number(double value);

/// A share of one as a whole per cent; one decimal below 1 % and above 99 % unless exact: "42 %", "0.4 %",
/// "<0.1 %", ">99.9 %".
std::string print_share(double share);

/// Radians as degrees to the half degree: "7.5°", "8°".
std::string print_angle(double radians);

/// The nearest of so many points of the compass, 8 or 16: "north", "south-west", "north-north-east".
/// `azimuth`: radians clockwise from north.
std::string print_compass(double azimuth, int points = 16);

/// The unit's short name: "ft", "m", "fc", "lx".
std::string_view name_of(LengthUnit unit);
std::string_view name_of(LightUnit unit);

} // namespace duskcast
