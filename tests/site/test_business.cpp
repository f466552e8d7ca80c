// The business file: what is read, and that nothing wrong in it goes unsaid.

#include <doctest/doctest.h>

#include <fstream>
#include <iterator>

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
    is_said(R"(, "warrantee": "x")", "warrantee", "unknown key");
    CHECK(problems_of_business(R"({"duskcast_business": 1, "name": " "})").front().place.path == "name");
    CHECK(problems_of_business(R"({"duskcast_business": 2, "name": "Ash"})")
              .front()
              .remedy.find("duskcast_business") != std::string::npos);
    CHECK(problems_of_business(with(R"(, "terms": "<b>bold</b> & \"quoted\"")")).empty());
}

TEST_CASE("pictures are known by how their files begin") {
    CHECK(find_picture_type(std::string("\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 16)) == "image/png");
    CHECK(find_picture_type("\xff\xd8\xff\xe0") == "image/jpeg");
    CHECK(find_picture_type("GIF89a..") == "image/gif");
    CHECK(find_picture_type(std::string("RIFF\1\0\0\0WEBPVP8 ", 16)) == "image/webp");
    CHECK(find_picture_type("<svg xmlns='http://www.w3.org/2000/svg'/>").empty());
    CHECK(find_picture_type("").empty());
    CHECK(find_picture_type("\x89PNG").empty());
}
