#include "duskcast/base/units.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace duskcast {

namespace {

constexpr auto not_finite = "unknown";
constexpr double least_shown = 0.001; ///< fc or lx: starlight gives about that (from memory)
constexpr double most_shown = 1e9;    ///< metres; what is longer is a slip and printed as it is

/// `value` rounded to `decimals` places without trailing zeros and without "-0".
std::string print_decimals(double value, int decimals) {
    std::string text = fmt::format("{:.{}f}", value, decimals);
    if (text.find('.') != std::string::npos) {
        text.erase(text.find_last_not_of('0') + 1);
        if (text.back() == '.')
            text.pop_back();
    }
    return text == "-0" ? "0" : text;
}

/// The power of ten of the leading digit after rounding to three significant digits.
int leading_power(double value) {
    const std::string text = fmt::format("{:.2e}", value);
    return std::stoi(text.substr(text.find('e') + 1));
}

std::string group_thousands(const std::string& whole) {
    std::string grouped;
    for (std::size_t i = 0; i < whole.size(); ++i) {
        grouped += whole[i];
        const std::size_t left = whole.size() - 1 - i;
        if (left > 0 && left % 3 == 0 && whole[i] != '-')
            grouped += ',';
    }
    return grouped;
}

bool is_beyond(double metres) {
    return !(std::abs(metres) <= most_shown);
}

std::string print_beyond(double metres) {
    return std::isfinite(metres) ? fmt::format("{:.3g} m", metres) : not_finite;
}

/// To half a foot or a tenth of a metre, without its unit.
std::string print_height_number(double metres, LengthUnit unit) {
    const double steps_per_unit = unit == LengthUnit::foot ? 2 : 10;
    return print_decimals(std::round(metres / metres_per(unit) * steps_per_unit) / steps_per_unit, 1);
}

std::string print_feet(double metres) {
    const double halves = std::round(metres / metres_per_inch * 2);
    const double size = std::abs(halves);
    const double feet = std::floor(size / 24);
    const int rest = static_cast<int>(size - feet * 24);
    std::string text = halves < 0 ? "-" : "";
    if (feet > 0)
        text += fmt::format("{:.0f} ft", feet);
    if (rest == 0)
        return feet > 0 ? text : "0 in";
    if (feet > 0)
        text += " ";
    if (rest >= 2)
        text += fmt::format("{}{}", rest / 2, rest % 2 ? " " : "");
    if (rest % 2)
        text += "1/2";
    return text + " in";
}

} // namespace

std::string print_length(double metres, LengthUnit unit) {
    if (is_beyond(metres))
        return print_beyond(metres);
    if (unit == LengthUnit::foot)
        return print_feet(metres);
    const std::string text = fmt::format("{:.2f} m", metres);
    return text == "-0.00 m" ? "0.00 m" : text;
}

std::string print_height(double metres, LengthUnit unit) {
    if (is_beyond(metres))
        return print_beyond(metres);
    return fmt::format("{} {}", print_height_number(metres, unit), name_of(unit));
}

std::string print_height_range(double from, double to, LengthUnit unit) {
    return fmt::format("{} to {}", is_beyond(from) ? print_beyond(from) : print_height_number(from, unit),
                       print_height(to, unit));
}

std::string print_setback(double metres, LengthUnit unit) {
    // As rounded, or 4 ft would be 48 in where arithmetic left a little less of it.
    const double inches = std::round(metres / metres_per_inch * 2) / 2;
    if (unit != LengthUnit::foot || !(inches < 48))
        return print_length(metres, unit);
    return print_number(inches) + " in";
}

std::string print_illuminance(double lux, LightUnit unit) {
    const double value = lux / lux_per(unit);
    if (value > 0 && value < least_shown)
        return fmt::format("<{} {}", least_shown, name_of(unit));
    // Hand-held meters end at 0.01; below that one digit says the order of magnitude.
    const bool is_small = std::abs(value) < 1 && value != 0 && std::isfinite(value);
    const std::string number =
        is_small ? print_decimals(value, std::max(2, -leading_power(value))) : print_number(value);
    return fmt::format("{} {}", number, name_of(unit));
}

std::string print_illuminance_both(double lux, LightUnit unit) {
    const LightUnit other = unit == LightUnit::lux ? LightUnit::footcandle : LightUnit::lux;
    return fmt::format("{} ({})", print_illuminance(lux, unit), print_illuminance(lux, other));
}

std::string print_number(double value) {
    if (!std::isfinite(value))
        return not_finite;
    if (value == 0)
        return "0";
    const int power = leading_power(value);
    if (power >= 3) {
        const double scale = std::pow(10.0, power - 2);
        return group_thousands(fmt::format("{:.0f}", std::round(value / scale) * scale));
    }
    return print_decimals(value, 2 - power);
}

std::string print_share(double share) {
    if (!std::isfinite(share))
        return not_finite;
    const double per_cent = share * 100;
    constexpr double rounding = 1e-9; // what sums of shares lose
    const bool is_low = per_cent > rounding && per_cent < 1 - rounding;
    const bool is_high = per_cent > 99 + rounding && per_cent < 100 - rounding;
    if (is_low && per_cent < 0.05)
        return "<0.1 %";
    if (is_high && per_cent >= 99.95)
        return ">99.9 %";
    if (is_low || is_high)
        return fmt::format("{:.1f} %", per_cent);
    return print_decimals(per_cent, 0) + " %";
}

std::string print_compass(double azimuth, int points) {
    static constexpr std::array names = {"north", "north-north-east", "north-east", "east-north-east",
                                         "east",  "east-south-east",  "south-east", "south-south-east",
                                         "south", "south-south-west", "south-west", "west-south-west",
                                         "west",  "west-north-west",  "north-west", "north-north-west"};
    const long point = std::lround(azimuth / (2 * pi / points)) % points;
    return names[static_cast<std::size_t>(point < 0 ? point + points : point) * names.size() /
                 static_cast<std::size_t>(points)];
}

std::string print_angle(double radians) {
    if (!std::isfinite(radians))
        return not_finite;
    return print_decimals(std::round(degrees_from_radians(radians) * 2) / 2, 1) + "°";
}

std::string_view name_of(LengthUnit unit) {
    return unit == LengthUnit::foot ? "ft" : "m";
}
std::string_view name_of(LightUnit unit) {
    return unit == LightUnit::footcandle ? "fc" : "lx";
}

} // namespace duskcast
