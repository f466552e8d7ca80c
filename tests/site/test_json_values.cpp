// What JSON text means: numbers against the C library, strings against RFC 8259 and RFC 3629 (UTF-8), paths
// against RFC 6901 (JSON Pointer) as another library resolves them.

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <fmt/format.h>
#include <random>
#include <string>
#include <vector>

#include "../../src/site/json_text.hpp"
#include "each_key.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

JsonValue read(const std::string& text) {
    return read_json(text, "x.json", "duskcast");
}

bool is_json(const std::string& text) {
    try {
        read(text);
        return true;
    } catch (const InputError&) {
        return false;
    }
}

/// RFC 3629, section 3.
std::string utf8_of(unsigned code) {
    const auto tail = [&](int shift) { return static_cast<char>(0x80 | (code >> shift & 0x3F)); };
    if (code < 0x80)
        return {static_cast<char>(code)};
    if (code < 0x800)
        return {static_cast<char>(0xC0 | code >> 6), tail(0)};
    if (code < 0x10000)
        return {static_cast<char>(0xE0 | code >> 12), tail(6), tail(0)};
    return {static_cast<char>(0xF0 | code >> 18), tail(12), tail(6), tail(0)};
}

bool is_surrogate(unsigned code) {
    return code >= 0xD800 && code < 0xE000;
}

/// The RFC 6901 pointer of "walls[0].path[1]".
Json::json_pointer pointer_of(const std::string& path) {
    std::string pointer = path.empty() ? "" : "/";
    for (const char c : path)
        if (c == '.' || c == '[')
            pointer += '/';
        else if (c != ']')
            pointer += c;
    return Json::json_pointer(pointer);
}

/// The text from the place on.
std::string text_at(const std::string& text, const Place& place) {
    std::size_t at = 0;
    for (int line = 1; line < place.line; ++line)
        at = text.find('\n', at) + 1;
    return text.substr(at + static_cast<std::size_t>(place.column) - 1); // of ASCII
}

} // namespace

TEST_CASE("a number is the double that the C library reads") {
    std::mt19937_64 random(1);
    std::vector<std::string> texts{"0",
                                   "-0",
                                   "0.1",
                                   "1e-7",
                                   "1E+22",
                                   "-1.5e-300",
                                   "5e-324",
                                   "1.7976931348623157e308",
                                   "9007199254740993",
                                   "18446744073709551616",
                                   "-9223372036854775809",
                                   "123456789012345678901234567890",
                                   "0.30000000000000004",
                                   "2.2250738585072011e-308"};
    for (int i = 0; i < 2000; ++i) {
        const double size =
            std::ldexp(static_cast<double>(random() >> 11), static_cast<int>(random() % 400) - 250);
        texts.push_back(fmt::format("{}{:.{}g}", i % 2 ? "-" : "", size, 1 + i % 17));
        texts.push_back(std::to_string(static_cast<long long>(random() >> random() % 60)));
    }
    for (const std::string& text : texts) {
        CAPTURE(text);
        const JsonValue value = read("[" + text + "]").items.at(0);
        CHECK(value.kind == JsonValue::Kind::number);
        CHECK(value.number == std::strtod(text.c_str(), nullptr));
        CHECK(std::signbit(value.number) == (text[0] == '-' && text != "-0"));
    }
}

TEST_CASE("an escape stands for its character") {
    // RFC 8259, section 7.
    const std::pair<char, char> letters[] = {{'"', '"'},  {'\\', '\\'}, {'/', '/'},  {'b', '\b'},
                                             {'f', '\f'}, {'n', '\n'},  {'r', '\r'}, {'t', '\t'}};
    for (int c = 0x20; c < 0x7F; ++c) {
        std::string meant;
        for (const auto& [letter, character] : letters)
            if (letter == c)
                meant = character;
        const std::string text = std::string("\"a\\") + static_cast<char>(c) + "b\"";
        CAPTURE(text);
        if (c == 'u')
            continue;
        CHECK(is_json(text) == !meant.empty());
        if (!meant.empty())
            CHECK(read(text).text == "a" + meant + "b");
    }
    for (unsigned code = 1; code < 0x10000; code += code < 0x900 ? 1 : 37) {
        const std::string lower = fmt::format("\"{}\\u{:04x}\"", 'z', code);
        const std::string upper = fmt::format("\"\\u{:04X}!\"", code);
        if (is_surrogate(code)) { // half a character
            CHECK_FALSE(is_json(lower));
            CHECK_FALSE(is_json(upper));
        } else {
            CHECK(read(lower).text == "z" + utf8_of(code));
            CHECK(read(upper).text == utf8_of(code) + "!");
        }
    }
    for (unsigned code = 0x10000; code < 0x110000; code += 4099) { // as UTF-16 has them, RFC 2781
        const unsigned high = 0xD800 + ((code - 0x10000) >> 10), low = 0xDC00 + ((code - 0x10000) & 0x3FF);
        CHECK(read(fmt::format("\"\\u{:04x}\\u{:04x}\"", high, low)).text == utf8_of(code));
        CHECK_FALSE(is_json(fmt::format("\"\\u{:04x}\\u{:04x}\"", low, high)));
        CHECK_FALSE(is_json(fmt::format("\"\\u{:04x}x\"", high)));
    }
    for (const char* cut : {"\"\\u\"", "\"\\u1\"", "\"\\u12\"", "\"\\u123\"", "\"\\u123g\"", "\"\\U0041\""})
        CHECK_FALSE(is_json(cut));
}

TEST_CASE("characters stand for themselves where UTF-8 has them, and control characters do not stand") {
    for (unsigned code = 1; code < 0x20; ++code)
        CHECK_FALSE(is_json("\"" + std::string(1, static_cast<char>(code)) + "\""));
    for (unsigned code = 0x20; code < 0x110000; code += code < 0x900 ? 1 : 257) {
        if (code == '"' || code == '\\')
            continue;
        const std::string character = utf8_of(code);
        CHECK(is_json("\"" + character + "\"") == !is_surrogate(code));
        if (!is_surrogate(code))
            CHECK(read("\"" + character + "\"").text == character);
    }
    // Two bytes: a first one of C2 to DF and a tail, or two of ASCII. All others are no UTF-8.
    for (unsigned first = 0x20; first < 0x100; ++first)
        for (unsigned second = 0x20; second < 0x100; second += 3) {
            if (first == '"' || first == '\\' || second == '"' || second == '\\')
                continue;
            const std::string pair{static_cast<char>(first), static_cast<char>(second)};
            const bool is_tail = second >= 0x80 && second < 0xC0;
            const bool is_good =
                (first < 0x80 && second < 0x80) || (first >= 0xC2 && first < 0xE0 && is_tail);
            CHECK(is_json("\"" + pair + "\"") == is_good);
        }
    // Longer than need be, beyond the last character, and cut short.
    for (const char* bad : {"\xE0\x80\xAF", "\xE0\x9F\xBF", "\xF0\x8F\xBF\xBF", "\xF4\x90\x80\x80",
                            "\xF5\x80\x80\x80", "\xE2\x82", "\xF0\x9F\x92", "\xC0\xAF"})
        CHECK_FALSE(is_json("\"" + std::string(bad) + "\""));
}

TEST_CASE("between values stand blanks, tabs and line ends, and nothing else") {
    for (unsigned c = 1; c < 0x80; ++c) {
        const bool is_blank = c == ' ' || c == '\t' || c == '\n' || c == '\r'; // RFC 8259, section 2
        const std::string one(1, static_cast<char>(c));
        CAPTURE(c);
        CHECK(is_json("[true," + one + "null]") == is_blank);
        if (c != '"') // which makes a text of it
            CHECK(is_json(one + "{}" + one) == is_blank);
    }
    CHECK_FALSE(is_json("[1,\xC2\xA0 2]"));     // a no-break space
    CHECK_FALSE(is_json("[1,\xEF\xBB\xBF 2]")); // a byte-order mark in the middle
}

TEST_CASE("kinds of values, keys and their order are those of the text") {
    const JsonValue root = read(R"({"b": [null, true, false], "a": {"": "x"}, "c": "true"})");
    REQUIRE(root.items.size() == 3);
    CHECK(root.items[0].key == "b");
    CHECK(root.items[1].key == "a");
    CHECK(root.find("b")->items[0].kind == JsonValue::Kind::null);
    CHECK(root.find("b")->items[1].truth);
    CHECK_FALSE(root.find("b")->items[2].truth);
    CHECK(root.find("b")->items[2].kind == JsonValue::Kind::truth);
    CHECK(root.find("a")->find("")->text == "x");
    CHECK(root.find("c")->kind == JsonValue::Kind::text);
    CHECK(root.find("d") == nullptr);
    CHECK(root.items[1].key_column == 28);
    CHECK(root.items[1].column == 33);
}

TEST_CASE("a key given twice is found at its second place, however deep") {
    std::mt19937 random(3);
    for (int i = 0; i < 50; ++i) {
        std::string before, after, path;
        for (unsigned depth = random() % 6; depth > 0; --depth)
            if (random() % 2) {
                const std::string key = fmt::format("k{}", random() % 100);
                before += "{\"" + key + "\": ";
                after = "}" + after;
                path += (path.empty() ? "" : ".") + key;
            } else {
                before += "[0, ";
                after = "]" + after;
                path += "[1]";
            }
        const std::string first = "{\"a\": 1, ", text = before + first + "\"a\": 2}" + after;
        CAPTURE(text);
        try {
            read(text);
            FAIL_CHECK("read without error");
        } catch (const InputError& error) {
            REQUIRE(error.problems().size() == 1);
            const Place& place = error.problems()[0].place;
            CHECK(place.path == path + (path.empty() ? "a" : ".a"));
            CHECK(place.column == static_cast<int>(before.size() + first.size()) + 1);
        }
    }
}

TEST_CASE("each path of a file leads where RFC 6901 leads, and the text at its place begins with the value") {
    const std::filesystem::path file = folder / "full.site.json";
    const std::string text = read_bytes(file);
    const Json whole = Json::parse(text);
    const SiteFile site = read_site(text, file);
    CHECK(site.places.size() > 400);
    int scalars = 0;
    for (const auto& one : site.places) {
        const std::string path = one.first;
        CAPTURE(path);
        const Place& place = one.second;
        if (place.line == 0)
            continue;
        const Json::json_pointer pointer = pointer_of(path);
        REQUIRE(whole.contains(pointer));
        const Json& value = whole.at(pointer);
        const std::string here = text_at(text, place);
        if (value.is_object() || value.is_array())
            CHECK(here.front() == (value.is_object() ? '{' : '['));
        else if (value.is_number()) {
            ++scalars;
            CHECK(std::strtod(here.c_str(), nullptr) == value.get<double>());
        } else {
            ++scalars;
            CHECK(here.starts_with(value.dump()));
        }
    }
    CHECK(scalars > 300);
}

TEST_CASE("any name is written as JSON that gives it back, and what is no UTF-8 as a sign of that") {
    std::mt19937 random(7);
    for (int i = 0; i < 300; ++i) {
        Site site;
        for (unsigned length = random() % 12; length > 0; --length) {
            unsigned code = 1 + random() % (i % 3 == 0 ? 0x7F : i % 3 == 1 ? 0xFFFF : 0x10FFFF);
            site.name += is_surrogate(code) ? "?" : utf8_of(code);
        }
        const std::string text = print_site(site);
        CHECK(Json::parse(text)["name"] == site.name);
        CHECK(read_site(text, "x.site.json").site.name == site.name);
    }
    Site broken;
    broken.name = "a\xFF\x80z";
    const std::string read_back = read_site(print_site(broken), "x.site.json").site.name;
    CHECK(read_back == "a" + utf8_of(0xFFFD) + utf8_of(0xFFFD) + "z"); // the Unicode standard, 3.9
}
