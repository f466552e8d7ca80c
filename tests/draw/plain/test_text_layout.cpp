// Texts measured and broken without Pango.

#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <iterator>
// Compiled here: not everywhere does a library hold it.
#define STBTT_STATIC
#define STB_TRUETYPE_IMPLEMENTATION
#include <stb_truetype.h>

#include "../../../src/draw/plain/text_layout.hpp"

using namespace duskcast;

namespace {

/// The font as another reader of TrueType files (stb_truetype) understands it.
class Font {
public:
    explicit Font(const std::string& name) {
        std::ifstream file(std::filesystem::path(DUSKCAST_FONT_DIR) / name, std::ios::binary);
        bytes_.assign(std::istreambuf_iterator<char>(file), {});
        REQUIRE_MESSAGE(stbtt_InitFont(&info_, reinterpret_cast<const unsigned char*>(bytes_.data()), 0) != 0,
                        name);
    }
    double advance(char32_t sign) const {
        int width = 0, bearing = 0;
        stbtt_GetCodepointHMetrics(&info_, static_cast<int>(sign), &width, &bearing);
        return width / 2048.0;
    }
    bool has(char32_t sign) const { return stbtt_FindGlyphIndex(&info_, static_cast<int>(sign)) != 0; }
    const stbtt_fontinfo* info() const { return &info_; }

private:
    std::string bytes_;
    stbtt_fontinfo info_{};
};

std::vector<std::string> lines_of(const std::string& text, double wrap) {
    std::vector<std::string> lines;
    for (const TextLine& line : lay_out_text(text, {.size = 20}, wrap)) {
        lines.emplace_back();
        for (const char32_t sign : line.signs)
            lines.back() += sign < 0x80 ? static_cast<char>(sign) : '?';
    }
    return lines;
}

double width_of(const std::string& text) {
    return measure_text(text, {.size = 20}).x;
}

} // namespace

TEST_CASE("text layout: signs are as wide as in DejaVu Sans, regular and bold") {
    const Font regular("DejaVuSans.ttf"), bold("DejaVuSans-Bold.ttf");
    for (const auto& [first, last] :
         {std::pair<char32_t, char32_t>(0x20, 0x7e), {0xa0, 0x17f}, {0x2010, 0x2033}, {0x2212, 0x2212}})
        for (char32_t sign = first; sign <= last; ++sign) {
            CAPTURE(static_cast<unsigned>(sign));
            REQUIRE(regular.has(sign));
            CHECK(advance_of(sign, false) == doctest::Approx(regular.advance(sign)));
            CHECK(advance_of(sign, true) == doctest::Approx(bold.advance(sign)));
        }
    int up = 0, down = 0, gap = 0;
    stbtt_GetFontVMetrics(regular.info(), &up, &down, &gap);
    CHECK(ascent == up / 2048.0);
    CHECK(descent == -down / 2048.0);
}

TEST_CASE("text layout: signs that are not in the table have the width of their kind") {
    const Font regular("DejaVuSans.ttf");
    double sum = 0;
    int count = 0;
    for (char32_t sign = 0x391; sign < 0x450; ++sign) // Greek and Cyrillic
        if (regular.has(sign)) {
            sum += advance_of(sign, false) / regular.advance(sign);
            ++count;
        }
    CHECK(sum / count == doctest::Approx(1).epsilon(0.15));
    CHECK(advance_of(0x4e2d, false) == 1); // an ideograph
    CHECK(advance_of(0x1f333, false) == 1);
    CHECK(advance_of(0x301, false) == 0); // an accent over the sign before
    CHECK(advance_of('\t', false) == 0);
}

TEST_CASE("text layout: UTF-8, and what is none") {
    // The examples of RFC 3629, section 7; limits of each length; then bytes it forbids.
    CHECK(decode_utf8("A\u2262\u0391.") == U"A\u2262\u0391.");
    CHECK(decode_utf8("\x7f\u0080\u07ff\u0800\uffff\U00010000\U0010ffff") ==
          U"\x7f\u0080\u07ff\u0800\uffff\U00010000\U0010ffff");
    CHECK(decode_utf8("a\x80z") == U"a\ufffdz");
    CHECK(decode_utf8("\xc0\xafz") == U"\ufffd\ufffdz");
    CHECK(decode_utf8("\xe0\x80\x80z") == U"\ufffdz");     // longer than needed
    CHECK(decode_utf8("\xed\xa0\x80z") == U"\ufffdz");     // half of a surrogate pair
    CHECK(decode_utf8("\xf4\x90\x80\x80z") == U"\ufffdz"); // beyond Unicode
    CHECK(decode_utf8("\xe2\x82") == U"\ufffd");           // cut off
    CHECK(decode_utf8("\xe2\x82z") == U"\ufffdz");
}

TEST_CASE(
    "text layout: lines break after spaces and hyphens, in a word only where it is longer than a line") {
    const double wide = width_of("beam beam") + 0.01;
    CHECK(lines_of("beam beam beam", wide) == std::vector<std::string>{"beam beam", "beam"});
    CHECK(lines_of("beam beam   beam", wide) == std::vector<std::string>{"beam beam", "beam"});
    CHECK(lines_of("beam beam beam", 0) == std::vector<std::string>{"beam beam beam"});
    CHECK(lines_of("a\n\nb", 0) == std::vector<std::string>{"a", "", "b"});
    CHECK(lines_of("", 50) == std::vector<std::string>{""});
    CHECK(lines_of("well-lit", width_of("well-l")) == std::vector<std::string>{"well-", "lit"});
    CHECK(lines_of("at 10-12", width_of("at 10-1")) == std::vector<std::string>{"at", "10-12"});
    CHECK(lines_of("incandescent", width_of("incand")) == std::vector<std::string>{"incand", "escent"});
    // A space that does not break keeps a number at its unit.
    CHECK(lines_of("about 10\u00a0ft", width_of("about 10\u00a0f")) ==
          std::vector<std::string>{"about", "10?ft"});
    for (const std::string& line : lines_of("the quick brown fox jumps over the lazy dog", 90))
        CHECK(width_of(line) <= 90);
}
