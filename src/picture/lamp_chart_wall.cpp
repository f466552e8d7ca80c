#include <algorithm>
#include <cmath>

#include "duskcast/picture/contour.hpp"
#include "lamp_chart_parts.hpp"
#include "marks.hpp"
#include "shading.hpp"

namespace duskcast {
namespace {

constexpr double title_height = 42;
constexpr double heading_row = 28; // over a patch
constexpr double foot_row = 40;    // under a patch: the fixture
constexpr double ruler_width = 86;
constexpr double patch_gap = 26;
constexpr double patch_height = 400;
constexpr double least_patch = 120, most_patch = 430; // pixels wide
constexpr std::size_t most_in_row = 6;
constexpr double cell = 2.5; // pixels

const TextStyle patch_style{.size = 14, .is_bold = true, .ink = text_ink};
const TextStyle card_style{.size = 13.5, .is_bold = true, .ink = text_ink};

std::string print_reach(const WallSpread& spread, LengthUnit unit) {
    if (!spread.is_reached)
        return "not reached";
    const std::string to = print_length(spread.to, unit);
    return spread.from > 0.02 * spread.to ? print_length(spread.from, unit) + " \u2013 " + to : to;
}

std::string print_widest(const WallSpread& spread, LengthUnit unit) {
    return spread.is_reached ? print_length(spread.width, unit) + " at " + print_length(spread.width_at, unit)
                             : "\u2013";
}

bool is_same(double a, double b) {
    return std::abs(a - b) < 1e-9;
}

/// The light on the wall, with the cells' centres symmetric about the fixture's line.
struct WallGrid {
    SensorGrid grid;
    std::vector<double> lux;
};

WallGrid light_wall(const ChartLamp& lamp, double setback, double tilt, double half_width, double top,
                    double step) {
    WallGrid wall;
    wall.grid.step = step;
    wall.grid.columns = std::max(2, static_cast<int>(std::ceil(2 * half_width / step)) + 1);
    wall.grid.rows = std::max(2, static_cast<int>(std::ceil(top / step)) + 1);
    wall.grid.u0 = -wall.grid.columns * step / 2;
    wall.grid.v0 = -step / 2;
    for (int row = 0; row < wall.grid.rows; ++row)
        for (int column = 0; column < wall.grid.columns; ++column) {
            wall.grid.sensor.push_back(static_cast<std::int32_t>(wall.lux.size()));
            wall.lux.push_back(lamp.entry.sheet.light_loss * wall_lux(lamp.entry.lamp.distribution, setback,
                                                                      tilt, wall.grid.v_of(row),
                                                                      wall.grid.u_of(column)));
        }
    return wall;
}

/// The ends of the lines near a height: the outermost points within a cell of it.
std::optional<std::pair<double, double>> find_ends(const std::vector<std::vector<glm::dvec2>>& lines,
                                                   double height, double step) {
    std::optional<std::pair<double, double>> ends;
    for (const std::vector<glm::dvec2>& line : lines)
        for (const glm::dvec2& point : line)
            if (std::abs(point.y - height) <= step) {
                if (!ends)
                    ends = {point.x, point.x};
                ends = {std::min(ends->first, point.x), std::max(ends->second, point.x)};
            }
    return ends;
}

} // namespace

WallPart::WallPart(const ChartSource& source, double width) : source_(source), table_({}, {}, width) {
    const SheetOptions& options = source.options;
    if (options.setbacks.empty())
        return;
    const auto add = [&](const ChartLamp& lamp, double setback, std::string heading) {
        Patch patch{&lamp, setback, std::move(heading), {}};
        for (const WallSpread& spread : lamp.entry.sheet.wall)
            if (is_same(spread.setback, setback))
                patch.spreads.push_back(&spread);
        patches_.push_back(std::move(patch));
    };
    if (source.is_comparison())
        for (const ChartLamp& lamp : source.lamps)
            add(lamp, options.setbacks[options.setbacks.size() / 2], lamp.name);
    else
        for (const double setback : options.setbacks)
            add(source.lamps.front(), setback, print_length(setback, source.length) + " back");

    double highest = 0, widest = 0;
    for (const Patch& patch : patches_)
        for (const WallSpread* spread : patch.spreads) {
            highest = std::max({highest, spread->to, 1.2 * spread->brightest_at});
            widest = std::max(widest, spread->width);
        }
    highest = std::max(highest, 0.3);
    widest = std::max(widest, 0.3);
    const double in_row = static_cast<double>(std::min(patches_.size(), most_in_row));
    const double room = std::min((width - ruler_width - (in_row - 1) * patch_gap) / in_row, most_patch);
    top_ = 1.14 * highest;
    scale_ = std::min(patch_height / top_, room / (1.2 * widest));
    patch_width_ = std::min(room, std::max(1.2 * widest * scale_, least_patch));
    if (source.is_comparison())
        patch_width_ = room;

    std::vector<ChartTable::Column> columns{{source.is_comparison() ? "lamp" : "setback", {}, Anchor::left}};
    std::vector<const ChartLamp*> tags;
    for (const Patch& patch : patches_) {
        columns[0].cells.push_back(source.is_comparison() ? break_words(patch.heading, {.size = 14}, 260, 1)
                                                          : print_length(patch.setback, source.length));
        if (source.is_comparison())
            tags.push_back(patch.lamp);
    }
    for (std::size_t i = 0; i < options.levels.size(); ++i) {
        const std::string level = print_illuminance(options.levels[i], source.light);
        ChartTable::Column reach{level + "\nreaches", {}}, stretch{level + "\nwidest stretch", {}};
        for (const Patch& patch : patches_) {
            reach.cells.push_back(print_reach(*patch.spreads[i], source.length));
            stretch.cells.push_back(print_widest(*patch.spreads[i], source.length));
        }
        columns.push_back(std::move(reach));
        columns.push_back(std::move(stretch));
    }
    if (!options.levels.empty()) {
        ChartTable::Column brightest{"brightest over\nthe lamp", {}};
        for (const Patch& patch : patches_)
            brightest.cells.push_back(
                print_illuminance_both(patch.spreads.front()->brightest_lux, source.light) + " at " +
                print_length(patch.spreads.front()->brightest_at, source.length));
        columns.push_back(std::move(brightest));
    }
    table_ = ChartTable(std::move(columns), std::move(tags), width);
}

std::size_t WallPart::row_count() const {
    return (patches_.size() + most_in_row - 1) / most_in_row;
}

double WallPart::row_step() const {
    return heading_row + top_ * scale_ + foot_row;
}

double WallPart::height() const {
    if (patches_.empty())
        return 0;
    return title_height + static_cast<double>(row_count()) * row_step() + 16 + table_.height() + 20;
}

void WallPart::draw(ChartCanvas& chart, const glm::dvec2& corner) const {
    if (patches_.empty())
        return;
    std::string detail =
        "endless, tilt " + print_angle(source_.options.tilt) + " towards it; heights count from the lens";
    if (source_.is_comparison())
        detail = print_length(patches_.front().setback, source_.length) + " back, " + detail;
    draw_section_title(chart, "In front of a wall", detail, corner.x, corner.y);
    for (std::size_t row = 0; row < row_count(); ++row) {
        const double top = corner.y + title_height + heading_row + static_cast<double>(row) * row_step();
        const double ground = top + top_ * scale_;
        draw_ruler(chart.canvas(), corner.x + ruler_width - 12, ground, scale_, top_, source_.length, {});
        for (std::size_t i = row * most_in_row; i < std::min(patches_.size(), (row + 1) * most_in_row); ++i) {
            const double left = corner.x + ruler_width +
                                static_cast<double>(i - row * most_in_row) * (patch_width_ + patch_gap);
            draw_patch(chart, patches_[i], {left, top, left + patch_width_, ground});
        }
    }
    table_.draw(chart, {corner.x, corner.y + height() - 20 - table_.height()});
}

void WallPart::draw_patch(ChartCanvas& chart, const Patch& patch, const Box& box) const {
    Canvas& canvas = chart.canvas();
    const double middle = box.middle().x;
    const auto place = [&](const glm::dvec2& uv) {
        return glm::dvec2(middle + uv.x * scale_, box.bottom - uv.y * scale_);
    };
    const double room = box.width() - (patch.lamp->number ? 2 * tag_radius + 8 : 0);
    const double words_left = box.right - room;
    if (patch.lamp->number)
        draw_tag(chart, *patch.lamp, {box.left + tag_radius, box.top - 15});
    chart.write(break_words(patch.heading, patch_style, room, 1), {words_left, box.top - 15}, Anchor::left,
                patch_style);

    const auto lux_at = [&](double x, double y) {
        return std::optional(patch.lamp->entry.sheet.light_loss *
                             wall_lux(patch.lamp->entry.lamp.distribution, patch.setback,
                                      source_.options.tilt, (1 - y) * top_,
                                      (x - 0.5) * box.width() / scale_));
    };
    const auto samples = [](double pixels) { return std::max(1, static_cast<int>(pixels / cell)); };
    canvas.image(shade_field(samples(box.width()), samples(box.height()), lux_at), box, {}, true);

    const WallGrid wall = light_wall(*patch.lamp, patch.setback, source_.options.tilt,
                                     box.width() / 2 / scale_, top_, cell / scale_);
    std::vector<LevelLines> levels;
    for (const double level : source_.options.levels) {
        levels.push_back({level, {}});
        for (const std::vector<glm::dvec2>& line : find_contours(wall.grid, wall.lux, level)) {
            std::vector<glm::dvec2> points;
            for (const glm::dvec2& uv : line)
                points.push_back(place({uv.x, std::max(uv.y, 0.0)}));
            for (std::vector<glm::dvec2>& part : cut_line(points, [&](const glm::dvec2& p) {
                     return p.x > box.left && p.x < box.right && p.y > box.top && p.y < box.bottom - 1;
                 }))
                levels.back().lines.push_back(std::move(part));
        }
    }

    // The lowest level that is reached: how high, and where it is widest.
    LabelSpace space;
    const auto shown = std::find_if(patch.spreads.begin(), patch.spreads.end(),
                                    [](const WallSpread* spread) { return spread->is_reached; });
    std::vector<std::pair<std::string, Box>> cards;
    const auto add_card = [&](const std::string& words, const std::vector<glm::dvec2>& middles) {
        const glm::dvec2 half = (measure_text(words, card_style) + glm::dvec2(10, 3)) / 2.0;
        std::vector<Box> candidates;
        for (const glm::dvec2& at : middles) {
            const Box spot{at.x - half.x, at.y - half.y, at.x + half.x, at.y + half.y};
            if (box.contains(spot))
                candidates.push_back(spot);
        }
        if (const auto spot = space.take_first_free(candidates))
            cards.emplace_back(words, *spot);
    };
    const Ink light_ink{{1, 0.98, 0.94}, 0.95};
    if (shown != patch.spreads.end()) {
        const WallSpread& spread = **shown;
        const glm::dvec2 tip = place({0, spread.to});
        canvas.line({place({0, 0}), tip}, false, 1.1, {light_ink.colour, 0.55}, {3, 5});
        canvas.line({tip - glm::dvec2(10, 0), tip + glm::dvec2(10, 0)}, false, 2.4, light_ink);
        space.take({tip.x - 12, tip.y - 4, tip.x + 12, tip.y + 4});
        add_card(print_length(spread.to, source_.length),
                 {tip - glm::dvec2(0, 17), tip + glm::dvec2(48, -14), tip + glm::dvec2(0, 17)});
        const double step = cell / scale_;
        const auto level_lines = find_contours(wall.grid, wall.lux, spread.level);
        const auto [left, right] = find_ends(level_lines, spread.width_at, 1.5 * step)
                                       .value_or(std::pair{-spread.width / 2, spread.width / 2});
        const glm::dvec2 from = place({left, spread.width_at}), to = place({right, spread.width_at});
        if (from.x > box.left && to.x < box.right) {
            canvas.line({from, to}, false, 4, {text_ink.colour, 0.55});
            canvas.line({from, to}, false, 1.6, light_ink);
            for (const glm::dvec2& end : {from, to})
                canvas.line({end - glm::dvec2(0, 7), end + glm::dvec2(0, 7)}, false, 2.4, light_ink);
            add_card(print_length(spread.width, source_.length),
                     {(from + to) / 2.0, (from + to) / 2.0 + glm::dvec2(0, 22),
                      (from + to) / 2.0 - glm::dvec2(0, 22)});
        }
    } else if (!patch.spreads.empty()) {
        const TextStyle style{.size = 13.5, .is_bold = true, .ink = light_ink};
        const std::string words = print_illuminance(source_.options.levels.front(), source_.light);
        chart.write(words, box.middle() - glm::dvec2(0, 10), Anchor::middle, style);
        chart.write("not reached", box.middle() + glm::dvec2(0, 10), Anchor::middle, style);
    }
    draw_level_lines(canvas, levels, source_.light, box, space);
    for (const auto& [words, spot] : cards)
        canvas.card(words, spot, card_style);
    canvas.line({{box.left - 6, box.bottom}, {box.right + 6, box.bottom}}, false, 2.4, text_ink);
    draw_fixture_mark(canvas, {middle, box.bottom + 18}, {0, -1});
}

} // namespace duskcast
