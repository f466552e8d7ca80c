// Trimming, splitting, decimals, UTF-8.

#include <clocale>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <utility>

#include "duskcast/base/random.hpp"
#include "duskcast/base/text.hpp"

using namespace duskcast;

TEST_CASE("trimming takes blanks, tabs and line ends off both ends and nothing inside") {
    CHECK(trimmed("  a b\t\r\n") == "a b");
    CHECK(trimmed("ab") == "ab");
    CHECK(trimmed(" \t\r\n ").empty());
    CHECK(trimmed("").empty());
}

TEST_CASE("splitting gives one more part than there are separators") {
    CHECK(split("a, b ,c", ',') == std::vector<std::string>{"a", "b", "c"});
    CHECK(split("", ',') == std::vector<std::string>{""});
    CHECK(split(",", ',') == std::vector<std::string>{"", ""});
    CHECK(split("a\n", '\n') == std::vector<std::string>{"a", ""});
}

TEST_CASE("changing the case leaves everything but ASCII letters") {
    CHECK(lower_case("AZaz09-\xC3\x84") == "azaz09-\xC3\x84");
    CHECK(upper_case("AZaz09-\xC3\xA4") == "AZAZ09-\xC3\xA4");
    CHECK(titled("path hat") == "Path hat");
    CHECK(titled("9 lights") == "9 lights");
    CHECK(titled("\xC3\xA4ther") == "\xC3\xA4ther");
    CHECK(titled("").empty());
}

TEST_CASE("letters and digits are those of ASCII, whatever the locale") {
    // ISO 8859-1 has letters above 127; where the machine has no such locale, that of "C" holds.
    for (const char* name : {"de_DE.ISO8859-1", "de_DE.iso88591", "fr_FR.ISO-8859-1"})
        if (std::setlocale(LC_ALL, name))
            break;
    std::string letters, digits;
    for (int byte = 0; byte < 256; ++byte) {
        if (is_letter(static_cast<char>(byte)))
            letters += static_cast<char>(byte);
        if (is_digit(static_cast<char>(byte)))
            digits += static_cast<char>(byte);
    }
    CHECK(letters == "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz");
    CHECK(digits == "0123456789");
    std::setlocale(LC_ALL, "C");
}

// RFC 3629, section 4: the ranges of well-formed byte sequences.
TEST_CASE("UTF-8 as RFC 3629 has it") {
    CHECK(utf8_length("a") == 1);
    CHECK(utf8_length("\xC2\x80") == 2);
    CHECK(utf8_length("\xE0\xA0\x80") == 3);
    CHECK(utf8_length("\xEF\xBF\xBF") == 3);
    CHECK(utf8_length("\xF0\x90\x80\x80") == 4);
    CHECK(utf8_length("\xF4\x8F\xBF\xBF") == 4);
    for (const char* bad :
         {"\x80", "\xBF", "\xC0\x80", "\xC1\xBF", "\xC2", "\xC2z", "\xE0\x9F\xBF", "\xED\xA0\x80", "\xE1\x80",
          "\xF0\x8F\xBF\xBF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFF"}) {
        CAPTURE(static_cast<int>(static_cast<unsigned char>(bad[0])));
        CHECK(utf8_length(bad) == 0);
        CHECK(!is_utf8(std::string("ok") + bad));
    }
    CHECK(utf8_length("") == 0);
    CHECK(is_utf8(""));
    CHECK(is_utf8("Fa\xC3\xA7"
                  "ade \xE2\x80\x93 24 ft"));
}

TEST_CASE("every byte of Latin-1 becomes the character of the same number") {
    for (int byte = 0; byte < 256; ++byte) {
        const std::string text = utf8_of_latin1(static_cast<unsigned char>(byte));
        REQUIRE(utf8_length(text) == text.size());
        const unsigned code = text.size() == 1 ? static_cast<unsigned char>(text[0])
                                               : (static_cast<unsigned char>(text[0]) & 0x1Fu) << 6 |
                                                     (static_cast<unsigned char>(text[1]) & 0x3Fu);
        CHECK(code == static_cast<unsigned>(byte));
    }
}

TEST_CASE("decimals are read as the standard library reads them") {
    // C++20 [charconv.from.chars]; the halves are IEEE 754 ties, the ends those of binary64.
    const auto read = [](std::string_view text, double& value) {
        const auto [end, fault] = read_decimal(text, value);
        return std::pair(static_cast<std::size_t>(end - text.data()), fault);
    };
    struct Row {
        std::string_view text;
        std::size_t length;
        double value;
    };
    for (const Row& row :
         {Row{"0.5", 3, 0.5}, Row{"-12.25e1x", 8, -122.5}, Row{".5 ft", 2, 0.5}, Row{"5.", 2, 5},
          Row{"1e", 1, 1}, Row{"0e999", 5, 0}, Row{"-0", 2, -0.0},
          Row{"9007199254740993", 16, 9007199254740992.0}, Row{"9007199254740995", 16, 9007199254740996.0},
          Row{"1.7976931348623157e308", 22, 0x1.fffffffffffffp1023},
          Row{"4.9406564584124654e-324", 23, 0x1p-1074}}) {
        CAPTURE(row.text);
        double value = 99;
        CHECK(read(row.text, value) == std::pair(row.length, std::errc{}));
        CHECK(value == row.value);
    }
    for (const std::string_view text : {"", "x", "+1", " 1", "-", ".", "e5"}) {
        CAPTURE(text);
        double value = 99;
        CHECK(read(text, value).second == std::errc::invalid_argument);
        CHECK(value == 99);
    }
    for (const std::string_view text : {"1e309", "-1e309", "1e-400", "0.00001e-330"}) {
        CAPTURE(text);
        double value = 99;
        CHECK(read(text, value) == std::pair(text.size(), std::errc::result_out_of_range));
        CHECK(value == 99);
    }
    double value = 0;
    CHECK(read("inf", value) == std::pair(std::size_t{3}, std::errc{}));
    CHECK(value == std::numeric_limits<double>::infinity());
}

#ifdef __cpp_lib_to_chars
TEST_CASE("decimals: random words against std::from_chars") {
    Random random(11);
    constexpr std::string_view letters = "0123456789999..eE--+inf";
    int numbers = 0;
    for (int i = 0; i < 200'000; ++i) {
        std::string word;
        for (int left = 1 + static_cast<int>(random.uniform() * 24); left > 0; --left)
            word += letters[static_cast<std::size_t>(random.uniform() * letters.size())];
        double ours = 99, theirs = 99;
        const auto mine = read_decimal(word, ours);
        const auto other = std::from_chars(word.data(), word.data() + word.size(), theirs);
        CAPTURE(word);
        REQUIRE(mine.ec == other.ec);
        REQUIRE(mine.ptr == other.ptr);
        REQUIRE((ours == theirs || (std::isnan(ours) && std::isnan(theirs))));
        numbers += mine.ec == std::errc{} ? 1 : 0;
    }
    CHECK(numbers > 50'000);
}
#endif

// The marks that turn the direction of writing: Unicode's property Bidi_Control (UAX #9).
TEST_CASE("text: what becomes an id or a file's name keeps letters, digits, dashes and underscores") {
    CHECK(dashed("North wall_2/b") == "North-wall_2-b");
    CHECK(dashed("\xc3\xa9t\xc3\xa9") == "--t--"); // bytes, not characters
    CHECK(dashed("").empty());
}

TEST_CASE("what a message quotes of a file neither moves the cursor nor fills the screen") {
    CHECK(quotable("Garden wall, 3\xC2\xB0 and \xE2\x80\x9Cquoted\xE2\x80\x9D") ==
          "Garden wall, 3\xC2\xB0 and \xE2\x80\x9Cquoted\xE2\x80\x9D");
    CHECK(quotable("a\x1b[2Jb\n") == "a\\x1b[2Jb\\x0a");
    CHECK(quotable(std::string_view("a\0b", 3)) == "a\\x00b");
    CHECK(quotable("\xC2\x9B"
                   "31m") == "\\x9b31m");
    CHECK(quotable("x\xE2\x80\xAEy\xD8\x9C") == "x\\u202ey\\u061c");
    CHECK(quotable("caf\xE9") == "caf\\xe9");
    const std::string cut = quotable("id " + std::string(100'000, 'w') + " end");
    CHECK(cut == "id " + std::string(100, 'w') + "..." + std::string(40, 'w') + " end");
    CHECK(quotable(std::string(160, 'w')) == std::string(160, 'w'));
    // No character is cut in two.
    std::string umlauts;
    for (int i = 0; i < 200; ++i)
        umlauts += "\xC3\xA4";
    CHECK(is_utf8(quotable("x" + umlauts)));
    CHECK(is_utf8(quotable(umlauts)));
}
