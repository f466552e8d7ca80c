#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <iterator>

#include "duskcast/photometry/lm63.hpp"
#include "duskcast/units/units.hpp"

namespace duskcast {

namespace {

constexpr std::size_t longest_line = 120; // the standard allows 256 (from memory)

/// Words in lines of at most `longest_line`.
void add_lines(std::string& text, const std::vector<std::string>& words) {
    std::size_t length = 0;
    for (const std::string& word : words) {
        if (length > 0)
            text += length + 1 + word.size() > longest_line ? "\r\n" : " ";
        length =
            length > 0 && length + 1 + word.size() <= longest_line ? length + 1 + word.size() : word.size();
        text += word;
    }
    text += "\r\n";
}

/// Six decimals at most, none needless: "22.5".
std::string print_angle_deg(double angle) {
    std::string text = fmt::format("{:.6f}", degrees_from_radians(angle));
    text.erase(text.find_last_not_of('0') + 1);
    if (text.ends_with('.'))
        text.pop_back();
    return text;
}

/// LM-63 wants type C to begin at 0 or 90 and to end at 90 or 180 degrees; where the distribution ends
/// elsewhere, no light follows.
Distribution fill_range(const Distribution& distribution) {
    constexpr double step = 1e-4; // radians over which the light ends
    const double first = distribution.gamma.front();
    const double last = distribution.gamma.back();
    std::vector<double> before;
    std::vector<double> after;
    const auto is_at = [](double angle, double wanted) { return std::abs(angle - wanted) < 1e-9; };
    if (!is_at(first, 0) && !is_at(first, pi / 2)) {
        before.push_back(first > pi / 2 ? pi / 2 : 0);
        if (first - step > before.front())
            before.push_back(first - step);
    }
    if (!is_at(last, pi / 2) && !is_at(last, pi)) {
        const double end = last < pi / 2 ? pi / 2 : pi;
        if (last + step < end)
            after.push_back(last + step);
        after.push_back(end);
    }
    if (is_at(first, pi / 2) && is_at(last, pi / 2)) // a single ring: nothing to interpolate
        after.push_back(pi);
    Distribution filled;
    filled.c = distribution.c;
    filled.gamma = before;
    filled.gamma.insert(filled.gamma.end(), distribution.gamma.begin(), distribution.gamma.end());
    filled.gamma.insert(filled.gamma.end(), after.begin(), after.end());
    const std::size_t width = distribution.gamma.size();
    for (std::size_t plane = 0; plane < distribution.c.size(); ++plane) {
        const auto row = distribution.candela.begin() + static_cast<std::ptrdiff_t>(plane * width);
        filled.candela.insert(filled.candela.end(), before.size(), 0.0);
        filled.candela.insert(filled.candela.end(), row, row + static_cast<std::ptrdiff_t>(width));
        filled.candela.insert(filled.candela.end(), after.size(), 0.0);
    }
    return filled;
}

/// As much as fits into a line, up to a blank if there is one.
std::string_view cut_line(std::string_view text) {
    if (text.size() <= longest_line)
        return text;
    const std::size_t blank = text.rfind(' ', longest_line);
    return text.substr(0, blank == std::string_view::npos || blank == 0 ? longest_line : blank);
}

std::string print_keywords(const Lm63& file) {
    std::string text;
    for (const char* required : {"TEST", "TESTLAB", "ISSUEDATE", "MANUFAC"})
        if (std::none_of(file.keywords.begin(), file.keywords.end(),
                         [&](const auto& keyword) { return keyword.first == required; }))
            text += fmt::format("[{}] not stated\r\n", required);
    std::vector<std::pair<std::string, std::string>> keywords = file.keywords;
    for (const std::string& label : file.labels)
        keywords.emplace_back("OTHER", label);
    for (const auto& [key, value] : keywords) {
        std::string_view rest = value;
        for (std::string_view name = key;; name = "MORE") {
            const std::string_view line = cut_line(rest);
            text += fmt::format("[{}] {}\r\n", name, line);
            if (line.size() == rest.size())
                break;
            rest.remove_prefix(line.size());
            rest.remove_prefix(rest.front() == ' ' ? 1 : 0);
        }
    }
    return text;
}

/// The sizes with the signs that LM-63-2002 and 2019 give the shapes.
std::string print_opening(const Lm63& file) {
    const double sign = file.opening_is_round ? -1 : 1;
    return fmt::format("{:.5g} {:.5g} {:.5g}", sign * file.opening_width, sign * file.opening_length,
                       file.opening_height);
}

} // namespace

std::string print_lm63(const Lm63& file) {
    const Distribution distribution = fill_range(make_untilted(file.distribution));
    std::string text = "IES:LM-63-2019\r\n" + print_keywords(file) + "TILT=NONE\r\n";
    text += fmt::format("1 -1 1 {} {} 1 2 {}\r\n", distribution.gamma.size(), distribution.c.size(),
                        print_opening(file));
    // 1.00001: how the file came about is not defined (2019's code, from memory).
    text += fmt::format("1 1.00001 {:.5g}\r\n", file.input_watts);
    std::vector<std::string> words;
    for (const double gamma : distribution.gamma)
        words.push_back(print_angle_deg(gamma));
    add_lines(text, words);
    words.clear();
    for (const double c : distribution.c)
        words.push_back(print_angle_deg(c));
    add_lines(text, words);
    const double greatest = std::max(measure_max_candela(distribution), 1e-6);
    const int decimals = std::clamp(5 - static_cast<int>(std::floor(std::log10(greatest))), 0, 12);
    for (std::size_t plane = 0; plane < distribution.c.size(); ++plane) {
        words.clear();
        for (std::size_t i = 0; i < distribution.gamma.size(); ++i)
            words.push_back(fmt::format(
                "{:.{}f}", distribution.candela[plane * distribution.gamma.size() + i], decimals));
        add_lines(text, words);
    }
    return text;
}

} // namespace duskcast
