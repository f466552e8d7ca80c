#include <doctest/doctest.h>

#include "duskcast/draw/marks.hpp"
#include "pixels.hpp"

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

/// A page of one colour with what `draw` adds.
template <class Draw> test::Pixels draw_page(const Colour& paper, const Draw& draw) {
    Canvas canvas(400, 200, PictureFormat::png);
    canvas.fill(Box{0, 0, 400, 200}, {paper, 1});
    draw(canvas);
    return test::read_pixels(canvas.finish());
}

const Colour green{0, 1, 0};

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

TEST_CASE("level lines: broken under their label, specks left out") {
    const std::vector<glm::dvec2> straight = {{20, 100}, {380, 100}};
    const std::vector<glm::dvec2> speck = {{200, 30}, {206, 30}, {206, 36}, {200, 30}};
    const double level = 5;
    const auto draw = [&](const std::vector<glm::dvec2>& line, const Box& frame) {
        return draw_page(green, [&](Canvas& canvas) {
            LabelSpace space;
            draw_level_lines(canvas, {{level, {line}}}, LightUnit::lux, frame, space);
        });
    };
    const auto count_row = [](const test::Pixels& page,
                              int y) { // pixels of line on a row counted from the top
        int count = 0;
        for (int x = 0; x < page.width; ++x)
            count += page.rgba[4 * (static_cast<std::size_t>(page.height - 1 - y) * page.width + x)] > 128;
        return count;
    };
    const test::Pixels labelled = draw(straight, {0, 0, 400, 200}), bare = draw(straight, {0, 0, 0, 0});
    const double words =
        measure_text(print_illuminance(level, LightUnit::lux), {.size = 13.5, .is_bold = true}).x;
    CHECK(count_row(bare, 100) == doctest::Approx(360).epsilon(0.02));
    CHECK(count_row(labelled, 100) < 360 - words / 2);
    CHECK(test::find_colour(labelled, green).count < test::find_colour(bare, green).count);
    CHECK(test::find_colour(draw(speck, {0, 0, 0, 0}), green).count == 400 * 200);
}

TEST_CASE("fixture mark: a stem the way it points, none when it points at the onlooker") {
    const auto draw = [](const glm::dvec2& way) {
        return draw_page(green, [&](Canvas& canvas) { draw_fixture_mark(canvas, {200, 100}, way); });
    };
    const test::Pixels none = draw({0.01, 0.01}), up = draw({0, -0.3}), right = draw({1, 0});
    const auto dark = [](const test::Pixels& page) { return test::find_colour(page, text_ink.colour, 40); };
    CHECK(dark(up).count > dark(none).count);
    CHECK(dark(up).y > dark(none).y + 1);
    CHECK(dark(right).x > dark(none).x + 1);
}

TEST_CASE("canvas: images clip by the even-odd rule and lie the right way up") {
    const Raster two{1, 2, {{1, 0, 0}, {0, 0, 1}}, {1, 1}}; // red above blue
    const std::vector<glm::dvec2> outer = {{0, 0}, {400, 0}, {400, 200}, {0, 200}};
    const std::vector<glm::dvec2> inner = {{100, 0}, {300, 0}, {300, 200}, {100, 200}};
    const test::Pixels page = draw_page(green, [&](Canvas& canvas) {
        canvas.image(two, {0, 0, 400, 200}, {outer, inner}, false);
    });
    const test::Patch red = test::find_colour(page, {1, 0, 0}), blue = test::find_colour(page, {0, 0, 1});
    CHECK(red.count == 200 * 100);
    CHECK(blue.count == 200 * 100);
    CHECK(test::find_colour(page, green).count == 200 * 200);
    CHECK(red.y > blue.y);
}

TEST_CASE("canvas: hatching stays inside its polygon") {
    const test::Pixels page = draw_page(green, [](Canvas& canvas) {
        canvas.hatch({{100, 50}, {300, 50}, {300, 150}, {100, 150}}, 10, 2, {{0, 0, 0}, 1});
    });
    const std::size_t untouched = test::find_colour(page, green, 0).count;
    CHECK(untouched >= 400 * 200 - 200 * 100);
    CHECK(untouched < 400 * 200 - 200 * 100 / 10);
}
