#include "duskcast/draw/text.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <string_view>

#include "duskcast/base/text.hpp"

namespace duskcast {
namespace {

constexpr std::array<std::string_view, 8> units = {"ft", "in", "m", "fc", "lx", "lm", "W", "%"};

} // namespace

std::string keep_units(const std::string& text) {
    std::string kept;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool joins = text[i] == ' ' && i > 0 && is_digit(text[i - 1]) &&
                           std::any_of(units.begin(), units.end(), [&](const std::string_view unit) {
                               const std::size_t end = i + 1 + unit.size();
                               return text.compare(i + 1, unit.size(), unit) == 0 &&
                                      (end >= text.size() || !is_letter(text[end]));
                           });
        kept += joins ? "\u00a0" : std::string(1, text[i]);
    }
    return kept;
}

std::vector<std::string> split_lines(const std::string& text) {
    return text.empty() ? std::vector<std::string>{} : split(text, '\n');
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
    constexpr auto blanks = " \t\r\n";
    std::string broken, line;
    int lines = 1;
    for (std::size_t at = text.find_first_not_of(blanks); at < text.size();) {
        const std::size_t end = std::min(text.find_first_of(blanks, at), text.size());
        const std::string word = text.substr(at, end - at);
        at = text.find_first_not_of(blanks, end);
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

void write_lines(Canvas& canvas, const std::string& text, const glm::dvec2& at, Anchor anchor,
                 const TextStyle& style) {
    const std::vector<std::string> lines = split_lines(text);
    double y = at.y - (static_cast<double>(lines.size()) - 1) / 2 * line_step;
    for (const std::string& line : lines) {
        canvas.text(line, {at.x, y}, anchor, style);
        y += line_step;
    }
}

} // namespace duskcast
