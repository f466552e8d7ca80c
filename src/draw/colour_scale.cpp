#include "duskcast/draw/colour_scale.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {
namespace {

/// OKLab to sRGB: B. Ottosson, "A perceptual color space for image processing" (2020).
Colour srgb_of(double lightness, double a, double b) {
    const auto cube = [](double x) { return x * x * x; };
    const double l = cube(lightness + 0.3963377774 * a + 0.2158037573 * b);
    const double m = cube(lightness - 0.1055613458 * a - 0.0638541728 * b);
    const double s = cube(lightness - 0.0894841775 * a - 1.2914855480 * b);
    return {encode_srgb(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
            encode_srgb(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
            encode_srgb(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s)};
}

} // namespace

Colour dusk_colour(double t) {
    // Lightness and hue run evenly; the chroma swells in the middle, where sRGB has room for it.
    const double place = std::clamp(t, 0.0, 1.0);
    const double lightness = 0.18 + 0.77 * place;
    const double hue = radians_from_degrees(268 + 190 * place);
    const double chroma = 0.08 + 0.09 * std::sin(pi * place);
    return srgb_of(lightness, chroma * std::cos(hue), chroma * std::sin(hue));
}

bool is_dark(const Colour& colour) {
    return 0.3 * colour[0] + 0.59 * colour[1] + 0.11 * colour[2] < 0.52; // roughly
}

double scale_place(double lux) {
    if (!(lux > scale_low_lx))
        return 0;
    return std::min(1.0, std::log(lux / scale_low_lx) / std::log(scale_high_lx / scale_low_lx));
}

Colour change_colour(double t) {
    const double place = std::clamp(std::isnan(t) ? 0.0 : t, -1.0, 1.0);
    const double away = std::abs(place);
    const double lightness = 0.91 - 0.46 * away; // the middle stands out from paper
    const double hue = radians_from_degrees(place < 0 ? 255 : 55);
    const double chroma = 0.105 * away; // as much as sRGB has of the brown
    return srgb_of(lightness, chroma * std::cos(hue), chroma * std::sin(hue));
}

double ratio_place(double ratio) {
    if (!(ratio > 0))
        return -1;
    return std::clamp(std::log(ratio) / std::log(ratio_end), -1.0, 1.0);
}

std::vector<double> scale_ticks(LightUnit unit) {
    constexpr double rounding = 1e-6; // the ends are themselves round in foot-candles
    const double low = scale_low_lx / lux_per(unit) * (1 - rounding);
    const double high = scale_high_lx / lux_per(unit) * (1 + rounding);
    std::vector<double> ticks;
    for (int power = -3; power <= 4; ++power)
        for (const int digit : {1, 2, 5}) {
            // Division keeps 0.05 the double that a reader writes as 0.05.
            const double tick = power < 0 ? digit / std::pow(10.0, -power) : digit * std::pow(10.0, power);
            if (tick >= low && tick <= high)
                ticks.push_back(tick);
        }
    return ticks;
}

} // namespace duskcast
