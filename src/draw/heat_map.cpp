#include "duskcast/draw/heat_map.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/draw/labels.hpp"
#include "heat_map.hpp"

namespace duskcast {
namespace {

constexpr double map_title_height = 30;
constexpr double map_axis_height = 24;
constexpr double scale_width = 14;
constexpr double scale_gap = 18;
constexpr double most_name_width = 150; // of a row
constexpr double most_cell_width = 150;
constexpr double most_cell_height = 84;
constexpr double name_gap = 8;
constexpr double least_row = 17; // pixels for a row's name
const TextStyle value_style{.size = 13, .ink = text_ink};
const TextStyle best_style{.size = 13, .is_bold = true, .ink = text_ink};
const Ink empty_ink{{0.92, 0.92, 0.92}, 1};

std::string print_value(double value) {
    return value < 0 ? "\u2212" + print_number(-value) : print_number(value);
}

} // namespace

HeatPlot::HeatPlot(const HeatMap& map, const Box& box) : map_(map), box_(box) {
    std::vector<double> values;
    for (std::size_t i = 0; i < map.x.cells.size() * map.y.cells.size(); ++i)
        if (const std::optional<double> value = value_of(i))
            values.push_back(*value);
    scale_ = fit_axis({"", {}, map.low, map.high}, values, 6, AxisEnds::round);

    double names = 0, figures = measure_text(map.unit, figure_style).x - scale_width;
    for (const std::string& name : map.y.cells)
        names = std::max(names, measure_text(name, figure_style).x);
    for (const AxisTick& tick : scale_.ticks)
        figures = std::max(figures, measure_text(tick.text, figure_style).x + 7);
    frame_ = {box.left + std::min(names, most_name_width) + name_gap,
              box.top + map_title_height + map_axis_height, box.right - scale_gap - scale_width - figures,
              box.bottom};
    frame_.right =
        std::min(frame_.right, frame_.left + most_cell_width * static_cast<double>(map.x.cells.size()));
    frame_.bottom -= AxisWords(map.x.cells, list_middles()).height() + map_axis_height + 6;
    frame_.bottom =
        std::min(frame_.bottom, frame_.top + most_cell_height * static_cast<double>(map.y.cells.size()));
}

std::optional<double> HeatPlot::value_of(std::size_t index) const {
    if (index >= map_.values.size() || !map_.values[index] || !std::isfinite(*map_.values[index]))
        return std::nullopt;
    return map_.values[index];
}

std::vector<double> HeatPlot::list_middles() const {
    std::vector<double> middles;
    for (std::size_t i = 0; i < map_.x.cells.size(); ++i)
        middles.push_back((static_cast<double>(i) + 0.5) * frame_.width() /
                          static_cast<double>(map_.x.cells.size()));
    return middles;
}

Box HeatPlot::cell(std::size_t index) const {
    const auto columns = static_cast<double>(map_.x.cells.size());
    const auto rows = static_cast<double>(map_.y.cells.size());
    const auto column = static_cast<double>(index % map_.x.cells.size());
    const auto row = static_cast<double>(index / map_.x.cells.size());
    return {
        frame_.left + frame_.width() * column / columns, frame_.bottom - frame_.height() * (row + 1) / rows,
        frame_.left + frame_.width() * (column + 1) / columns, frame_.bottom - frame_.height() * row / rows};
}

Colour HeatPlot::colour(double value) const {
    return dusk_colour(scale_.share(value));
}

bool HeatPlot::has_room_for_values() const {
    const Box one = cell(0);
    for (std::size_t i = 0; i < map_.values.size(); ++i)
        if (const std::optional<double> value = value_of(i))
            if (measure_text(print_value(*value), best_style).x > one.width() - 6)
                return false;
    return one.height() >= least_row;
}

void HeatPlot::draw_cells(Canvas& canvas) const {
    const bool has_values = has_room_for_values();
    for (std::size_t i = 0; i < map_.x.cells.size() * map_.y.cells.size(); ++i) {
        const Box box = cell(i);
        const std::optional<double> value = value_of(i);
        canvas.fill(box, value ? Ink{colour(*value), 1} : empty_ink);
        if (!value)
            canvas.hatch(box.corners(), 9, 1, hairline_ink);
        if (!value || !has_values)
            continue;
        TextStyle style = map_.best == i ? best_style : value_style;
        style.ink = is_dark(colour(*value)) ? Ink{{1, 1, 1}, 0.95} : text_ink;
        canvas.text(print_value(*value), box.middle(), Anchor::middle, style);
    }
}

void HeatPlot::draw_axes(Canvas& canvas) const {
    const AxisWords words(map_.x.cells, list_middles());
    words.draw(canvas, {frame_.left, frame_.bottom + 4});
    if (!map_.x.title.empty())
        canvas.text(map_.x.title, {frame_.middle().x, frame_.bottom + 4 + words.height() + 10},
                    Anchor::middle, section_detail_style);
    if (!map_.y.title.empty())
        canvas.text(map_.y.title, {box_.left, frame_.top - 18}, Anchor::left, section_detail_style);
    const double row = frame_.height() / static_cast<double>(map_.y.cells.size());
    std::size_t stride = 1;
    while (static_cast<double>(stride) * row < least_row)
        stride += stride == 1 ? 1 : stride == 2 ? 3 : 5; // each, every second, fifth, tenth...
    for (std::size_t i = 0; i < map_.y.cells.size(); i += stride)
        canvas.text(cut_text(map_.y.cells[i], figure_style, most_name_width),
                    {frame_.left - name_gap, cell(i * map_.x.cells.size()).middle().y}, Anchor::right,
                    figure_style);
}

void HeatPlot::draw_scale(Canvas& canvas) const {
    const Box bar{frame_.right + scale_gap, frame_.top, frame_.right + scale_gap + scale_width,
                  frame_.bottom};
    draw_colour_bar(canvas, bar, dusk_colour, true);
    for (const AxisTick& tick : scale_.ticks) {
        const double y = bar.bottom - scale_.share(tick.at) * bar.height();
        canvas.line({{bar.right, y}, {bar.right + 4, y}}, false, 1, quiet_ink);
        canvas.text(tick.text, {bar.right + 7, y}, Anchor::left, figure_style);
    }
    if (!map_.unit.empty())
        canvas.text(map_.unit, {bar.left, bar.top - 18}, Anchor::left,
                    {.size = 13, .is_bold = true, .ink = quiet_ink});
}

void HeatPlot::draw_best(Canvas& canvas) const {
    if (!map_.best || *map_.best >= map_.x.cells.size() * map_.y.cells.size())
        return;
    const Box box = cell(*map_.best);
    const auto outline = [&](double grown, double width, const Ink& ink) {
        canvas.line({{box.left - grown, box.top - grown},
                     {box.right + grown, box.top - grown},
                     {box.right + grown, box.bottom + grown},
                     {box.left - grown, box.bottom + grown}},
                    true, width, ink);
    };
    outline(0, 5.5, {{1, 1, 1}, 1});
    outline(0, 2.4, text_ink);
    const std::optional<double> value = value_of(*map_.best);
    if (!value || has_room_for_values())
        return;
    const std::string words = print_value(*value) + (map_.unit.empty() ? "" : " " + map_.unit);
    const glm::dvec2 size = measure_text(words, best_style) + glm::dvec2(12, 6);
    for (const glm::dvec2& way : {glm::dvec2(1, -1), {-1, -1}, {1, 1}, {-1, 1}, {0, -1}, {0, 1}}) {
        const glm::dvec2 middle =
            box.middle() + way * (glm::dvec2(box.width(), box.height()) / 2.0 + size / 2.0 + 4.0);
        const Box spot = Box::round(middle, size);
        if (!frame_.contains(spot))
            continue;
        canvas.card(words, spot, best_style);
        return;
    }
}

void HeatPlot::draw(Canvas& canvas) const {
    draw_section_title(canvas, map_.title, map_.detail, box_.left, box_.top);
    draw_cells(canvas);
    draw_axes(canvas);
    draw_scale(canvas);
    draw_best(canvas);
}

} // namespace duskcast
