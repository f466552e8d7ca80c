#include "lamp_chart_parts.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {
namespace {

constexpr double faint = 0.01; // share of the maximum below which light is not worth room on a plot

const TextStyle heading_style{.size = 13, .ink = quiet_ink};
const TextStyle cell_style{.size = 14, .ink = text_ink};
constexpr double column_gap = 22;
constexpr double block_gap = 14;

PlaneCurve sample_plane(const Distribution& untilted, double c) {
    PlaneCurve curve;
    constexpr int steps = 1440; // a quarter of a degree
    for (int i = -steps / 2; i <= steps / 2; ++i) {
        const double angle = i * 2 * pi / steps;
        curve.angle.push_back(angle);
        curve.candela.push_back(untilted.candela_at(angle < 0 ? c + pi : c, std::abs(angle)));
    }
    return curve;
}

ChartLamp make_chart_lamp(const LampEntry& entry) {
    ChartLamp lamp{entry, entry.lamp.name.empty() ? entry.lamp.id : entry.lamp.name};
    const Distribution light = make_untilted(entry.lamp.distribution);
    lamp.along = sample_plane(light, 0);
    lamp.across = sample_plane(light, pi / 2);
    const double least = faint * entry.sheet.max_candela;
    for (std::size_t i = 0; i < lamp.along.angle.size(); ++i)
        if (std::abs(lamp.along.candela[i] - lamp.across.candela[i]) > least)
            lamp.is_round = false;
    for (const PlaneCurve* curve : {&lamp.along, &lamp.across})
        if (const auto edges = find_edges(*curve, least))
            lamp.last_angle = std::max({lamp.last_angle, -edges->first, edges->second});
    return lamp;
}

double widest_line(const std::string& text, const TextStyle& style) {
    double width = 0;
    for (const std::string& line : split_lines(text))
        width = std::max(width, measure_text(line, style).x);
    return width;
}

} // namespace

ChartSource make_chart_source(const std::vector<LampEntry>& lamps, const SheetOptions& options,
                              LengthUnit length, LightUnit light) {
    ChartSource source{{}, options, length, light};
    for (const LampEntry& entry : lamps) {
        ChartLamp lamp = make_chart_lamp(entry);
        lamp.ink = {dusk_colour(0.3), 1};
        if (lamps.size() > 1) {
            lamp.ink = {curve_colours[source.lamps.size()], 1};
            lamp.number = static_cast<int>(source.lamps.size()) + 1;
        }
        source.lamps.push_back(std::move(lamp));
    }
    return source;
}

std::string print_spread(const BeamSpread& spread) {
    const auto print = [](double angle) {
        return angle > radians_from_degrees(359) ? std::string("all round") : print_angle(angle);
    };
    const std::string along = print(spread.along), across = print(spread.across);
    return along == across ? along : along + " \u00d7 " + across;
}

std::string print_about(double metres, LengthUnit unit) {
    if (unit == LengthUnit::foot && std::abs(metres) >= metres_per_foot)
        return print_length(std::round(metres / metres_per_inch) * metres_per_inch, unit);
    return print_length(metres, unit);
}

std::string print_amount(double value) {
    return value > 0 && value < 0.1 ? "<0.1" : print_number(value);
}

void draw_tag(Canvas& chart, const ChartLamp& lamp, const glm::dvec2& middle) {
    chart.fill_disk(middle, tag_radius + 1.5, paper_ink);
    chart.fill_disk(middle, tag_radius, lamp.ink);
    chart.text(std::to_string(lamp.number), middle, Anchor::middle,
               {.size = 13, .is_bold = true, .ink = is_dark(lamp.ink.colour) ? Ink{{1, 1, 1}, 1} : Ink{}});
}

void draw_plane_key(Canvas& chart, const ChartSource& source, const glm::dvec2& at) {
    if (std::all_of(source.lamps.begin(), source.lamps.end(), [](const ChartLamp& l) { return l.is_round; }))
        return;
    const Ink ink = source.is_comparison() ? text_ink : source.lamps.front().ink;
    double x = at.x;
    for (const bool is_across : {false, true}) {
        chart.line({{x, at.y}, {x + 36, at.y}}, false, 2, ink,
                   is_across ? across_dash : std::vector<double>{});
        const Box box = chart.text(is_across ? "C90 (right) to C270" : "C0 (right) to C180", {x + 44, at.y},
                                   Anchor::left, section_detail_style);
        x = box.right + 24;
    }
}

ChartTable::ChartTable(std::vector<Column> columns, std::vector<const ChartLamp*> tags, double width)
    : columns_(std::move(columns)), tags_(std::move(tags)) {
    std::size_t heading_lines = 1, cell_lines = 1;
    for (const Column& column : columns_) {
        double widest = widest_line(column.heading, heading_style);
        heading_lines = std::max(heading_lines, split_lines(column.heading).size());
        for (const std::string& cell : column.cells) {
            widest = std::max(widest, widest_line(cell, cell_style));
            cell_lines = std::max(cell_lines, split_lines(cell).size());
        }
        widths_.push_back(widest);
    }
    heading_height_ = static_cast<double>(heading_lines) * line_step + 6;
    row_height_ = static_cast<double>(cell_lines) * line_step + 8;
    double x = width + 1;
    for (std::size_t i = 0; i < columns_.size(); ++i) {
        if (blocks_.empty() || (x + widths_[i] > width && blocks_.back().columns.size() > 1)) {
            blocks_.emplace_back();
            x = tag_width();
            if (i > 0) {
                blocks_.back() = {{0}, {x}};
                x += widths_[0] + column_gap;
            }
        }
        blocks_.back().columns.push_back(i);
        blocks_.back().left.push_back(x);
        x += widths_[i] + column_gap;
    }
}

double ChartTable::tag_width() const {
    return tags_.empty() ? 0 : 2 * tag_radius + 12;
}

double ChartTable::height() const {
    if (columns_.empty())
        return 0;
    const double block = heading_height_ + row_height_ * static_cast<double>(columns_.front().cells.size());
    const double blocks = static_cast<double>(blocks_.size());
    return blocks * block + (blocks - 1) * block_gap;
}

double ChartTable::width() const {
    double width = 0;
    for (const Block& block : blocks_)
        width = std::max(width, block.left.back() + widths_[block.columns.back()]);
    return width;
}

void ChartTable::draw(Canvas& chart, const glm::dvec2& corner, const std::vector<double>& rows) const {
    double y = corner.y;
    for (const Block& block : blocks_) {
        draw_block(chart, block, {corner.x, y}, rows);
        y += (height() + block_gap) / static_cast<double>(blocks_.size());
    }
}

void ChartTable::draw_block(Canvas& chart, const Block& block, const glm::dvec2& corner,
                            const std::vector<double>& rows) const {
    const double right = corner.x + block.left.back() + widths_[block.columns.back()];
    const std::size_t count = columns_.front().cells.size();
    const auto middle_of = [&](std::size_t row) {
        return rows.empty() ? corner.y + heading_height_ + (static_cast<double>(row) + 0.5) * row_height_
                            : rows[row];
    };
    const double rule = corner.y + heading_height_ - 3;
    chart.line({{corner.x, rule}, {right, rule}}, false, 1, hairline_ink);
    for (std::size_t row = 0; row + 1 < count && rows.empty(); ++row) {
        const double y = middle_of(row) + row_height_ / 2;
        chart.line({{corner.x, y}, {right, y}}, false, 0.6, grid_ink);
    }
    for (std::size_t row = 0; row < tags_.size(); ++row)
        draw_tag(chart, *tags_[row], {corner.x + tag_radius + 1, middle_of(row)});
    for (std::size_t i = 0; i < block.columns.size(); ++i) {
        const Column& column = columns_[block.columns[i]];
        const double left = corner.x + block.left[i];
        const double x = column.anchor == Anchor::left ? left : left + widths_[block.columns[i]];
        const double lines = static_cast<double>(split_lines(column.heading).size());
        write_lines(chart, column.heading, {x, rule - 4 - lines * line_step / 2}, column.anchor,
                    heading_style);
        for (std::size_t row = 0; row < count; ++row)
            write_lines(chart, column.cells[row], {x, middle_of(row)}, column.anchor, cell_style);
    }
}

} // namespace duskcast
