#pragma once
// Curves on a page: how figures go with what was changed.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/draw/canvas.hpp"
#include "duskcast/draw/heat_map.hpp"
#include "duskcast/draw/page.hpp"

namespace duskcast {

/// A named place on an axis.
struct AxisTick {
    double at = 0;
    std::string text;
};

/// An axis of a chart. Figures are in whatever unit its title names; nothing is converted.
struct ChartAxis {
    std::string title;           ///< "tilt, degrees"
    std::vector<AxisTick> ticks; ///< none: round figures
    std::optional<double> low;   ///< ends; none: round ones about what is shown
    std::optional<double> high;
};

/// A point of a curve. Without `y` (or with one that is no finite number) the curve has a gap there.
struct ChartPoint {
    double x = 0;
    std::optional<double> y;
};

struct ChartSeries {
    std::string name;
    std::vector<ChartPoint> points; ///< joined in their order
};

/// A point worth a word, such as the best one.
struct ChartMark {
    double x = 0;
    double y = 0;
    std::string text; ///< short: "6°: 17 ft"; may be empty
};

/// A level across the whole chart, such as the height of a peak.
struct ChartLevel {
    double y = 0;
    std::string text;
};

struct Chart {
    std::string title;
    std::string detail; ///< quiet words behind the title; may be empty
    ChartAxis x, y;
    std::vector<ChartSeries> series;
    std::vector<ChartMark> marks;
    std::vector<ChartLevel> levels;
    bool is_joined = true; ///< false: points alone, for an x of separate things such as lamps
};

/// More would be too small to read, or not be told apart.
inline constexpr std::size_t most_page_charts = 6;
inline constexpr std::size_t most_chart_series = 8;

/// Charts and heat maps that belong together. Series of the same name look the same in all of them.
struct ChartPage {
    std::string title;
    std::string detail; ///< below the title; may be empty
    std::vector<Chart> charts;
    std::vector<std::string> answers; ///< sentences at the foot
    std::vector<HeatMap> heat_maps;   ///< behind the charts
};

/// Draws one to `most_page_charts` charts and heat maps: the bytes of a PNG or SVG, 1600 pixels
/// wide. Curves differ by colour, by dash and by the shape of their points; a heat map has its own
/// colour scale and prints its values in the cells where all of them fit. Throws InputError when there is
/// nothing to draw or too much, when the charts have more than `most_chart_series` names of series together,
/// and when a heat map has no cells.
std::string draw_charts(const ChartPage& page, PictureFormat format);

/// The same with its words and their places.
DrawnPage make_chart_page(const ChartPage& page, PictureFormat format);

} // namespace duskcast
