#pragma once
// Light as colours, lines and figures: the fixed scales, and the heading that explains them.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/draw/labels.hpp"
#include "duskcast/draw/page.hpp"
#include "duskcast/sheets/lux_scale.hpp"

namespace duskcast {

/// A colour for lines and letters that stands out from the scale's at this illuminance.
Ink ink_on(double lux);

/// Ratio at the upper end of its scale; the lower end is one by that.
inline constexpr double ratio_end = 4;

/// Place of a ratio on the scale of ratios, logarithmic: -1 at a quarter, 0 at one, 1 at four; clamped.
double ratio_place(double ratio);

inline constexpr double ruler_width = 128; ///< left of what a plate shows; holds "peak 21 ft 6 in"

/// The words of a plate.
struct PlateText {
    std::string title;
    std::string detail;
    LengthUnit length = LengthUnit::foot;
    LightUnit light = LightUnit::footcandle;
    std::vector<double> levels_lx;
    std::vector<std::string> answers;
    std::string note; ///< at the foot; empty: the one that holds for all pages
};

inline constexpr double light_scale_width = 620;

/// Where the bar of a scale of light lies in a page's heading.
Box light_scale_bar();

/// Title and detail at the left, the light scale with both units and the named levels at the right.
void draw_heading(Canvas& canvas, const PlateText& text);

/// The lines of one level, in page pixels.
struct LevelLines {
    double level_lx = 0;
    std::vector<std::vector<glm::dvec2>> lines;
};

/// What lines and their words lie on: the colours of the scale, or a dimmed photo.
enum class LinesOn { colours, photo };

/// Draws the lines and, inside `frame` where there is room, the level on them.
void draw_level_lines(Canvas& canvas, const std::vector<LevelLines>& levels, LightUnit unit, const Box& frame,
                      LabelSpace& space, LinesOn on = LinesOn::colours);

} // namespace duskcast
