#include <algorithm>
#include <array>

#include "chart_legend.hpp"
#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/draw/text.hpp"

namespace duskcast {
namespace {

constexpr double sample_width = 40;
constexpr double entry_height = 24;
constexpr double item_gap = 28;
constexpr double marker_size = 4.5; // half of its width
const TextStyle entry_style{.size = 14, .ink = text_ink};

const std::array<std::vector<double>, curve_colours.size()> dashes = {
    {{}, {9, 4}, {2.5, 3}, {12, 3, 2.5, 3}, {5, 3}, {14, 5}, {8, 3, 2, 3, 2, 3}, {2.5, 6}}};

} // namespace

CurveStyle find_curve_style(std::size_t index, std::size_t count) {
    if (count < 2)
        return {{dusk_colour(0.3), 1}, {}, 0};
    const std::size_t i = index % curve_colours.size();
    return {{curve_colours[i], 1}, dashes[i], static_cast<int>(i)};
}

void draw_marker(Canvas& canvas, const CurveStyle& style, const glm::dvec2& at) {
    constexpr double r = marker_size;
    const auto point = [&](double x, double y) { return at + r * glm::dvec2(x, y); };
    const Ink paper{paper_ink.colour, 1};
    switch (style.marker) {
    case 0:
        canvas.fill_disk(at, 0.9 * r, style.ink);
        break;
    case 1:
        canvas.fill({point(-0.85, -0.85), point(0.85, -0.85), point(0.85, 0.85), point(-0.85, 0.85)},
                    style.ink);
        break;
    case 2:
        canvas.fill({point(-1.1, 0.8), point(1.1, 0.8), point(0, -1.2)}, style.ink);
        break;
    case 3:
        canvas.fill({point(-1.25, 0), point(0, 1.25), point(1.25, 0), point(0, -1.25)}, style.ink);
        break;
    case 4:
        canvas.fill_disk(at, 0.9 * r, paper);
        canvas.circle(at, 0.9 * r, 1.8, style.ink);
        break;
    case 5:
        canvas.fill({point(-1.1, -0.8), point(1.1, -0.8), point(0, 1.2)}, style.ink);
        break;
    case 6:
        canvas.line({point(-0.9, -0.9), point(0.9, 0.9)}, false, 2, style.ink);
        canvas.line({point(-0.9, 0.9), point(0.9, -0.9)}, false, 2, style.ink);
        break;
    default: {
        const std::vector<glm::dvec2> square = {point(-0.85, -0.85), point(0.85, -0.85), point(0.85, 0.85),
                                                point(-0.85, 0.85)};
        canvas.fill(square, paper);
        canvas.line(square, true, 1.8, style.ink);
    }
    }
}

std::vector<std::string> list_series(const std::vector<Chart>& charts) {
    std::vector<std::string> names;
    for (const Chart& chart : charts)
        for (const ChartSeries& series : chart.series)
            if (std::find(names.begin(), names.end(), series.name) == names.end())
                names.push_back(series.name);
    return names;
}

Legend::Legend(const std::vector<std::string>& names, double width) {
    glm::dvec2 at(0, entry_height / 2);
    for (std::size_t i = 0; i < names.size(); ++i) {
        const std::string name = cut_text(names[i], entry_style, width - sample_width - 8);
        const double wide = sample_width + 8 + measure_text(name, entry_style).x;
        if (at.x > 0 && at.x + wide > width)
            at = {0, at.y + entry_height};
        items_.push_back({name, find_curve_style(i, names.size()), at});
        at.x += wide + item_gap;
    }
}

double Legend::height() const {
    return items_.empty() ? 0 : items_.back().at.y + entry_height / 2;
}

void Legend::draw(Canvas& chart, const glm::dvec2& corner) const {
    for (const Item& item : items_) {
        const glm::dvec2 left = corner + item.at, right = left + glm::dvec2(sample_width, 0);
        chart.line({left, right}, false, 2.2, item.style.ink, item.style.dash);
        draw_marker(chart, item.style, (left + right) / 2.0);
        chart.text(item.name, right + glm::dvec2(8, 0), Anchor::left, entry_style);
    }
}

} // namespace duskcast
