#include "duskcast/draw/colour_scale.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/units.hpp"

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

Colour change_colour(double t) {
    const double place = std::clamp(std::isnan(t) ? 0.0 : t, -1.0, 1.0);
    const double away = std::abs(place);
    const double lightness = 0.91 - 0.46 * away; // the middle stands out from paper
    const double hue = radians_from_degrees(place < 0 ? 255 : 55);
    const double chroma = 0.105 * away; // as much as sRGB has of the brown
    return srgb_of(lightness, chroma * std::cos(hue), chroma * std::sin(hue));
}

void draw_colour_bar(Canvas& canvas, const Box& bar, const std::function<Colour(double)>& colour_at,
                     bool is_upright) {
    constexpr double sample = 2; // pixels
    const int samples = std::max(2, static_cast<int>((is_upright ? bar.height() : bar.width()) / sample));
    Raster raster{is_upright ? 1 : samples, is_upright ? samples : 1, {}, {}};
    for (int i = 0; i < samples; ++i) {
        const double place = (i + 0.5) / samples;
        raster.colour.push_back(colour_at(is_upright ? 1 - place : place));
        raster.opacity.push_back(1);
    }
    canvas.image(raster, bar, {}, true);
}

void draw_bar_figures(Canvas& canvas, const Box& bar, const std::vector<BarFigure>& figures, int side,
                      const Ink& ink, const Ink& tick_ink) {
    const double edge = side < 0 ? bar.top : bar.bottom;
    const TextStyle style{.size = 13, .ink = ink};
    for (const BarFigure& figure : figures) {
        const double x = bar.left + bar.width() * figure.place;
        canvas.line({{x, edge}, {x, edge + side * 4.0}}, false, 1, tick_ink);
        canvas.text(figure.text, {x, edge + side * 13.0}, Anchor::middle, style);
    }
}

void draw_bar_unit(Canvas& canvas, const Box& bar, const std::string& unit, int side, const Ink& ink) {
    canvas.text(unit, {bar.left - 28, (side < 0 ? bar.top : bar.bottom) + side * 13.0}, Anchor::right,
                {.size = 13, .is_bold = true, .ink = ink});
}

} // namespace duskcast
