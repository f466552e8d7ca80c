#include "duskcast/base/text.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fast_float/fast_float.h>
#include <fmt/format.h>

namespace duskcast {

std::string_view trimmed(std::string_view text) {
    constexpr auto blanks = " \t\r\n";
    const std::size_t first = text.find_first_not_of(blanks);
    return first == std::string_view::npos ? std::string_view{}
                                           : text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

std::vector<std::string> split(std::string_view text, char separator) {
    std::vector<std::string> parts;
    for (std::size_t from = 0; from <= text.size();) {
        const std::size_t to = std::min(text.find(separator, from), text.size());
        parts.emplace_back(trimmed(text.substr(from, to - from)));
        from = to + 1;
    }
    return parts;
}

std::string lower_case(std::string_view text) {
    std::string lower(text);
    for (char& c : lower)
        if (c >= 'A' && c <= 'Z')
            c = static_cast<char>(c - 'A' + 'a');
    return lower;
}

std::string upper_case(std::string_view text) {
    std::string upper(text);
    for (char& c : upper)
        if (c >= 'a' && c <= 'z')
            c = static_cast<char>(c - 'a' + 'A');
    return upper;
}

std::string dashed(std::string text) {
    for (char& c : text)
        if (!is_letter(c) && !is_digit(c) && c != '_')
            c = '-';
    return text;
}

std::string titled(std::string text) {
    if (!text.empty() && is_letter(text[0]))
        text[0] = upper_case(text.substr(0, 1))[0];
    return text;
}

std::from_chars_result read_decimal(std::string_view text, double& value) {
    double figure = 0;
    const auto [end, fault] = fast_float::from_chars(text.data(), text.data() + text.size(), figure);
    if (fault != std::errc{})
        return {end, fault};
    if (figure == 0 || std::isinf(figure)) {
        // It gives infinity or nothing for what no double holds, and calls that success.
        const std::string_view read = text.substr(0, static_cast<std::size_t>(end - text.data()));
        const std::string_view digits = read.substr(0, read.find_first_of("eE"));
        if (digits.find_first_of("123456789") != std::string_view::npos)
            return {end, std::errc::result_out_of_range};
    }
    value = figure;
    return {end, std::errc{}};
}

std::uint64_t hash_of(std::string_view text) {
    std::uint64_t hash = 0xcbf29ce484222325u;
    for (const char c : text)
        hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
    return hash;
}

std::size_t count_characters(std::string_view text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

std::size_t utf8_length(std::string_view text) {
    const auto byte = [&](std::size_t i) {
        return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u;
    };
    const unsigned first = byte(0), second = byte(1);
    const auto is_tail = [&](std::size_t i) { return (byte(i) & 0xC0) == 0x80; };
    if (text.empty())
        return 0;
    if (first < 0x80)
        return 1;
    if (first >= 0xC2 && first < 0xE0)
        return is_tail(1) ? 2 : 0;
    if (first >= 0xE0 && first < 0xF0) {
        const bool is_in_range = (first != 0xE0 || second >= 0xA0) && (first != 0xED || second < 0xA0);
        return is_in_range && is_tail(1) && is_tail(2) ? 3 : 0;
    }
    if (first >= 0xF0 && first < 0xF5) {
        const bool is_in_range = (first != 0xF0 || second >= 0x90) && (first != 0xF4 || second < 0x90);
        return is_in_range && is_tail(1) && is_tail(2) && is_tail(3) ? 4 : 0;
    }
    return 0;
}

bool is_utf8(std::string_view text) {
    while (!text.empty()) {
        const std::size_t length = utf8_length(text);
        if (length == 0)
            return false;
        text.remove_prefix(length);
    }
    return true;
}

namespace {

/// The code point of one UTF-8 character.
std::uint32_t code_point(std::string_view character) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(character[i]); };
    if (character.size() == 1)
        return byte(0);
    std::uint32_t code = byte(0) & (0xFFu >> (character.size() + 1));
    for (std::size_t i = 1; i < character.size(); ++i)
        code = code << 6 | (byte(i) & 0x3Fu);
    return code;
}

/// Control characters, and what turns the direction of writing (Unicode's Bidi_Control) or breaks lines.
bool is_unseen(std::uint32_t code) {
    return code < 0x20 || (code >= 0x7F && code < 0xA0) || code == 0x061C || code == 0x200E ||
           code == 0x200F || (code >= 0x2028 && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
}

} // namespace

std::string quotable(std::string_view text, std::size_t longest_word) {
    const std::size_t head = longest_word / 8 * 5, tail = longest_word / 4;
    std::string out;
    std::size_t word = 0; // where the word in hand begins
    const auto end_word = [&] {
        if (out.size() - word > longest_word) {
            std::size_t from = word + head, to = out.size() - tail;
            const auto is_inside = [&](std::size_t at) { return (out[at] & 0xC0) == 0x80; };
            while (is_inside(from))
                --from;
            while (is_inside(to))
                ++to;
            out.replace(from, to - from, "...");
        }
    };
    while (!text.empty()) {
        const std::size_t length = utf8_length(text);
        const std::string_view character = text.substr(0, std::max<std::size_t>(length, 1));
        text.remove_prefix(character.size());
        const std::uint32_t code =
            length == 0 ? static_cast<unsigned char>(character[0]) : code_point(character);
        if (code == ' ') {
            end_word();
            out += ' ';
            word = out.size();
        } else if (length == 0 || (is_unseen(code) && code < 0x100)) {
            out += fmt::format("\\x{:02x}", code);
        } else if (is_unseen(code)) {
            out += fmt::format("\\u{:04x}", code);
        } else {
            out += character;
        }
    }
    end_word();
    return out;
}

std::string utf8_of_latin1(unsigned char byte) {
    if (byte < 0x80)
        return {static_cast<char>(byte)};
    return {static_cast<char>(0xC0 | (byte >> 6)), static_cast<char>(0x80 | (byte & 0x3F))};
}

} // namespace duskcast
