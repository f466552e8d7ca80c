#include "duskcast/draw/chart_canvas.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <sstream>

namespace duskcast {

Box ChartCanvas::write(const std::string& text, const glm::dvec2& at, Anchor anchor, const TextStyle& style,
                       double turn) {
    Box box = canvas_.text(text, at, anchor, style, turn);
    if (turn != 0) {
        const double c = std::cos(turn), s = std::sin(turn);
        const auto place = [&](double x, double y) {
            return at + glm::dvec2(c * (x - at.x) - s * (y - at.y), s * (x - at.x) + c * (y - at.y));
        };
        const glm::dvec2 a = place(box.left, box.top), b = place(box.right, box.bottom);
        box = {std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
    }
    words_.push_back({text, box});
    return box;
}

void ChartCanvas::card(const std::string& text, const Box& box, const TextStyle& style) {
    canvas_.card(text, box, style);
    words_.push_back({text, box});
}

void draw_section_title(ChartCanvas& chart, const std::string& title, const std::string& detail, double left,
                        double top) {
    const Box box = chart.write(title, {left, top + 12}, Anchor::left, section_style);
    if (!detail.empty())
        chart.write(detail, {box.right + 12, top + 13}, Anchor::left, section_detail_style);
}

double find_round_step(double greatest, int most) {
    if (!(greatest > 0))
        return 1;
    double step = std::pow(10, std::floor(std::log10(greatest / most)));
    for (const double factor : {1.0, 2.0, 2.5, 5.0, 10.0})
        if (greatest <= step * factor * most * (1 + 1e-9))
            return step * factor;
    return step * 10;
}

std::vector<std::string> split_lines(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream stream(text);
    for (std::string line; std::getline(stream, line);)
        lines.push_back(line);
    return lines;
}

std::string cut_text(const std::string& text, const TextStyle& style, double width) {
    if (measure_text(text, style).x <= width)
        return text;
    std::string kept = text;
    const auto is_inner_byte = [](char c) { return (static_cast<unsigned char>(c) & 0xc0) == 0x80; };
    while (!kept.empty() && measure_text(kept + "\u2026", style).x > width) {
        while (kept.size() > 1 && is_inner_byte(kept.back()))
            kept.pop_back();
        kept.pop_back();
    }
    return kept + "\u2026";
}

std::string break_words(const std::string& text, const TextStyle& style, double width, int most) {
    std::istringstream stream(text);
    std::string broken, line;
    int lines = 1;
    for (std::string word; stream >> word;) {
        const std::string longer = line.empty() ? word : fmt::format("{} {}", line, word);
        if (line.empty() || lines == most || measure_text(longer, style).x <= width) {
            line = longer;
            continue;
        }
        broken += cut_text(line, style, width) + "\n";
        line = word;
        ++lines;
    }
    return broken + cut_text(line, style, width);
}

void write_lines(ChartCanvas& chart, const std::string& text, const glm::dvec2& at, Anchor anchor,
                 const TextStyle& style) {
    const std::vector<std::string> lines = split_lines(text);
    double y = at.y - (static_cast<double>(lines.size()) - 1) / 2 * line_step;
    for (const std::string& line : lines) {
        chart.write(line, {at.x, y}, anchor, style);
        y += line_step;
    }
}

bool is_dark(const Colour& colour) {
    return 0.3 * colour[0] + 0.59 * colour[1] + 0.11 * colour[2] < 0.52; // roughly
}

} // namespace duskcast
