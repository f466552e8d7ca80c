#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <iterator>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/lm63.hpp"
#include "lm63_types.hpp"

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
/// elsewhere, no light follows. What begins or ends a hundredth of a degree from a pole is put there; of
/// nodes that print alike the first is kept.
Distribution fill_range(const Distribution& distribution) {
    constexpr double step = 1e-4; // radians over which the light ends
    const double first = distribution.gamma.front();
    const double last = distribution.gamma.back();
    std::vector<double> before;
    std::vector<double> after;
    const auto is_level = [](double angle) { return std::abs(angle - pi / 2) < 1e-9; };
    if (first > 2 * step && !is_level(first))
        before = {first > pi / 2 + 2 * step ? pi / 2 : 0, first - step};
    if (last < pi - 2 * step && !is_level(last))
        after = {last + step, last < pi / 2 - 2 * step ? pi / 2 : pi};
    if (is_level(first) && is_level(last)) // a single ring: nothing to interpolate
        after = {pi};
    std::vector<std::size_t> kept;
    const auto as_printed = [&](std::size_t i) {
        return count_millionths(degrees_from_radians(distribution.gamma[i]));
    };
    for (std::size_t i = 0; i < distribution.gamma.size(); ++i)
        if (i == 0 || as_printed(i) > as_printed(kept.back()))
            kept.push_back(i);
    Distribution filled;
    filled.c = distribution.c;
    filled.gamma = before;
    for (const std::size_t i : kept)
        filled.gamma.push_back(distribution.gamma[i]);
    filled.gamma.insert(filled.gamma.end(), after.begin(), after.end());
    if (filled.gamma.front() <= 2 * step)
        filled.gamma.front() = 0;
    if (filled.gamma.back() >= pi - 2 * step)
        filled.gamma.back() = pi;
    const std::size_t width = distribution.gamma.size();
    for (std::size_t plane = 0; plane < distribution.c.size(); ++plane) {
        filled.candela.insert(filled.candela.end(), before.size(), 0.0);
        for (const std::size_t i : kept)
            filled.candela.push_back(distribution.candela[plane * width + i]);
        filled.candela.insert(filled.candela.end(), after.size(), 0.0);
    }
    join_poles(filled); // where an end was put at a pole
    return filled;
}

/// As much as fits into a line, up to a blank if there is one.
std::string_view cut_line(std::string_view text) {
    if (text.size() <= longest_line)
        return text;
    if (const std::size_t blank = text.rfind(' ', longest_line); blank != std::string_view::npos && blank > 0)
        return text.substr(0, blank);
    std::size_t end = longest_line;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80)
        --end; // not inside a UTF-8 character
    return text.substr(0, end);
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
    const bool is_upright_disk = file.opening_is_round && file.opening_length == 0;
    return fmt::format("{:.5g} {:.5g} {:.5g}", sign * file.opening_width, sign * file.opening_length,
                       (is_upright_disk ? -1 : 1) * file.opening_height);
}

/// As many as leave `greatest` six digits, whole numbers at the least.
int count_decimals(double greatest) {
    const std::string digits = fmt::format("{:.5e}", greatest); // rounded as it will be: 9.9999996 is 10.0000
    return std::clamp(5 - std::stoi(digits.substr(digits.find('e') + 1)), 0, 12);
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
    const int decimals = count_decimals(measure_max_candela(distribution));
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
