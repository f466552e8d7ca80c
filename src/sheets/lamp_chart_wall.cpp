#include <algorithm>
#include <cmath>

#include "duskcast/draw/field.hpp"
#include "lamp_chart_parts.hpp"

namespace duskcast {
namespace {

constexpr double wall_title_height = 42;
constexpr double heading_row = 28; // over a patch
constexpr double foot_row = 40;    // under a patch: the fixture
constexpr double chart_ruler_width = 86;
constexpr double patch_gap = 26;
constexpr double patch_height = 400;
constexpr double head_room = 36;                      // over the highest light, for the words
constexpr double least_patch = 230, most_patch = 430; // pixels wide
constexpr std::size_t most_in_row = 6;
constexpr double cell = 2.5; // pixels

const TextStyle patch_style{.size = 14, .is_bold = true, .ink = text_ink};
const TextStyle card_style{.size = 13.5, .is_bold = true, .ink = text_ink};
constexpr Ink lamplight_ink{{1, 0.98, 0.94}, 0.95};

std::string print_reach(const WallSpread& spread, LengthUnit unit) {
    if (!spread.is_reached)
        return "not reached";
    const std::string to = print_about(spread.to, unit);
    return spread.from > 0.02 * spread.to ? print_about(spread.from, unit) + " \u2013 " + to : to;
}

std::string print_widest(const WallSpread& spread, LengthUnit unit) {
    return spread.is_reached ? print_about(spread.width, unit) + " at " + print_about(spread.width_at, unit)
                             : "\u2013";
}

bool is_same(double a, double b) {
    return std::abs(a - b) < 1e-9;
}

double find_lux(const ChartLamp& lamp, double setback, double tilt, double height, double aside) {
    return lamp.entry.sheet.light_loss * wall_lux(lamp.entry.lamp.distribution, setback, tilt, height, aside);
}

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
            wall.lux.push_back(find_lux(lamp, setback, tilt, wall.grid.v_of(row), wall.grid.u_of(column)));
        }
    return wall;
}

/// Widens what is shown until no light of the lowest level lies above it or beside it.
void grow_to_level(const ChartLamp& lamp, double setback, const SheetOptions& options, double& highest,
                   double& widest) {
    constexpr int samples = 60, most_times = 12;
    constexpr double growth = 1.12;
    const auto has_level = [&](double height, double aside) {
        return find_lux(lamp, setback, options.tilt, height, aside) >= options.levels.front();
    };
    for (int times = 0; times < most_times; ++times) {
        bool is_above = false, is_beside = false;
        for (int i = 0; i <= samples; ++i) {
            const double share = static_cast<double>(i) / samples;
            is_above = is_above || has_level(highest, (share - 0.5) * widest);
            is_beside = is_beside || has_level(share * highest, 0.501 * widest) ||
                        has_level(share * highest, -0.501 * widest);
        }
        highest *= is_above ? growth : 1;
        widest *= is_beside ? growth : 1;
        if (!is_above && !is_beside)
            return;
    }
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
            add(source.lamps.front(), setback, print_setback(setback, source.length) + " back");

    fit(width);
    table_ = make_table(width);
}

void WallPart::fit(double width) {
    double highest = 0, widest = 0;
    for (const Patch& patch : patches_)
        for (const WallSpread* spread : patch.spreads) {
            highest = std::max({highest, spread->to, 1.2 * spread->brightest_at});
            widest = std::max(widest, spread->width);
        }
    highest = std::max(highest, 0.3);
    widest = std::max(widest, 0.3);
    // A ring throws its light higher at the sides than over the lamp.
    for (const Patch& patch : patches_)
        if (!patch.spreads.empty() && patch.spreads.front()->is_reached)
            grow_to_level(*patch.lamp, patch.setback, source_.options, highest, widest);

    const double in_row = static_cast<double>(std::min(patches_.size(), most_in_row));
    const double room = std::min((width - chart_ruler_width - (in_row - 1) * patch_gap) / in_row, most_patch);
    scale_ = std::min((patch_height - head_room) / highest, room / (1.12 * widest));
    top_ = highest + head_room / scale_;
    patch_width_ =
        source_.is_comparison() ? room : std::min(room, std::max(1.12 * widest * scale_, least_patch));
}

ChartTable WallPart::make_table(double width) const {
    const std::vector<double>& wall_levels = source_.options.levels;
    if (wall_levels.empty())
        return {{}, {}, width};
    ChartTable::Column who{source_.is_comparison() ? "lamp" : "setback", {}, Anchor::left},
        brightest{"brightest over\nthe lamp", {}};
    std::vector<const ChartLamp*> tags;
    for (const Patch& patch : patches_) {
        if (source_.is_comparison())
            tags.push_back(patch.lamp);
        who.cells.push_back(source_.is_comparison() ? break_words(patch.heading, {.size = 14}, 160, 1)
                                                    : print_setback(patch.setback, source_.length));
        const WallSpread& spread = *patch.spreads.front();
        brightest.cells.push_back(print_illuminance(spread.brightest_lux, source_.light) + " at " +
                                  print_about(spread.brightest_at, source_.length));
    }
    std::vector<ChartTable::Column> columns{who};
    for (std::size_t i = 0; i < wall_levels.size(); ++i) {
        const std::string level = print_illuminance(wall_levels[i], source_.light);
        ChartTable::Column reach{level + "\nreaches", {}}, stretch{level + "\nwidest stretch", {}};
        for (const Patch& patch : patches_) {
            reach.cells.push_back(print_reach(*patch.spreads[i], source_.length));
            stretch.cells.push_back(print_widest(*patch.spreads[i], source_.length));
        }
        columns.push_back(std::move(reach));
        columns.push_back(std::move(stretch));
    }
    columns.push_back(std::move(brightest));
    return {std::move(columns), std::move(tags), width};
}

/// Figures of their own where the ruler's usual step would leave next to none.
std::vector<RulerMark> WallPart::find_ruler_marks() const {
    if (top_ > 2 * ruler_step(source_.length, scale_, 26))
        return {};
    const double unit = metres_per(source_.length), step = find_round_step(top_ / unit, 4);
    std::vector<RulerMark> marks;
    for (int i = 1; i * step * unit < top_; ++i)
        marks.push_back({i * step * unit, print_number(i * step)});
    return marks;
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
    return wall_title_height + static_cast<double>(row_count()) * row_step() + 16 + table_.height() + 20;
}

void WallPart::draw(Canvas& chart, const glm::dvec2& corner) const {
    if (patches_.empty())
        return;
    std::string detail =
        "endless, tilt " + print_angle(source_.options.tilt) + " towards it; heights count from the lens";
    if (source_.is_comparison())
        detail = print_length(patches_.front().setback, source_.length) + " back, " + detail;
    draw_section_title(chart, "In front of a wall", detail, corner.x, corner.y);
    for (std::size_t row = 0; row < row_count(); ++row) {
        const double top = corner.y + wall_title_height + heading_row + static_cast<double>(row) * row_step();
        const double ground = top + top_ * scale_;
        draw_ruler(chart, corner.x + chart_ruler_width - 12, ground, scale_, top_, source_.length,
                   find_ruler_marks());
        for (std::size_t i = row * most_in_row; i < std::min(patches_.size(), (row + 1) * most_in_row); ++i) {
            const double left = corner.x + chart_ruler_width +
                                static_cast<double>(i - row * most_in_row) * (patch_width_ + patch_gap);
            draw_patch(chart, patches_[i], {left, top, left + patch_width_, ground});
        }
    }
    table_.draw(chart, {corner.x, corner.y + height() - 20 - table_.height()});
}

void WallPart::draw_heading_of(Canvas& chart, const Patch& patch, const Box& box) const {
    const double room = box.width() - (source_.is_comparison() ? 2 * tag_radius + 8 : 0);
    if (source_.is_comparison())
        draw_tag(chart, *patch.lamp, {box.left + tag_radius, box.top - 15});
    chart.text(break_words(patch.heading, patch_style, room, 1), {box.right - room, box.top - 15},
               Anchor::left, patch_style);
}

std::vector<LevelLines> WallPart::find_level_lines(const WallGrid& wall, const Box& box) const {
    const auto is_inside = [&](const glm::dvec2& point) {
        return point.x > box.left && point.x < box.right && point.y > box.top && point.y < box.bottom - 1;
    };
    std::vector<LevelLines> levels;
    for (const double level : source_.options.levels) {
        levels.push_back({level, {}});
        for (const std::vector<glm::dvec2>& line : find_contours(wall.grid, wall.lux, level)) {
            std::vector<glm::dvec2> points;
            for (const glm::dvec2& uv : line)
                points.push_back(place(box, uv));
            for (std::vector<glm::dvec2>& part : cut_line(points, is_inside))
                levels.back().lines.push_back(std::move(part));
        }
    }
    return levels;
}

void WallPart::draw_measures(Canvas& chart, const WallSpread& spread, const WallGrid& wall, const Box& box,
                             LabelSpace& space, std::vector<Card>& cards) const {
    Canvas& canvas = chart;
    const auto add_card = [&](const std::string& words, const std::vector<glm::dvec2>& middles) {
        const glm::dvec2 half = (measure_text(words, card_style) + glm::dvec2(10, 5)) / 2.0;
        std::vector<Box> candidates;
        for (const glm::dvec2& at : middles) {
            const Box spot{at.x - half.x, at.y - half.y, at.x + half.x, at.y + half.y};
            if (box.contains(spot))
                candidates.push_back(spot);
        }
        const auto spot = space.take_first_free(candidates);
        if (!spot)
            return;
        cards.push_back({words, *spot});
        space.take({spot->left - 6, spot->top - 6, spot->right + 6, spot->bottom + 6});
    };
    const glm::dvec2 tip = place(box, {0, spread.to});
    canvas.line({place(box, {0, 0}), tip}, false, 1.1, {lamplight_ink.colour, 0.55}, {3, 5});
    canvas.line({tip - glm::dvec2(10, 0), tip + glm::dvec2(10, 0)}, false, 2.4, lamplight_ink);
    space.take({tip.x - 12, tip.y - 4, tip.x + 12, tip.y + 4});
    add_card(print_about(spread.to, source_.length),
             {tip - glm::dvec2(0, 17), tip + glm::dvec2(48, -14), tip + glm::dvec2(0, 17)});

    const auto [left, right] =
        find_ends(find_contours(wall.grid, wall.lux, spread.level), spread.width_at, 1.5 * wall.grid.step)
            .value_or(std::pair{-spread.width / 2, spread.width / 2});
    const glm::dvec2 from = place(box, {left, spread.width_at}), to = place(box, {right, spread.width_at});
    if (from.x < box.left || to.x > box.right)
        return;
    canvas.line({from, to}, false, 4, {text_ink.colour, 0.55});
    canvas.line({from, to}, false, 1.6, lamplight_ink);
    for (const glm::dvec2& end : {from, to})
        canvas.line({end - glm::dvec2(0, 7), end + glm::dvec2(0, 7)}, false, 2.4, lamplight_ink);
    const std::string words = print_about(spread.width, source_.length);
    const double width = measure_text(words, card_style).x;
    const glm::dvec2 middle = (from + to) / 2.0, beside(width / 2 + 14, 0), below(0, 22);
    if (to.x - from.x > width + 40)
        add_card(words, {middle, middle + below, middle - below});
    else
        add_card(words, {to + beside, from - beside, middle + below, middle - below});
}

void WallPart::draw_patch(Canvas& chart, const Patch& patch, const Box& box) const {
    Canvas& canvas = chart;
    draw_heading_of(chart, patch, box);
    const auto colour_at = [&](double x, double y) {
        return std::optional(lux_colour(find_lux(*patch.lamp, patch.setback, source_.options.tilt,
                                                 (1 - y) * top_, (x - 0.5) * box.width() / scale_)));
    };
    const auto samples = [](double pixels) { return std::max(1, static_cast<int>(pixels / cell)); };
    canvas.image(shade(samples(box.width()), samples(box.height()), colour_at), box, {}, true);

    const WallGrid wall = light_wall(*patch.lamp, patch.setback, source_.options.tilt,
                                     box.width() / 2 / scale_, top_, cell / scale_);
    LabelSpace space;
    std::vector<Card> cards;
    // The lowest level that is reached: how high, and where it is widest.
    const auto shown = std::find_if(patch.spreads.begin(), patch.spreads.end(),
                                    [](const WallSpread* spread) { return spread->is_reached; });
    if (shown != patch.spreads.end()) {
        draw_measures(chart, **shown, wall, box, space, cards);
    } else if (!patch.spreads.empty()) {
        const TextStyle style{.size = 13.5, .is_bold = true, .ink = lamplight_ink};
        const std::string level = print_illuminance(source_.options.levels.front(), source_.light);
        space.take(chart.text(level, box.middle() - glm::dvec2(0, 10), Anchor::middle, style));
        space.take(chart.text("not reached", box.middle() + glm::dvec2(0, 10), Anchor::middle, style));
    }
    draw_level_lines(canvas, find_level_lines(wall, box), source_.light, box, space);
    for (const Card& card : cards)
        chart.card(card.words, card.box, card_style);
    canvas.line({{box.left - 6, box.bottom}, {box.right + 6, box.bottom}}, false, 2.4, text_ink);
    draw_fixture_mark(canvas, {box.middle().x, box.bottom + 18}, {0, -1});
}

glm::dvec2 WallPart::place(const Box& box, const glm::dvec2& uv) const {
    return {box.middle().x + uv.x * scale_, box.bottom - std::max(uv.y, 0.0) * scale_};
}

} // namespace duskcast
