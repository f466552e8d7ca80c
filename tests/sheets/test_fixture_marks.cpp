#include <doctest/doctest.h>

#include "../../src/sheets/fixture_marks.hpp"
#include "one_colour.hpp"
#include "page_words.hpp"

using namespace duskcast;

namespace {

std::vector<FixtureText> make_texts(int count) {
    std::vector<FixtureText> texts;
    for (int i = 0; i < count; ++i)
        texts.push_back({std::to_string(i + 1), "4 W standard", "15 in back, tilt 8\u00b0"});
    return texts;
}

MarkGroup make_group(int count, double left, double right) {
    MarkGroup group{{}, left, right};
    for (int i = 0; i < count; ++i)
        group.marks.push_back(left + (right - left) * (i + 0.5) / count);
    return group;
}

double height_of(int count, const std::vector<MarkGroup>& groups) {
    return FixtureRow(make_texts(count), groups).height();
}

} // namespace

TEST_CASE("fixture row: words side by side while they fit, ids and a list when not") {
    CHECK(height_of(0, {make_group(0, 0, 1000)}) == 0);
    const double row = height_of(2, {make_group(2, 0, 1000)});
    CHECK(height_of(5, {make_group(5, 0, 1000)}) == row);
    // The list has four columns: its height steps at every fifth fixture.
    const double list = height_of(30, {make_group(30, 0, 1000)});
    CHECK(height_of(29, {make_group(29, 0, 1000)}) == list);
    CHECK(height_of(33, {make_group(33, 0, 1000)}) > list);
    CHECK(list > row);
    // Marked in two places, two fixtures are named in the list as well.
    const std::vector<MarkGroup> twice = {make_group(2, 0, 400), make_group(2, 500, 900)};
    CHECK(height_of(2, twice) == height_of(4, {make_group(4, 0, 400), make_group(4, 500, 900)}));
    CHECK(height_of(2, twice) != row);
}

TEST_CASE("fixture row: no word on another and none off the page, for any number of fixtures") {
    for (int count = 1; count <= 60; ++count)
        for (const bool is_twice : {false, true}) {
            CAPTURE(count);
            CAPTURE(is_twice);
            std::vector<MarkGroup> groups = {make_group(count, 200, is_twice ? 700 : 1500)};
            if (is_twice)
                groups.push_back(make_group(count, 800, 1500));
            const FixtureRow row(make_texts(count), groups);
            Canvas canvas(page_width, 600, PictureFormat::svg);
            row.draw(canvas, 10);
            test::check_apart({"", 600, canvas.words()}, 1);
            for (const Canvas::Words& words : canvas.words())
                CHECK(words.box.bottom <= 10 + row.height() + 4);
            // However crowded, every fixture is named.
            for (const FixtureText& text : make_texts(count))
                CHECK(test::count_words({"", 600, canvas.words()}, text.id) >= 1);
        }
}

PIXEL_TEST_CASE("fixture mark: a stem the way it points, none when it points at the onlooker") {
    const auto draw = [](const glm::dvec2& way) {
        return test::draw_page(test::green, [&](Canvas& canvas) {
            draw_fixture_mark(canvas, {200, 100}, way);
        });
    };
    const test::Pixels none = draw({0.01, 0.01}), up = draw({0, -0.3}), right = draw({1, 0});
    const auto dark = [](const test::Pixels& page) { return test::find_colour(page, text_ink.colour, 40); };
    CHECK(dark(up).count > dark(none).count);
    CHECK(dark(up).y > dark(none).y + 1);
    CHECK(dark(right).x > dark(none).x + 1);
}
