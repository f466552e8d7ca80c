#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "../../src/draw/heat_map.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/draw/chart.hpp"
#include "page_words.hpp"
#include "pixels.hpp"

using namespace duskcast;

namespace {

/// Values 0, 1, 2 ... from the lowest row on.
HeatMap make_map(std::size_t columns, std::size_t rows) {
    HeatMap map;
    map.title = "Reach";
    map.x.title = "tilt";
    map.y.title = "setback";
    map.unit = "ft";
    for (std::size_t i = 0; i < columns; ++i)
        map.x.cells.push_back("x" + std::to_string(i));
    for (std::size_t i = 0; i < rows; ++i)
        map.y.cells.push_back("y" + std::to_string(i));
    for (std::size_t i = 0; i < columns * rows; ++i)
        map.values.push_back(static_cast<double>(i));
    return map;
}

DrawnPage draw(const HeatMap& map, PictureFormat format = PictureFormat::svg) {
    return make_chart_page({"Page", "", {}, {}, {map}}, format);
}

const Box map_box{100, 100, 1300, 700};

} // namespace

TEST_CASE("heat map: cells from the lower left and the scale's ends in its colours") {
    HeatMap map = make_map(5, 3);
    map.low = 0;
    map.high = 20;
    const HeatPlot plot(map, map_box);
    CHECK(map_box.contains(plot.frame()));
    CHECK(plot.cell(0).left == doctest::Approx(plot.frame().left));
    CHECK(plot.cell(0).bottom == doctest::Approx(plot.frame().bottom));
    CHECK(plot.cell(14).right == doctest::Approx(plot.frame().right));
    CHECK(plot.cell(14).top == doctest::Approx(plot.frame().top));
    CHECK(plot.cell(5).middle().x == doctest::Approx(plot.cell(0).middle().x)); // next row
    CHECK(plot.cell(5).bottom == doctest::Approx(plot.cell(0).top));
    CHECK(plot.colour(0) == dusk_colour(0));
    CHECK(plot.colour(10) == dusk_colour(0.5));
    CHECK(plot.colour(20) == dusk_colour(1));
}

TEST_CASE("heat map: without ends the scale goes to round figures about the values") {
    HeatMap map = make_map(2, 2);
    map.values = {13.1, 14.0, {}, 16.9};
    const HeatPlot plot(map, map_box);
    CHECK(plot.colour(13) == dusk_colour(0));
    CHECK(plot.colour(17) == dusk_colour(1));
    CHECK(test::find_words(draw(map), "17").top < test::find_words(draw(map), "15").top);
}

TEST_CASE("heat map: values in the cells where all of them fit") {
    const DrawnPage page = draw(make_map(5, 3));
    CHECK(test::find_words(page, "7").middle().x == doctest::Approx(test::find_words(page, "2").middle().x));
    CHECK(test::find_words(page, "7").bottom < test::find_words(page, "2").top);
    CHECK(test::find_words(page, "11").middle().x ==
          doctest::Approx(test::find_words(page, "x1").middle().x));
    CHECK(test::find_words(page, "11").middle().y ==
          doctest::Approx(test::find_words(page, "y2").middle().y));
    HeatMap fine = make_map(200, 3);
    fine.best = 437; // the scale's figures are all round
    const DrawnPage crowded = draw(fine);
    CHECK(test::count_words(crowded, "431") == 0);
    CHECK(test::count_words(crowded, "437 ft") == 1);
    CHECK(test::count_words(crowded, "y2") == 1);
}

PIXEL_TEST_CASE("heat map: each cell in its colour and none where there is no value") {
    HeatMap map = make_map(2, 2);
    map.values = {0.0, 10.0, std::nan("")}; // the last one is missing
    map.low = 0;
    map.high = 10;
    const HeatPlot plot(map, {56, 0, 1544, 600});
    const double area = plot.cell(0).width() * plot.cell(0).height();
    const test::Pixels page = test::read_pixels(draw(map, PictureFormat::png).bytes);
    const test::Patch low = test::find_colour(page, dusk_colour(0)),
                      high = test::find_colour(page, dusk_colour(1));
    // The figure in the cell takes a little of it.
    CHECK_MESSAGE(std::abs(static_cast<double>(low.count) / area - 1) < 0.05, low.count << " of " << area);
    CHECK_MESSAGE(std::abs(static_cast<double>(high.count) / area - 1) < 0.05, high.count << " of " << area);
    CHECK(high.x - low.x == doctest::Approx(plot.cell(0).width()).epsilon(0.02));
    CHECK(high.y == doctest::Approx(low.y).epsilon(0.02));
}

PIXEL_TEST_CASE("heat map: the best cell is outlined where it is") {
    HeatMap map = make_map(5, 3);
    const std::string plain = draw(map, PictureFormat::png).bytes;
    map.best = 7;
    const DrawnPage page = draw(map, PictureFormat::png);
    const test::Pixels before = test::read_pixels(plain), after = test::read_pixels(page.bytes);
    double x = 0, y = 0, count = 0;
    for (int row = 0; row < after.height; ++row)
        for (int column = 0; column < after.width; ++column) {
            const std::size_t at = 4 * (static_cast<std::size_t>(row) * after.width + column);
            if (!std::equal(&before.rgba[at], &before.rgba[at] + 3, &after.rgba[at])) {
                x += column;
                y += after.height - 1 - row; // textures count from below
                ++count;
            }
        }
    REQUIRE(count > 500);
    const glm::dvec2 middle = test::find_words(page, "7").middle();
    CHECK(x / count == doctest::Approx(middle.x).epsilon(0.005));
    CHECK(y / count == doctest::Approx(middle.y).epsilon(0.005));
    map.best = 99; // beyond the cells: nothing outlined
    CHECK(draw(map, PictureFormat::png).bytes == plain);
}

TEST_CASE("heat map: the same bytes each time and no map without cells") {
    const HeatMap map = make_map(7, 4);
    for (const PictureFormat format : picture_formats(true))
        CHECK(draw(map, format).bytes == draw(map, format).bytes);
    HeatMap empty = make_map(3, 3);
    empty.y.cells.clear();
    CHECK_THROWS_WITH_AS(draw(empty), "error: the heat map \"Reach\" has no cells; give it one at least",
                         InputError);
    HeatMap unknown = make_map(2, 2);
    unknown.values.clear();
    CHECK(draw(unknown).height > 300);
}

TEST_CASE("heat map: below zero with a minus sign, missing values without words") {
    HeatMap map = make_map(2, 2);
    map.values = {-1.5, {}, 2.0, std::nan("")};
    const DrawnPage page = draw(map);
    CHECK(test::count_words(page, "\u22121.5") >= 1);
    CHECK(test::count_words(page, "nan") == 0);
    const HeatPlot plot(map, map_box);
    CHECK(plot.colour(-1.5)[2] < plot.colour(2)[0]); // from dark blue to pale straw
    HeatMap unknown = make_map(2, 2);
    unknown.values.assign(4, std::nullopt);
    CHECK(test::count_words(draw(unknown), "0.0") >= 1); // a scale from 0 to 1 all the same
}

TEST_CASE("heat map: names of rows too low for their letters are left out evenly") {
    for (const std::size_t rows : {3u, 12u, 40u, 90u, 200u}) {
        const DrawnPage page = draw(make_map(4, rows));
        std::vector<double> places;
        std::vector<std::size_t> shown;
        for (std::size_t i = 0; i < rows; ++i)
            if (test::count_words(page, "y" + std::to_string(i)) == 1) {
                shown.push_back(i);
                places.push_back(test::find_words(page, "y" + std::to_string(i)).middle().y);
            }
        CAPTURE(rows);
        REQUIRE(shown.size() >= 2);
        CHECK(shown[0] == 0);
        const std::vector<std::size_t> steps = {1, 2, 5, 10, 15, 20};
        CHECK(std::count(steps.begin(), steps.end(), shown[1]) == 1);
        for (std::size_t i = 1; i < shown.size(); ++i) {
            CHECK(shown[i] - shown[i - 1] == shown[1]);
            CHECK(places[i - 1] - places[i] >= 16.9);
        }
    }
}

TEST_CASE("heat map: the best value's card stays within the cells, whichever cell it is") {
    HeatMap map = make_map(120, 60);
    for (const std::size_t best : {0u, 60u, 119u, 3600u, 3660u, 7080u, 7199u}) {
        map.best = best;
        const HeatPlot plot(map, map_box);
        Canvas canvas(page_width, 800, PictureFormat::svg);
        plot.draw(canvas);
        const DrawnPage page{"", 800, canvas.words()};
        CAPTURE(best);
        const Box& card = test::find_words(page, print_number(static_cast<double>(best)) + " ft");
        CHECK(plot.frame().contains(card));
        CHECK_FALSE(card.overlaps(plot.cell(best)));
        CHECK(std::abs(card.middle().x - plot.cell(best).middle().x) <
              card.width() + plot.cell(best).width());
    }
    map.best = 5;
    map.values[5] = std::nullopt; // nothing to say of it
    Canvas canvas(page_width, 800, PictureFormat::svg);
    HeatPlot(map, map_box).draw(canvas);
    for (const Canvas::Words& words : canvas.words())
        CHECK_FALSE(words.text.ends_with(" ft"));
}

TEST_CASE("heat map: few cells are not stretched, many fill the room") {
    const HeatMap small = make_map(2, 1), large = make_map(60, 40);
    const HeatPlot few(small, map_box), many(large, map_box);
    CHECK(few.cell(0).width() == doctest::Approx(150));
    CHECK(few.cell(0).height() == doctest::Approx(84));
    CHECK(many.frame().right > map_box.right - 120);
    CHECK(many.frame().bottom > map_box.bottom - 80);
    for (const HeatPlot* plot : {&few, &many}) {
        CHECK(map_box.contains(plot->frame()));
        CHECK(plot->cell(1).left == doctest::Approx(plot->cell(0).right)); // no gap
    }
}

TEST_CASE("heat map: a fine one has half of the page's width") {
    const auto width_of = [](std::size_t columns) {
        ChartPage page{
            "Page", "", {}, {}, {make_map(columns, 3), make_map(columns, 3), make_map(columns, 3)}};
        for (std::size_t i = 0; i < 3; ++i)
            page.heat_maps[i].title = "map " + std::to_string(i);
        const DrawnPage drawn = make_chart_page(page, PictureFormat::svg);
        return test::find_words(drawn, "map 1").left - test::find_words(drawn, "map 0").left;
    };
    CHECK(width_of(14) < page_width / 3);
    CHECK(width_of(15) > page_width / 2.2);
}
