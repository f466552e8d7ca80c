#pragma once
// Axes of charts: their ends, ticks and words.

#include <string>
#include <vector>

#include "duskcast/draw/chart.hpp"
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

} // namespace duskcast
