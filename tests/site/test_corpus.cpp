// Every case of the two corpora gives exactly the messages written beside it.

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "../corpus.hpp"
#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

const std::filesystem::path folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";
const std::filesystem::path case_file = folder / "case.site.json";

std::vector<test::Case> read_corpus(const std::string& name) {
    return test::read_corpus(folder / name);
}

/// The messages without the folder and the name of the case's own file.
std::string print_all(const std::vector<Problem>& problems) {
    return test::print_all(problems, {case_file.generic_string() + ":", (folder / "").generic_string()});
}

} // namespace

TEST_CASE("each file at fault gives its messages") {
    const std::vector<test::Case> cases = read_corpus("bad.corpus");
    CHECK(cases.size() > 150);
    for (const test::Case& one : cases) {
        CAPTURE(one.name);
        std::string given = "no error";
        try {
            read_site(one.text, case_file);
        } catch (const InputError& error) {
            given = print_all(error.problems());
        }
        CHECK(given == one.messages);
        CHECK_FALSE(one.messages.empty());
    }
}

TEST_CASE("each catalogue at fault gives its messages") {
    const std::vector<test::Case> cases = read_corpus("catalogue.corpus");
    CHECK(cases.size() > 10);
    for (const test::Case& one : cases) {
        CAPTURE(one.name);
        std::string given = "no error";
        try {
            read_catalogue(one.text, case_file);
        } catch (const InputError& error) {
            given = print_all(error.problems());
        }
        CHECK(given == one.messages);
    }
}

TEST_CASE("each sound file gives its warnings") {
    const std::vector<test::Case> cases = read_corpus("warnings.corpus");
    CHECK(cases.size() > 15);
    for (const test::Case& one : cases) {
        CAPTURE(one.name);
        std::string given;
        try {
            given = print_all(read_site(one.text, case_file).warnings);
        } catch (const InputError& error) {
            given = error.what();
        }
        CHECK(given == one.messages);
    }
}

TEST_CASE("cut anywhere, a file is refused or read, never worse") {
    std::ifstream stream(folder / "full.site.json", std::ios::binary);
    const std::string text((std::istreambuf_iterator<char>(stream)), std::istreambuf_iterator<char>());
    REQUIRE(text.size() > 1000);
    const std::size_t end = text.find_last_of('}');
    for (std::size_t length = 0; length <= end; ++length) {
        CAPTURE(length);
        CHECK_THROWS_AS(read_site(text.substr(0, length), folder / "full.site.json"), InputError);
    }
    CHECK_NOTHROW(read_site(text.substr(0, end + 1), folder / "full.site.json"));
}
