#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>

#include "chart_axis.hpp"

namespace duskcast {
namespace {

constexpr double near_zero = 0.5; // a least value below this share of the greatest: the axis starts at zero
constexpr double word_gap = 10;   // between words side by side
constexpr int most_lines = 3;     // of broken words
constexpr double most_upright = 150;   // length of an upright word
constexpr std::size_t most_names = 12; // more words than that are figures in a row: some may be left out

std::size_t find_stride(const std::vector<double>& widths, const std::vector<double>& middles) {
    const auto fits = [&](std::size_t stride) {
        for (std::size_t i = stride; i < middles.size(); i += stride)
            if (middles[i] - middles[i - stride] < (widths[i] + widths[i - stride]) / 2 + word_gap)
                return false;
        return true;
    };
    for (std::size_t power = 1; power < middles.size(); power *= 10)
        for (const std::size_t factor : {1, 2, 5})
            if (fits(factor * power))
                return factor * power;
    return std::max<std::size_t>(middles.size(), 1);
}

/// 1, 2 or 5 times a power of ten: halves of an odd figure read badly along an axis.
double find_step(double span, int most) {
    double step = std::pow(10, std::floor(std::log10(span / most)));
    for (const double factor : {1.0, 2.0, 5.0})
        if (span <= step * factor * most * (1 + 1e-9))
            return step * factor;
    return step * 10;
}

double least_distance(const std::vector<double>& middles) {
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 1; i < middles.size(); ++i)
        least = std::min(least, middles[i] - middles[i - 1]);
    return least;
}

} // namespace

std::string print_tick(double value, double step) {
    int decimals = 0;
    for (double scaled = std::abs(step);
         decimals < 9 && std::abs(scaled - std::round(scaled)) > 1e-6 * std::max(scaled, 1.0); scaled *= 10)
        ++decimals;
    std::string digits = fmt::format("{:.{}f}", std::abs(value), decimals);
    const std::size_t whole = std::min(digits.find('.'), digits.size());
    for (std::size_t at = whole; at > 3; at -= 3)
        digits.insert(at - 3, ",");
    const bool is_zero = digits.find_first_not_of("0.,") == std::string::npos;
    return (value < 0 && !is_zero ? "\u2212" : "") + digits;
}

FittedAxis fit_axis(const ChartAxis& axis, const std::vector<double>& values, int most, AxisEnds ends) {
    const bool is_rounded = ends != AxisEnds::exact, may_be_zero = ends == AxisEnds::round_or_zero;
    double low = std::numeric_limits<double>::infinity(), high = -low;
    const auto take = [&](double value) {
        if (std::isfinite(value)) {
            low = std::min(low, value);
            high = std::max(high, value);
        }
    };
    for (const double value : values)
        take(value);
    if (axis.low)
        take(*axis.low);
    if (axis.high)
        take(*axis.high);
    if (low > high)
        low = 0, high = 1;
    if (may_be_zero && low > 0 && low < near_zero * high)
        low = 0;
    if (may_be_zero && high < 0 && high > near_zero * low)
        high = 0;
    const bool is_one = high - low <= 1e-9 * std::max(std::abs(low), std::abs(high));
    const double only = low;
    if (is_one) {
        const double room = low == 0 ? 1 : 0.1 * std::abs(low);
        high += room;
        low -= is_rounded && low == 0 ? 0 : room;
    }
    double step = find_step(high - low, most);
    if (is_rounded) {
        // Rounding outwards may add a step at either end.
        while (std::ceil(high / step - 1e-9) - std::floor(low / step + 1e-9) > most)
            step = find_step(step * (most + 0.5), most);
        low = step * std::floor(low / step + 1e-9);
        high = step * std::ceil(high / step - 1e-9);
    }
    FittedAxis fitted{low, high, {}};
    const double slack = 1e-9 * (high - low);
    if (axis.ticks.empty() && is_one && !is_rounded)
        fitted.ticks.push_back({only, print_number(only)});
    else if (axis.ticks.empty())
        for (double i = std::ceil(low / step - 1e-9); i * step <= high + slack; ++i)
            fitted.ticks.push_back({i * step, print_tick(i * step, step)});
    for (const AxisTick& tick : axis.ticks)
        if (tick.at >= low - slack && tick.at <= high + slack)
            fitted.ticks.push_back({tick.at, keep_units(tick.text)});
    std::stable_sort(fitted.ticks.begin(), fitted.ticks.end(),
                     [](const AxisTick& a, const AxisTick& b) { return a.at < b.at; });
    return fitted;
}

AxisWords::AxisWords(std::vector<std::string> texts, std::vector<double> middles)
    : texts_(std::move(texts)), middles_(std::move(middles)) {
    const double room = least_distance(middles_) - word_gap;
    std::vector<double> widths;
    for (const std::string& text : texts_)
        widths.push_back(measure_text(text, figure_style).x);
    height_ = texts_.empty() ? 0 : line_step;
    stride_ = find_stride(widths, middles_);
    if (stride_ == 1)
        return;
    std::size_t lines = 1;
    std::vector<std::string> broken;
    for (const std::string& text : texts_) {
        broken.push_back(break_words(text, figure_style, std::max(room, 1.0), most_lines));
        lines = std::max(lines, split_lines(broken.back()).size());
    }
    const bool is_cut = std::any_of(broken.begin(), broken.end(), [](const std::string& text) {
        return text.find("\u2026") != std::string::npos;
    });
    if (!is_cut) {
        texts_ = broken;
        stride_ = 1;
        height_ = static_cast<double>(lines) * line_step;
    } else if (texts_.size() <= most_names && room > 6) {
        stride_ = 1;
        is_upright_ = true;
        double longest = 0;
        for (std::string& text : texts_) {
            text = cut_text(text, figure_style, most_upright);
            longest = std::max(longest, measure_text(text, figure_style).x);
        }
        height_ = longest + 4;
    }
}

void AxisWords::draw(Canvas& chart, const glm::dvec2& corner) const {
    for (std::size_t i = 0; i < texts_.size(); i += stride_) {
        const double x = corner.x + middles_[i];
        if (is_upright_) {
            chart.text(texts_[i], {x, corner.y + 2}, Anchor::right, figure_style, -pi / 2);
            continue;
        }
        const double lines = static_cast<double>(split_lines(texts_[i]).size());
        write_lines(chart, texts_[i], {x, corner.y + lines * line_step / 2}, Anchor::middle, figure_style);
    }
}

} // namespace duskcast
