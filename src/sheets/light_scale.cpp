#include "light_scale.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {
namespace {

std::vector<BarFigure> list_figures(LightUnit unit) {
    std::vector<BarFigure> figures;
    for (const double tick : scale_ticks(unit))
        figures.push_back({scale_place(tick * lux_per(unit)), print_number(tick)});
    return figures;
}

} // namespace

double scale_place(double lux) {
    if (!(lux > scale_low_lx))
        return 0;
    return std::min(1.0, std::log(lux / scale_low_lx) / std::log(scale_high_lx / scale_low_lx));
}

Ink ink_on(double lux) {
    // The scale's lightness passes its middle a little above half of its length.
    return scale_place(lux) < 0.55 ? Ink{{1, 0.98, 0.94}, 0.95} : Ink{{0.18, 0.07, 0.20}, 0.95};
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

double ratio_place(double ratio) {
    if (!(ratio > 0))
        return -1;
    return std::clamp(std::log(ratio) / std::log(ratio_end), -1.0, 1.0);
}

Box light_scale_bar() {
    const double right = page_width - page_margin - 14;
    return {right - light_scale_width, 62, right, 82};
}

void draw_heading(Canvas& canvas, const PlateText& text) {
    draw_title(canvas, text.title, text.detail, page_width - 2 * page_margin - light_scale_width - 110);
    const Box bar = light_scale_bar();
    draw_colour_bar(canvas, bar, dusk_colour);
    for (const double level : text.levels_lx) {
        const double x = bar.left + bar.width() * scale_place(level);
        canvas.line({{x, bar.top + 1}, {x, bar.bottom - 1}}, false, 1.8, ink_on(level));
    }
    const LightUnit other = text.light == LightUnit::lux ? LightUnit::footcandle : LightUnit::lux;
    draw_bar_figures(canvas, bar, list_figures(text.light), -1, text_ink, text_ink);
    draw_bar_unit(canvas, bar, std::string(name_of(text.light)), -1, text_ink);
    draw_bar_figures(canvas, bar, list_figures(other), 1, quiet_ink, quiet_ink);
    draw_bar_unit(canvas, bar, std::string(name_of(other)), 1, quiet_ink);
}

void draw_level_lines(Canvas& canvas, const std::vector<LevelLines>& levels, LightUnit unit, const Box& frame,
                      LabelSpace& space, LinesOn on) {
    const Ink light{{1, 0.98, 0.94}, 0.95}, dark{{0.06, 0.05, 0.09}, 0.85};
    std::vector<NamedLines> named;
    for (const LevelLines& level : levels) {
        NamedLines lines{print_illuminance(level.level_lx, unit),
                         ink_on(level.level_lx),
                         {lux_colour(level.level_lx), 0.8},
                         level.lines};
        if (on == LinesOn::photo) {
            lines.ink = light;
            lines.halo = dark;
            for (const std::vector<glm::dvec2>& line : level.lines)
                canvas.line(line, false, 3.6, {dark.colour, 0.45});
        }
        named.push_back(std::move(lines));
    }
    draw_named_lines(canvas, named, frame, space);
}

} // namespace duskcast
