#include <algorithm>
#include <doctest/doctest.h>

#include "../../src/sheets/comparison_page.hpp"
#include "duskcast/base/problem.hpp"
#include "page_words.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

/// Variants of a plain wall, 4 m by 2 m, each evenly lit.
struct Walls {
    std::vector<test::PlainWall> walls;

    explicit Walls(const std::vector<double>& lux) {
        for (const double one : lux) {
            walls.push_back(test::make_plain_wall());
            walls.back().light(one);
        }
    }
    Comparison comparison() const {
        Comparison result;
        result.title = "Lamps";
        result.plate = "front";
        for (std::size_t i = 0; i < walls.size(); ++i)
            result.variants.push_back(
                {walls[i].source(), "lamp " + std::to_string(i), {"1 fc reaches " + std::to_string(i)}});
        return result;
    }
};

DrawnPage draw(const std::vector<double>& lux, PictureFormat format = PictureFormat::svg,
               std::optional<std::array<std::size_t, 2>> change = {}) {
    const Walls walls(lux);
    Comparison comparison = walls.comparison();
    comparison.change = change;
    return make_comparison(comparison, format);
}

} // namespace

TEST_CASE("change scale: round ends that all but one in twenty values keep to") {
    std::vector<double> values;
    for (int i = 1; i <= 100; ++i)
        values.push_back(i % 2 ? i / 100.0 : -i / 100.0);
    CHECK(find_change_end(values) == doctest::Approx(1)); // the 95th is 0.95
    for (double& value : values)
        value *= 2.1; // the 95th is 1.995
    CHECK(find_change_end(values) == doctest::Approx(2));
    CHECK(find_change_end({0.3, 0.3}) == doctest::Approx(0.5));
    CHECK(find_change_end({-700}) == doctest::Approx(1000));
    CHECK(find_change_end({0, 0, 0}) == doctest::Approx(0.01));
    CHECK(find_change_end({}) == doctest::Approx(0.01));
    CHECK(print_change_figures(2) == std::vector<std::string>{"\u22122", "\u22121", "0", "+1", "+2"});
    CHECK(print_change_figures(0.5)[3] == "+0.25");
}

TEST_CASE("plate change: second less first in the unit and second over first") {
    const Walls walls({10, 30});
    const Plate plate{"front", 0};
    const PlatePicture from(walls.walls[0].source(), plate, 100, 2),
        to(walls.walls[1].source(), plate, 100, 2);
    const PlateChange up(from, to, lux_per_footcandle), down(to, from, 1);
    CHECK(*up.difference(0, {2, 1}) == doctest::Approx(20 / 10.7639).epsilon(1e-5));
    CHECK(*down.difference(0, {2, 1}) == doctest::Approx(-20));
    CHECK(*up.ratio(0, {2, 1}) == doctest::Approx(3));
    CHECK(*down.ratio(0, {2, 1}) == doctest::Approx(1.0 / 3));
    CHECK(up.end() == doctest::Approx(2)); // 1.86 fc
    CHECK_FALSE(up.goes_beyond());
    CHECK_FALSE(up.difference(0, {40, 1}));
    // From nothing at all: the difference is the light itself, the ratio starts at the scale's lower end.
    const Walls dark({0, 0.3, 10.763910});
    const PlatePicture none(dark.walls[0].source(), plate, 100, 2),
        faint(dark.walls[1].source(), plate, 100, 2), lit(dark.walls[2].source(), plate, 100, 2);
    CHECK(*PlateChange(none, lit, lux_per_footcandle).difference(0, {2, 1}) ==
          doctest::Approx(1).epsilon(0.002));
    CHECK(*PlateChange(none, lit, 1).ratio(0, {2, 1}) == doctest::Approx(20)); // 1 fc over 0.05 fc
    CHECK(*PlateChange(none, faint, 1).ratio(0, {2, 1}) == 1);
    CHECK(*PlateChange(none, faint, 1).difference(0, {2, 1}) == doctest::Approx(0.3).epsilon(0.05));
}

PIXEL_TEST_CASE("comparison: known light in the colours of the three scales") {
    const test::Pixels page = test::read_pixels(draw({10, 20}, PictureFormat::png).bytes);
    const test::Patch a = test::find_colour(page, lux_colour(10), 1),
                      b = test::find_colour(page, lux_colour(20), 1);
    // Twice the light is half-way up the scale of ratios; 0.93 fc more is nearly 1, the end.
    const test::Patch ratio = test::find_colour(page, change_colour(0.5), 1),
                      difference = test::find_colour(page, change_colour(10 / lux_per_footcandle), 1);
    for (const test::Patch& patch : {a, b, ratio, difference})
        CHECK(static_cast<double>(patch.count) ==
              doctest::Approx(static_cast<double>(a.count)).epsilon(0.05));
    CHECK(a.count > 100000);
    CHECK(a.x < b.x - 500); // side by side
    CHECK(a.y == doctest::Approx(b.y).epsilon(0.001));
    CHECK(difference.x == doctest::Approx(a.x).epsilon(0.01)); // y counts from below
    CHECK(difference.y < a.y - 300);
    CHECK(ratio.x == doctest::Approx(b.x).epsilon(0.01));
    // The other way round it is half as much.
    const test::Pixels back = test::read_pixels(draw({20, 10}, PictureFormat::png).bytes);
    CHECK(static_cast<double>(test::find_colour(back, change_colour(-0.5), 1).count) ==
          doctest::Approx(static_cast<double>(a.count)).epsilon(0.05));
}

TEST_CASE("comparison: variants say what they are and no word lies on another") {
    const DrawnPage page = draw({10, 20, 5, 40}, PictureFormat::svg, std::array<std::size_t, 2>{1, 3});
    for (const char* words : {"A", "B", "C", "D", "lamp 0", "lamp 3", "Ratio, D : B", "1/4", "4",
                              "Difference, D \u2212 B, in fc", "0", "\u22122", "+2"})
        CHECK_MESSAGE(test::count_words(page, words) == 1, words);
    test::check_apart(page);
    const DrawnPage three = draw({10, 20, 5});
    CHECK(test::count_words(three, "C") == 1);
    CHECK(test::count_words(three, "1/4") == 0); // no change unless asked for
    CHECK(test::find_words(three, "lamp 2").left > test::find_words(three, "lamp 1").right);
    CHECK(test::find_words(three, "lamp 2").middle().y ==
          doctest::Approx(test::find_words(three, "lamp 0").middle().y));
    const DrawnPage four = draw({10, 20, 5, 40});
    CHECK(test::find_words(four, "lamp 2").left == doctest::Approx(test::find_words(four, "lamp 0").left));
    CHECK(test::find_words(four, "lamp 2").top > test::find_words(four, "lamp 0").top + 200);
}

TEST_CASE("comparison: bodies have their change beside them and walls below") {
    CHECK(ComparisonGrid(2, true, true, 1.2).columns == 4);
    CHECK(ComparisonGrid(2, true, true, 1.2).is_one_row);
    CHECK(ComparisonGrid(2, true, true, 3).columns == 2); // a hedge
    CHECK(ComparisonGrid(2, true, false, 1.2).columns == 2);
    CHECK(ComparisonGrid(3, true, true, 1.2).columns == 3);
    CHECK(ComparisonGrid(4, true, true, 1.2).columns == 4);
    CHECK(ComparisonGrid(4, false, false, 1.8).columns == 2);
}

TEST_CASE("comparison: the same bytes each time") {
    const Walls walls({10, 30});
    for (const PictureFormat format : picture_formats(true)) {
        CHECK(draw({10, 30}, format).bytes == draw({10, 30}, format).bytes);
        test::check_whole_picture(draw_comparison(walls.comparison(), format), format);
    }
}

TEST_CASE("comparison: what cannot be drawn is said plainly") {
    CHECK_THROWS_WITH_AS(draw({10}), "error: 1 variants cannot be laid side by side; choose 2 to 4",
                         InputError);
    CHECK_THROWS_AS(draw({1, 2, 3, 4, 5}), InputError);
    CHECK_THROWS_WITH_AS(draw({10, 20}, PictureFormat::svg, std::array<std::size_t, 2>{0, 2}),
                         "error: the change is wanted of a variant that is not there; choose two of the 2",
                         InputError);
    const Walls walls({10, 20});
    Comparison comparison = walls.comparison();
    comparison.plate = "back";
    CHECK_THROWS_AS(make_comparison(comparison, PictureFormat::svg), InputError);
}
