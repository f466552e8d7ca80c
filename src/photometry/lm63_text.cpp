#include "lm63_text.hpp"

#include "duskcast/base/text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <utility>

#include "duskcast/base/problem.hpp"

namespace duskcast {

namespace {

/// Half the time of reading went into find_first_of, which looks every character up in a set.
constexpr bool is_delimiter(char c) {
    return c == ' ' || c == ',' || c == '\t' || c == '\f' || c == '\v';
}

std::size_t word_length(std::string_view text) {
    return static_cast<std::size_t>(std::find_if(text.begin(), text.end(), is_delimiter) - text.begin());
}

/// Where the next word begins, npos when there is none.
std::size_t find_word(std::string_view text, std::size_t from) {
    while (from < text.size() && is_delimiter(text[from]))
        ++from;
    return from < text.size() ? from : std::string_view::npos;
}

/// A number as LM-63 files hold them: "+5", ".5", "5.", "1.2E+03", and Fortran's "1.2D+03".
/// result_out_of_range when it is one that a double cannot hold.
std::errc read_double(std::string_view word, double& value) {
    std::string text;
    std::string_view digits = word;
    const auto is_d = [](char c) { return c == 'd' || c == 'D'; };
    if (const auto exponent = std::find_if(word.begin(), word.end(), is_d); exponent != word.end()) {
        text = word;
        text[static_cast<std::size_t>(exponent - word.begin())] = 'e';
        digits = text;
    }
    if (digits.starts_with('+') && !digits.starts_with("+-"))
        digits.remove_prefix(1);
    const auto [end, fault] = read_decimal(digits, value);
    if (end != digits.data() + digits.size() || (fault == std::errc{} && !std::isfinite(value)))
        return std::errc::invalid_argument;
    return fault;
}

} // namespace

void refuse_lm63(const std::string& file, int line, std::string_view what, std::string_view remedy) {
    throw InputError(Problem{Severity::error, {file, line, 0, ""}, std::string(what), std::string(remedy)});
}

std::string shorten(std::string_view text) {
    constexpr std::size_t longest = 40;
    std::string shown = make_utf8(text);
    if (shown.size() > longest) {
        std::size_t end = longest;
        while (end > 0 && (static_cast<unsigned char>(shown[end]) & 0xC0) == 0x80)
            --end; // not inside a UTF-8 character
        shown.resize(end);
        shown += "...";
    }
    return shown;
}

std::string make_utf8(std::string_view text) {
    if (is_utf8(text))
        return std::string(text);
    std::string utf8;
    for (const char c : text)
        utf8 += utf8_of_latin1(static_cast<unsigned char>(c));
    return utf8;
}

std::vector<Lm63Line> read_lm63_lines(std::string_view text, const std::string& file) {
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
        refuse_lm63(file, 1, "the file is UTF-16 text", "save it as plain text (ASCII or UTF-8)");
    if (text.starts_with("\xEF\xBB\xBF"))
        text.remove_prefix(3);
    while (!text.empty() && (text.back() == '\x1A' || text.back() == '\0' || text.back() == ' ' ||
                             text.back() == '\r' || text.back() == '\n'))
        text.remove_suffix(1);
    std::vector<Lm63Line> lines;
    int number = 1;
    while (!text.empty()) {
        const auto is_end = [](char c) { return c == '\r' || c == '\n'; };
        const auto end =
            static_cast<std::size_t>(std::find_if(text.begin(), text.end(), is_end) - text.begin());
        lines.push_back({number++, text.substr(0, end)});
        text.remove_prefix(end);
        text.remove_prefix(text.starts_with("\r\n") ? 2 : text.empty() ? 0 : 1);
    }
    return lines;
}

Lm63Numbers::Lm63Numbers(const std::vector<Lm63Line>& lines, std::size_t first, const std::string& file)
    : lines_(lines), file_(file), at_line_(first) {}

void Lm63Numbers::skip_delimiters() {
    for (; at_line_ < lines_.size(); ++at_line_, at_ = 0) {
        at_ = find_word(lines_[at_line_].text, at_);
        if (at_ != std::string_view::npos)
            return;
    }
}

bool Lm63Numbers::is_done() {
    skip_delimiters();
    return at_line_ >= lines_.size();
}

bool Lm63Numbers::is_at_line_start() {
    skip_delimiters();
    return at_line_ >= lines_.size() || find_word(lines_[at_line_].text, 0) == at_;
}

std::string_view Lm63Numbers::next_word() {
    if (is_done())
        return {};
    const std::string_view rest = lines_[at_line_].text.substr(at_);
    return rest.substr(0, word_length(rest));
}

int Lm63Numbers::next_line() {
    if (lines_.empty())
        return 0;
    return is_done() ? lines_.back().number : lines_[at_line_].number;
}

std::size_t Lm63Numbers::count_left() const {
    std::size_t count = 0;
    std::size_t from = at_;
    for (std::size_t i = at_line_; i < lines_.size(); ++i, from = 0) {
        const std::string_view text = lines_[i].text;
        while ((from = find_word(text, from)) != std::string_view::npos) {
            ++count;
            from += word_length(text.substr(from));
        }
    }
    return count;
}

void Lm63Numbers::refuse(std::string_view what, std::string_view remedy) const {
    refuse_lm63(file_, word_line_, what, remedy);
}

int Lm63Numbers::line() const {
    return word_line_;
}

double Lm63Numbers::read_number(std::string_view meaning) {
    word_ = next_word();
    if (word_.empty())
        refuse_lm63(file_, next_line(), fmt::format("the file ends where {} belongs", meaning),
                    "the file is cut short");
    word_line_ = lines_[at_line_].number;
    at_ += word_.size();
    double value = 0;
    const std::errc fault = read_double(word_, value);
    if (fault == std::errc::result_out_of_range)
        refuse_lm63(file_, word_line_, fmt::format("\"{}\" stands where {} belongs", shorten(word_), meaning),
                    "check its exponent: the number is greater or smaller than any that is read");
    if (fault != std::errc{})
        refuse_lm63(file_, word_line_, fmt::format("\"{}\" stands where {} belongs", shorten(word_), meaning),
                    "put a number there");
    return value;
}

int Lm63Numbers::read_whole(std::string_view meaning, int least, int greatest) {
    const double value = read_number(meaning);
    if (value != std::floor(value) || value < least || value > greatest)
        refuse_lm63(file_, word_line_, fmt::format("{} is {}", meaning, shorten(word_)),
                    fmt::format("give a whole number from {} to {}", least, greatest));
    return static_cast<int>(value);
}

} // namespace duskcast
