#pragma once
// The parts of a page of charts.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/draw/chart.hpp"
#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/draw/page.hpp"
#include "duskcast/draw/text.hpp"

namespace duskcast {

/// An axis with its ends and ticks settled.
struct FittedAxis {
    double low = 0;
    double high = 1;
    std::vector<AxisTick> ticks; ///< within the ends, ascending

    double share(double value) const { return (value - low) / (high - low); }
};

/// The figure of a tick, with as many decimals as the step between ticks needs: "0.5", "12.5", "1,250".
std::string print_tick(double value, double step);

/// Where an axis ends: with its values, at round figures about them, or also at zero where that is near.
enum class AxisEnds { exact, round, round_or_zero };

/// Takes in `values` (finite ones) and the axis's own ends; of round ticks no more than `most` steps.
FittedAxis fit_axis(const ChartAxis& axis, const std::vector<double>& values, int most, AxisEnds ends);

/// Words below an axis or row of cells: side by side, broken into lines, upright, or only some of them,
/// whatever there is room for.
class AxisWords {
public:
    /// `middles`: ascending, pixels from the axis's left end.
    AxisWords(std::vector<std::string> texts, std::vector<double> middles);

    double height() const { return height_; }
    std::size_t stride() const { return stride_; } ///< each how-manyth is shown
    void draw(Canvas& chart, const glm::dvec2& corner) const;

private:
    std::vector<std::string> texts_;
    std::vector<double> middles_;
    std::size_t stride_ = 1;
    bool is_upright_ = false;
    double height_ = 0;
};

/// How a curve looks.
struct CurveStyle {
    Ink ink;
    std::vector<double> dash;
    int marker = 0; ///< 0 to 7
};

/// `count`: of all curves that are to be told apart; a single one takes the colour of the plates.
CurveStyle find_curve_style(std::size_t index, std::size_t count);
void draw_marker(Canvas& canvas, const CurveStyle& style, const glm::dvec2& at);

/// The names of all series of a page, each once, in the order they come.
std::vector<std::string> list_series(const std::vector<Chart>& charts);

/// Names with a sample of each curve, in rows.
class Legend {
public:
    Legend(const std::vector<std::string>& names, double width);
    double height() const;
    void draw(Canvas& chart, const glm::dvec2& corner) const;

private:
    struct Item {
        std::string name;
        CurveStyle style;
        glm::dvec2 at{0}; ///< of the sample's left end, from the corner
    };
    std::vector<Item> items_;
};

/// One chart in a box. `names`: the page's; `has_end_names`: the curves' names stand at their ends where they
/// fit.
class ChartPlot {
public:
    ChartPlot(const Chart& chart, const std::vector<std::string>& names, const Box& box, bool has_end_names);

    const Box& frame() const { return frame_; } ///< within the axes
    bool has_end_names() const { return !end_middles_.empty(); }
    glm::dvec2 place(double x, double y) const;
    const FittedAxis& x() const { return x_; }
    const FittedAxis& y() const { return y_; }
    void draw(Canvas& canvas) const;

private:
    using Line = std::vector<glm::dvec2>;
    std::vector<Line> find_lines(const ChartSeries& series) const;
    CurveStyle style_of(const ChartSeries& series) const;
    void fit_end_names();
    AxisWords make_x_words() const;
    void draw_axes(Canvas& canvas) const;
    void draw_series(Canvas& canvas, const ChartSeries& series) const;
    void draw_end_names(Canvas& canvas) const;

    const Chart& chart_;
    const std::vector<std::string>& names_;
    Box box_;
    Box frame_;
    FittedAxis x_, y_;
    std::vector<double> end_middles_; ///< y of the name of each series, when they stand at the curves' ends
};

/// A heat map in a box.
class HeatPlot {
public:
    HeatPlot(const HeatMap& map, const Box& box);

    const Box& frame() const { return frame_; } ///< of all cells
    Box cell(std::size_t index) const;
    Colour colour(double value) const;
    void draw(Canvas& canvas) const;

private:
    std::optional<double> value_of(std::size_t index) const;
    bool has_room_for_values() const;
    void draw_cells(Canvas& canvas) const;
    void draw_axes(Canvas& canvas) const;
    void draw_scale(Canvas& canvas) const;
    void draw_best(Canvas& canvas) const;
    std::vector<double> list_middles() const; ///< of the columns, from the frame's left

    const HeatMap& map_;
    Box box_;
    Box frame_;
    FittedAxis scale_;
};

DrawnPage make_chart_page(const ChartPage& page, PictureFormat format);

} // namespace duskcast
