// The business file: what is read, and that nothing wrong in it goes unsaid.

#include <doctest/doctest.h>

#include <fstream>
#include <iterator>
#include <map>

#include "duskcast/site/business_file.hpp"

using namespace duskcast;

namespace {

const std::filesystem::path files = std::filesystem::path(DUSKCAST_TEST_DIR) / "site" / "files";

std::vector<Problem> problems_of_business(const std::string& text) {
    try {
        read_business(text, files / "x.business.json");
    } catch (const InputError& error) {
        return error.problems();
    }
    return {};
}

std::string with(const std::string& rest) {
    return R"({"duskcast_business": 1, "name": "Ash")" + rest + "}";
}

} // namespace

TEST_CASE("a business file is read with its logo") {
    const BusinessFile read = read_business_file(files / "full.business.json");
    CHECK(read.business.name == "Ash and Elm Lighting");
    CHECK(read.business.deposit == 0.25);
    CHECK(read.business.valid_days == 14);
    CHECK(read.business.nights == 300);
    CHECK(read.business.lamp_life == 25000);
    CHECK(read.business.clean_months == 6);
    CHECK(read.business.margin == 0.3);
    CHECK(!read.business.markup);
    CHECK(read.logo.type == "image/png");
    std::ifstream stream(files / "dot.png", std::ios::binary);
    CHECK(read.logo.bytes == std::string(std::istreambuf_iterator<char>(stream), {}));
    CHECK(read.warnings.empty());
}

TEST_CASE("what is wrong in a business file is said with its place") {
    const auto is_said = [](const std::string& rest, const std::string& key, const std::string& part) {
        const std::vector<Problem> problems = problems_of_business(with(rest));
        REQUIRE(problems.size() == 1);
        CHECK(problems[0].place.path == key);
        CHECK(problems[0].place.line == 1);
        CHECK_MESSAGE(problems[0].what.find(part) != std::string::npos, problems[0].what);
    };
    is_said(R"(, "logo": "missing.png")", "logo", "cannot be read");
    is_said(R"(, "logo": "stone.obj")", "logo", "is no picture");
    is_said(R"(, "colour": "navy")", "colour", "is no colour");
    is_said(R"(, "accent": "#12345g")", "accent", "is no colour");
    is_said(R"(, "deposit": 1.5)", "deposit", "1.5");
    is_said(R"(, "valid_days": 0)", "valid_days", "0");
    is_said(R"(, "hours_a_night": 25)", "hours_a_night", "25");
    is_said(R"(, "markup": 0.4, "margin": 0.3)", "margin", "beside a markup");
    is_said(R"(, "warrantee": "x")", "warrantee", "unknown key");
    CHECK(problems_of_business(R"({"duskcast_business": 1, "name": " "})").front().place.path == "name");
    CHECK(problems_of_business(R"({"duskcast_business": 2, "name": "Ash"})")
              .front()
              .remedy.find("duskcast_business") != std::string::npos);
    CHECK(problems_of_business(with(R"(, "terms": "<b>bold</b> & \"quoted\"")")).empty());
}

TEST_CASE("every figure of a business file is taken at its ends and refused just beyond them") {
    struct Row {
        const char* key;
        double least, most, beyond; ///< how far beyond is refused
    };
    for (const Row& row :
         {Row{"deposit", 0, 1, 1e-6}, Row{"valid_days", 1, 3650, 1e-3}, Row{"hours_a_night", 0, 24, 1e-6},
          Row{"nights", 0, 366, 1e-6}, Row{"lamp_life", 0, 200000, 1e-3}, Row{"clean_months", 1, 120, 1e-3},
          Row{"markup", 0, 10, 1e-5}, Row{"margin", 0, 0.95, 1e-5}}) {
        CAPTURE(row.key);
        const auto said = [&](double value) {
            return problems_of_business(with(", \"" + std::string(row.key) + "\": " + std::to_string(value)));
        };
        for (const double value : {row.least, row.most, (row.least + row.most) / 2})
            CHECK(said(value).empty());
        for (const double value : {row.least - row.beyond, row.most + row.beyond, -1e9, 1e9}) {
            const std::vector<Problem> problems = said(value);
            REQUIRE(problems.size() == 1);
            CHECK(problems[0].place.path == row.key);
            CHECK(problems[0].severity == Severity::error);
        }
        const std::vector<Problem> text =
            problems_of_business(with(", \"" + std::string(row.key) + "\": \"much\""));
        REQUIRE(text.size() == 1);
        CHECK(text[0].place.path == row.key);
    }
}

TEST_CASE("every text of a business file arrives as it was written, and is text alone") {
    struct Row {
        const char* key;
        std::string Business::*member;
    };
    // Paragraphs, quotes, what a page would take for markup, letters beyond ASCII.
    const std::string written = R"(One \"two\"\n\n<b>&three</b> \u00e9 €)",
                      read = "One \"two\"\n\n<b>&three</b> \u00e9 \u20ac";
    for (const Row& row :
         {Row{"tagline", &Business::tagline}, Row{"designer", &Business::designer},
          Row{"address", &Business::address}, Row{"phone", &Business::phone}, Row{"email", &Business::email},
          Row{"website", &Business::website}, Row{"licence", &Business::licence},
          Row{"greeting", &Business::greeting}, Row{"care", &Business::care},
          Row{"warranty", &Business::warranty}, Row{"terms", &Business::terms}}) {
        CAPTURE(row.key);
        const BusinessFile made = read_business(
            with(", \"" + std::string(row.key) + "\": \"" + written + "\""), files / "x.business.json");
        CHECK(made.business.*row.member == read);
        CHECK(read_business(with(""), files / "x.business.json").business.*row.member == "");
        const std::vector<Problem> problems =
            problems_of_business(with(", \"" + std::string(row.key) + "\": 5"));
        REQUIRE(problems.size() == 1);
        CHECK(problems[0].place.path == row.key);
        // A letter too many is unknown, and the right key is named.
        const std::vector<Problem> slip =
            problems_of_business(with(", \"" + std::string(row.key) + "x\": \"a\""));
        REQUIRE(slip.size() == 1);
        CHECK(slip[0].remedy.find("\"" + std::string(row.key) + "\"") != std::string::npos);
    }
}

TEST_CASE("a colour is six hexadecimal digits, in either case") {
    struct Row {
        const char* value;
        bool is_colour;
    };
    for (const char* key : {"colour", "accent"})
        for (const Row& row : {Row{"#22304f", true}, Row{"#ABCDEF", true}, Row{"#aBc123", true},
                               Row{"22304f", false}, Row{"#22304", false}, Row{"#22304ff", false},
                               Row{"#22304g", false}, Row{"", false}, Row{"# 2304f", false}}) {
            CAPTURE(row.value);
            const std::vector<Problem> problems =
                problems_of_business(with(", \"" + std::string(key) + "\": \"" + row.value + "\""));
            CHECK(problems.empty() == row.is_colour);
        }
    CHECK(read_business(with(""), files / "x.business.json").business.colour == "#22304f");
    CHECK(read_business(with(""), files / "x.business.json").business.accent == "#c98a2b");
}

TEST_CASE("several faults of a business file are said at once, each at its line") {
    const std::vector<Problem> problems =
        problems_of_business("{\n \"duskcast_business\": 1,\n \"name\": \"Ash\",\n"
                             " \"deposit\": 2,\n \"colour\": \"red\",\n"
                             " \"nights\": 400\n}");
    REQUIRE(problems.size() == 3);
    std::map<std::string, int> lines;
    for (const Problem& problem : problems)
        lines[problem.place.path] = problem.place.line;
    CHECK(lines == std::map<std::string, int>{{"deposit", 4}, {"colour", 5}, {"nights", 6}});
    CHECK(!problems_of_business("{\"duskcast_business\": 1, \"name\": \"Ash\"").empty()); // cut off
    CHECK(problems_of_business(R"({"name": "Ash"})").front().place.path == "duskcast_business");
}

TEST_CASE("pictures are known by how their files begin") {
    CHECK(find_picture_type(std::string("\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 16)) == "image/png");
    CHECK(find_picture_type("\xff\xd8\xff\xe0") == "image/jpeg");
    CHECK(find_picture_type("GIF89a..") == "image/gif");
    CHECK(find_picture_type(std::string("RIFF\1\0\0\0WEBPVP8 ", 16)) == "image/webp");
    CHECK(find_picture_type("<svg xmlns='http://www.w3.org/2000/svg'/>").empty());
    CHECK(find_picture_type("").empty());
    CHECK(find_picture_type("\x89PNG").empty());
    CHECK(find_picture_type("\x89PNG\r\n\x1a\n\x12%").empty()); // cut off within its first chunk
}
