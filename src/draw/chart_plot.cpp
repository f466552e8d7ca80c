#include <algorithm>
#include <cmath>

#include "chart_plot.hpp"
#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/draw/labels.hpp"

namespace duskcast {
namespace {

constexpr double title_height = 30;
constexpr double axis_title_height = 24;
constexpr double curve_width = 2.2;
constexpr double tick_gap = 8;          // between a figure and its axis
constexpr double pixels_a_tick = 46;    // up the y axis
constexpr double marker_gap = 18;       // least distance between the points marked on a curve
constexpr double end_leader = 26;       // between a curve's end and its name
constexpr double most_end_width = 230;  // of the names at the curves' ends
constexpr double most_shift = 15;       // of a name from its curve's end; ends nearer together need a legend
constexpr double least_end_share = 0.8; // of the frame that a curve must cross to be named at its end
const TextStyle end_style{.size = 14, .ink = text_ink};
const TextStyle mark_style{.size = 13, .is_bold = true, .ink = text_ink};
const TextStyle level_style{
    .size = 13, .is_bold = true, .ink = quiet_ink, .halo = 3, .halo_ink = {paper_ink.colour, 1}};

bool is_known(const ChartPoint& point) {
    return std::isfinite(point.x) && point.y && std::isfinite(*point.y);
}

std::vector<double> list_values(const Chart& chart, bool is_x) {
    std::vector<double> values;
    for (const ChartSeries& series : chart.series)
        for (const ChartPoint& point : series.points)
            if (is_x || is_known(point)) // an x without a y still belongs to what was looked at
                values.push_back(is_x ? point.x : *point.y);
    for (const ChartMark& mark : chart.marks)
        values.push_back(is_x ? mark.x : mark.y);
    for (const ChartLevel& level : chart.levels)
        if (!is_x)
            values.push_back(level.y);
    if (is_x)
        for (const AxisTick& tick : chart.x.ticks)
            values.push_back(tick.at);
    return values;
}

/// A word for a point, beside it where nothing else is.
struct Card {
    std::string text;
    Box box;
};

/// Boxes round a point, the nearest first.
std::vector<Box> list_spots(const glm::dvec2& at, const glm::dvec2& size, const Box& frame) {
    std::vector<Box> spots;
    for (const double away : {10.0, 22.0, 38.0, 60.0})
        for (const glm::dvec2& way :
             {glm::dvec2(0, -1), {0.7, -1}, {-0.7, -1}, {0, 1}, {0.7, 1}, {-0.7, 1}, {1, 0}, {-1, 0}})
            spots.push_back(Box::round(at + way * (size / 2.0 + away), size));
    std::erase_if(spots, [&](const Box& spot) { return !frame.contains(spot); });
    return spots;
}

} // namespace

ChartPlot::ChartPlot(const Chart& chart, const std::vector<std::string>& names, const Box& box,
                     bool has_end_names)
    : chart_(chart), names_(names), box_(box) {
    frame_ = {box.left, box.top + title_height + axis_title_height, box.right - 14,
              box.bottom - axis_title_height - line_step - 6};
    y_ = fit_axis(chart.y, list_values(chart, false),
                  std::clamp(static_cast<int>(frame_.height() / pixels_a_tick), 3, 10),
                  AxisEnds::round_or_zero);
    double figures = 0;
    for (const AxisTick& tick : y_.ticks)
        figures = std::max(figures, measure_text(tick.text, figure_style).x);
    frame_.left += figures + tick_gap;
    x_ = fit_axis(chart.x, list_values(chart, true), std::clamp(static_cast<int>(frame_.width() / 60), 3, 15),
                  AxisEnds::exact);
    if (!chart.is_joined || x_.ticks.size() < 2) {
        // Separate things stand half a place away from the sides.
        const double room = (x_.high - x_.low) / std::max(2.0 * static_cast<double>(x_.ticks.size()), 2.0);
        x_.low -= room;
        x_.high += room;
    }
    frame_.bottom += line_step - make_x_words().height(); // one line was allowed for
    if (has_end_names)
        fit_end_names();
}

glm::dvec2 ChartPlot::place(double x, double y) const {
    return {frame_.left + x_.share(x) * frame_.width(), frame_.bottom - y_.share(y) * frame_.height()};
}

CurveStyle ChartPlot::style_of(const ChartSeries& series) const {
    const auto found = std::find(names_.begin(), names_.end(), series.name);
    return find_curve_style(static_cast<std::size_t>(found - names_.begin()), names_.size());
}

/// The curve without its gaps.
std::vector<ChartPlot::Line> ChartPlot::find_lines(const ChartSeries& series) const {
    std::vector<Line> lines;
    bool goes_on = false;
    for (const ChartPoint& point : series.points) {
        if (is_known(point)) {
            if (!goes_on)
                lines.emplace_back();
            lines.back().push_back(place(point.x, *point.y));
        }
        goes_on = is_known(point);
    }
    return lines;
}

void ChartPlot::fit_end_names() {
    if (!chart_.is_joined || chart_.series.size() < 2)
        return;
    double width = 0;
    std::vector<double> ends;
    for (const ChartSeries& series : chart_.series) {
        const std::vector<Line> lines = find_lines(series);
        width = std::max(width, measure_text(series.name, end_style).x);
        if (lines.empty() || lines.back().back().x < frame_.left + least_end_share * frame_.width())
            return;
        ends.push_back(lines.back().back().y);
    }
    const std::vector<double> heights(ends.size(), line_step);
    const auto middles = spread_labels(ends, heights, frame_.top - 8, frame_.bottom + 8, 1);
    if (!middles || width > most_end_width)
        return;
    for (std::size_t i = 0; i < ends.size(); ++i)
        if (std::abs((*middles)[i] - ends[i]) > most_shift)
            return;
    frame_.right -= width + end_leader;
    end_middles_ = *middles;
}

AxisWords ChartPlot::make_x_words() const {
    std::vector<std::string> texts;
    std::vector<double> middles;
    for (const AxisTick& tick : x_.ticks) {
        texts.push_back(tick.text);
        middles.push_back(x_.share(tick.at) * frame_.width());
    }
    return {texts, middles};
}

void ChartPlot::draw_axes(Canvas& canvas) const {
    for (const AxisTick& tick : y_.ticks) {
        const double y = frame_.bottom - y_.share(tick.at) * frame_.height();
        const bool is_foot = y > frame_.bottom - 0.5;
        canvas.line({{frame_.left, y}, {frame_.right, y}}, false, 1, is_foot ? quiet_ink : grid_ink);
        canvas.text(tick.text, {frame_.left - tick_gap, y}, Anchor::right, figure_style);
    }
    const AxisWords words = make_x_words();
    for (std::size_t i = 0; i < x_.ticks.size(); i += words.stride()) {
        const double x = frame_.left + x_.share(x_.ticks[i].at) * frame_.width();
        canvas.line({{x, frame_.top}, {x, frame_.bottom}}, false, 1, grid_ink);
    }
    words.draw(canvas, {frame_.left, frame_.bottom + 4});
    if (!chart_.x.title.empty())
        canvas.text(chart_.x.title, {frame_.middle().x, frame_.bottom + 4 + words.height() + 10},
                    Anchor::middle, section_detail_style);
    if (!chart_.y.title.empty())
        canvas.text(chart_.y.title, {box_.left, frame_.top - 18}, Anchor::left, section_detail_style);
}

void ChartPlot::draw_series(Canvas& canvas, const ChartSeries& series) const {
    const CurveStyle style = style_of(series);
    for (const Line& line : find_lines(series)) {
        if (chart_.is_joined && line.size() > 1)
            canvas.line(line, false, curve_width, style.ink, style.dash);
        // A point between two gaps is shown however near the others are.
        double last = -marker_gap;
        for (const glm::dvec2& at : line) {
            if (chart_.is_joined && at.x - last < marker_gap && at.x >= last)
                continue;
            last = at.x;
            draw_marker(canvas, style, at);
        }
    }
}

void ChartPlot::draw_end_names(Canvas& canvas) const {
    for (std::size_t i = 0; i < end_middles_.size(); ++i) {
        const glm::dvec2 end = find_lines(chart_.series[i]).back().back();
        const double x = frame_.right + end_leader - 6;
        canvas.line({end + glm::dvec2(7, 0), {x - 12, end_middles_[i]}, {x - 3, end_middles_[i]}}, false, 1,
                    style_of(chart_.series[i]).ink);
        canvas.text(chart_.series[i].name, {x, end_middles_[i]}, Anchor::left, end_style);
    }
}

void ChartPlot::draw(Canvas& canvas) const {
    draw_section_title(canvas, chart_.title, chart_.detail, box_.left, box_.top);
    draw_axes(canvas);
    LabelSpace space;
    for (const ChartLevel& level : chart_.levels) {
        const double y = place(0, level.y).y;
        canvas.line({{frame_.left, y}, {frame_.right, y}}, false, 1.6, quiet_ink, {8, 5});
    }
    for (const ChartSeries& series : chart_.series)
        for (const Line& line : find_lines(series)) {
            for (const glm::dvec2& point : chart_.is_joined ? walk_line(line, 4) : Line{})
                space.take(Box::round(point, {5, 5}));
            for (const glm::dvec2& point : line)
                space.take(Box::round(point, {9, 9}));
        }
    for (const ChartMark& mark : chart_.marks)
        space.take(Box::round(place(mark.x, mark.y), {18, 18}));
    // Words of the levels first: they can stand on few spots.
    std::vector<Card> names, cards;
    for (const ChartLevel& level : chart_.levels) {
        const glm::dvec2 size = measure_text(level.text, level_style);
        const double y = place(0, level.y).y;
        std::vector<Box> spots;
        for (const double x :
             {frame_.right - size.x / 2 - 6, frame_.left + size.x / 2 + 6, frame_.middle().x})
            for (const double lift : {-11.0, 11.0})
                spots.push_back(Box::round({x, y + lift}, size));
        if (!level.text.empty())
            names.push_back({level.text, space.take_first_free(spots).value_or(spots.front())});
    }
    for (const ChartMark& mark : chart_.marks) {
        const std::vector<Box> spots = list_spots(
            place(mark.x, mark.y), measure_text(mark.text, mark_style) + glm::dvec2(12, 6), frame_);
        if (mark.text.empty() || spots.empty())
            continue;
        cards.push_back({mark.text, space.take_first_free(spots).value_or(spots.front())});
    }
    for (const ChartSeries& series : chart_.series)
        draw_series(canvas, series);
    draw_end_names(canvas);
    for (const ChartMark& mark : chart_.marks) {
        canvas.circle(place(mark.x, mark.y), 8, 3.6, {paper_ink.colour, 1});
        canvas.circle(place(mark.x, mark.y), 8, 1.8, text_ink);
    }
    for (const Card& name : names)
        canvas.text(name.text, name.box.middle(), Anchor::middle, level_style);
    for (const Card& card : cards)
        canvas.card(card.text, card.box, mark_style);
}

} // namespace duskcast
