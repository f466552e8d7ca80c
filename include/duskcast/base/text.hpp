#pragma once
// Small things done to text.

#include <charconv>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace duskcast {

/// ASCII alone. What <cctype> says of other bytes depends on the locale and the system.
constexpr bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
constexpr bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/// Without the blanks, tabs and line ends round it.
std::string_view trimmed(std::string_view text);

/// The parts between the separators, trimmed; one more part than there are separators.
std::vector<std::string> split(std::string_view text, char separator);

/// ASCII letters only; everything else is left as it is.
std::string lower_case(std::string_view text);
std::string upper_case(std::string_view text);

/// As ids and names of files have it: letters, digits, dashes and underscores, and a dash for all else.
std::string dashed(std::string text);

/// With a capital at its beginning, if an ASCII letter is there.
std::string titled(std::string text);

/// The decimal number at the start of `text`, read as `std::from_chars` reads one: the nearest double, the
/// same with every compiler. Where the result has an error, `value` stays as it was.
std::from_chars_result read_decimal(std::string_view text, double& value);

/// FNV-1a, 64 bit (draft-eastlake-fnv).
std::uint64_t hash_of(std::string_view text);

/// How many characters of UTF-8 it has.
std::size_t count_characters(std::string_view text);

/// How many bytes the UTF-8 character at the start of `text` has; 0: there is none (RFC 3629).
std::size_t utf8_length(std::string_view text);

/// Whether all of it is UTF-8.
bool is_utf8(std::string_view text);

/// Text of a file as a message may quote it: control characters, marks that turn the direction of writing and
/// bytes that are no UTF-8 are spelled out ("\\x1b", "\\u202e"), words of over 160 bytes are cut in the
/// middle.
std::string quotable(std::string_view text, std::size_t longest_word = 160);

/// A byte of ISO 8859-1 as UTF-8.
std::string utf8_of_latin1(unsigned char byte);

} // namespace duskcast
