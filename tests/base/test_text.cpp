// Trimming, splitting, UTF-8, CSV fields.

#include <doctest/doctest.h>

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
