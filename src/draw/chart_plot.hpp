#pragma once
// One chart on a page.

#include <string>
#include <vector>

#include "chart_axis.hpp"
#include "chart_legend.hpp"

namespace duskcast {

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

} // namespace duskcast
