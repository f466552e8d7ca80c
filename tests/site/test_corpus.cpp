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

const std::filesystem::path corpus_folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";
const std::filesystem::path case_file = corpus_folder / "case.site.json";

std::vector<test::Case> read_corpus(const std::string& name) {
    return test::read_corpus(corpus_folder / name);
}

/// The messages without the folder and the name of the case's own file.
std::string print_all(const std::vector<Problem>& problems) {
    return test::print_all(problems,
                           {case_file.generic_string() + ":", (corpus_folder / "").generic_string()});
}

} // namespace

TEST_CASE("each file at fault gives its errors") {
    const std::vector<test::Case> cases = read_corpus("bad.corpus");
    CHECK(cases.size() > 150);
    for (const test::Case& one : cases) {
        CAPTURE(one.name);
        std::string given = "no error";
        try {
            read_site(one.text, case_file);
        } catch (const InputError& error) {
            std::vector<Problem> errors = error.problems();
            std::erase_if(errors,
                          [](const Problem& problem) { return problem.severity == Severity::warning; });
            given = print_all(errors);
        }
        CHECK(given == one.messages);
        CHECK_FALSE(one.messages.empty());
    }
}

TEST_CASE("errors and warnings are said together, without advice on what is at fault") {
    // Both fixtures stand in the lawn; the tree at fault would have its leaves about them.
    const std::string text = R"({ "duskcast": 1,
  "trees": [{ "id": "fir", "at": [0, 0], "height": 2, "base": 4, "width": 30 }],
  "lamps": [{ "id": "spot", "watts": 5, "lumens": 350, "beam": 24 }],
  "fixtures": [{ "id": "F1", "kind": "wash", "lamp": "spot", "at": [5, 0] },
    { "id": "F2", "kind": "wash", "lamp": "spot", "at": [6, 0], "tilt": 400 },
    { "id": "F3", "kind": "uplight", "lamp": "spot", "tree": "fir" }] })";
    try {
        read_site(text, case_file);
        FAIL("read without error");
    } catch (const InputError& error) {
        CHECK(
            print_all(error.problems()) ==
            "2:63: trees[0].base: error: the lowest leaves at 4 ft are not below the top at 2 ft; "
            "\"base\" is where the crown begins, \"height\" where it ends\n"
            "4:16: fixtures[0] (F1): warning: a fixture on a spike in the lawn gets hit by the mower; "
            "move it into a bed\n"
            "5:73: fixtures[1].tilt (F2): error: 400\u00b0 is out of range; it must be 0\u00b0 to 180\u00b0");
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
            const SiteFile read = read_site(one.text, case_file);
            std::vector<Problem> all = read.warnings;
            for (const Problem& unused : read.locate(find_unused_lamps(read.site)))
                all.push_back(unused);
            given = print_all(all);
        } catch (const InputError& error) {
            given = error.what();
        }
        CHECK(given == one.messages);
    }
}

TEST_CASE("cut anywhere, a file is refused or read, never worse") {
    std::ifstream stream(corpus_folder / "full.site.json", std::ios::binary);
    const std::string text((std::istreambuf_iterator<char>(stream)), std::istreambuf_iterator<char>());
    REQUIRE(text.size() > 1000);
    const std::size_t end = text.find_last_of('}');
    for (std::size_t length = 0; length <= end; ++length) {
        CAPTURE(length);
        CHECK_THROWS_AS(read_site(text.substr(0, length), corpus_folder / "full.site.json"), InputError);
    }
    CHECK_NOTHROW(read_site(text.substr(0, end + 1), corpus_folder / "full.site.json"));
}
