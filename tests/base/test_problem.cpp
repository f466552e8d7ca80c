// Wording and order of problems; expected texts follow the form promised in problem.hpp.

#include <doctest/doctest.h>

#include "duskcast/base/problem.hpp"

using namespace duskcast;

TEST_CASE("a problem prints place, path, severity, what and remedy") {
    const Problem full{
        Severity::error, {"house.site.json", 12, 8, "fixtures[2].tilt"}, "tilt is 200", "use 0 to 180"};
    CHECK(print_problem(full) == "house.site.json:12:8: fixtures[2].tilt: error: tilt is 200; use 0 to 180");
    Problem named = full;
    named.place.name = "U3";
    CHECK(print_problem(named) ==
          "house.site.json:12:8: fixtures[2].tilt (U3): error: tilt is 200; use 0 to 180");
}

TEST_CASE("unknown parts of a place are left out") {
    CHECK(print_problem({Severity::warning, {}, "odd", ""}) == "warning: odd");
    CHECK(print_problem({Severity::error, {"a.ies", 0, 0, ""}, "odd", ""}) == "a.ies: error: odd");
    CHECK(print_problem({Severity::error, {"a.ies", 3, 0, ""}, "odd", ""}) == "a.ies:3: error: odd");
    CHECK(print_problem({Severity::error, {"a.ies", 0, 7, ""}, "odd", ""}) == "a.ies: error: odd");
    CHECK(print_problem({Severity::error, {"", 3, 7, ""}, "odd", ""}) == "3:7: error: odd");
    CHECK(print_problem({Severity::error, {"", 0, 0, "beam"}, "odd", "do"}) == "beam: error: odd; do");
}

TEST_CASE("an input error carries every problem, one a line") {
    const Problem first{Severity::error, {"a", 1, 0, ""}, "one", ""};
    const Problem second{Severity::warning, {"a", 2, 0, ""}, "two", "mend it"};
    const InputError error(std::vector<Problem>{first, second});
    REQUIRE(error.problems().size() == 2);
    CHECK(error.problems()[0] == first);
    CHECK(error.problems()[1] == second);
    CHECK(std::string(error.what()) == "a:1: error: one\na:2: warning: two; mend it");
    CHECK(InputError(first).problems() == std::vector<Problem>{first});
}

TEST_CASE("an input error is never without a problem") {
    const InputError error(std::vector<Problem>{});
    REQUIRE(error.problems().size() == 1);
    CHECK(std::string(error.what()) == "error: the input is at fault, the cause is not known");
}

TEST_CASE("the nearest word is found within a third of the letters, at least two") {
    const std::vector<std::string> keys{"tilt", "azimuth", "setback", "lamp", "position"};
    CHECK(find_nearest_word("tlit", keys) == "tilt");       // two neighbours swapped
    CHECK(find_nearest_word("Azimuth", keys) == "azimuth"); // case alone
    CHECK(find_nearest_word("azimut", keys) == "azimuth");
    CHECK(find_nearest_word("set_back", keys) == "setback");
    CHECK(find_nearest_word("pos", keys) == "");             // five letters missing
    CHECK(find_nearest_word("psitoin", keys) == "position"); // three apart would be too many, two are not
    CHECK(find_nearest_word("brightness", keys) == "");
    CHECK(find_nearest_word("", keys) == "");
    CHECK(find_nearest_word("tilt", {}) == "");
    CHECK(find_nearest_word(std::string(100000, 'x'), keys) == "");
}

TEST_CASE("a short word with no letter in common has no nearest word") {
    CHECK(find_nearest_word("yd", {"ft", "in", "m"}) == "");
    CHECK(find_nearest_word("x", {"y"}) == "");
}
