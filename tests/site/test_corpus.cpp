// Every case of the two corpora gives exactly the messages written beside it.

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

const std::filesystem::path folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";
const std::filesystem::path case_file = folder / "case.site.json";

struct Case {
    std::string name, text, messages;
};

std::vector<Case> read_corpus(const std::string& name) {
    std::ifstream stream(folder / name, std::ios::binary);
    const std::string all((std::istreambuf_iterator<char>(stream)), std::istreambuf_iterator<char>());
    std::vector<Case> cases;
    const std::string start = "\n=== ", middle = "\n---";
    for (std::size_t at = all.find(start); at != std::string::npos;) {
        const std::size_t next = all.find(start, at + 1);
        const std::string one = all.substr(at + start.size(), next - at - start.size());
        const std::size_t line = one.find('\n'), split = one.find(middle, line);
        REQUIRE(split != std::string::npos);
        cases.push_back(
            {one.substr(0, line), one.substr(line + 1, split - line - 1), one.substr(split + middle.size())});
        std::string& messages = cases.back().messages;
        while (messages.ends_with('\n'))
            messages.pop_back();
        messages.erase(0, messages.find_first_not_of('\n'));
        at = next;
    }
    return cases;
}

/// One message a line, with the folder and the name of the case's own file taken off.
std::string print_all(const std::vector<Problem>& problems) {
    std::string text;
    for (const Problem& problem : problems) {
        std::string line = print_problem(problem);
        for (const std::string& prefix : {case_file.string() + ":", (folder / "").string()})
            if (line.starts_with(prefix))
                line.erase(0, prefix.size());
        text += (text.empty() ? "" : "\n") + line;
    }
    return text;
}

} // namespace

TEST_CASE("each file at fault gives its messages") {
    const std::vector<Case> cases = read_corpus("bad.corpus");
    CHECK(cases.size() > 150);
    for (const Case& one : cases) {
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
    const std::vector<Case> cases = read_corpus("catalogue.corpus");
    CHECK(cases.size() > 10);
    for (const Case& one : cases) {
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
    const std::vector<Case> cases = read_corpus("warnings.corpus");
    CHECK(cases.size() > 15);
    for (const Case& one : cases) {
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
