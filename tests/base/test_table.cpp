// Padded tables for people.

#include <doctest/doctest.h>

#include "duskcast/base/table.hpp"

using namespace duskcast;

TEST_CASE("columns are padded on the side their cells do not keep to") {
    const Table table(
        {{"surface", TableAlign::left, 10}, {"mean", TableAlign::right, 6}, {"max", TableAlign::right, 6}});
    CHECK(table.print_head() == "surface     mean   max");
    CHECK(table.print_row({"front", "1.5", "12"}) == "front        1.5    12");
}

TEST_CASE("a cell too long for its column moves the rest of its row alone") {
    const Table table({{"id", TableAlign::left, 4}, {"lm", TableAlign::right, 5}});
    CHECK(table.print_row({"a-long-id", "350"}) == "a-long-id  350");
    CHECK(table.print_row({"a", "350"}) == "a     350");
}

TEST_CASE("rows may end early or go on, and no line ends in blanks") {
    const Table table({{"id", TableAlign::left, 6}, {"lm", TableAlign::right, 5}});
    CHECK(table.print_row({"a"}) == "a");
    CHECK(table.print_row({"a", "350", "   and more"}) == "a       350   and more");
    CHECK(table.print_row({}).empty());
    CHECK(table.print_row({"", ""}).empty());
}

TEST_CASE("widths count characters, not bytes") {
    const Table table({{"id", TableAlign::left, 6}, {"tilt", TableAlign::right, 6}});
    CHECK(table.print_row({"\u00e9t\u00e9", "8\u00b0"}) == "\u00e9t\u00e9       8\u00b0");
}
