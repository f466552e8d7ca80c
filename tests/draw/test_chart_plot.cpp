// The parts of a chart: where points, words and legends go.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <map>
#include <random>

#include "../../src/draw/chart_plot.hpp"
#include "page_words.hpp"
#include "pixels.hpp"

using namespace duskcast;

namespace {

const Box roomy{100, 100, 1100, 700};

ChartSeries make_series(const std::string& name, const std::vector<double>& values) {
    ChartSeries series{name, {}};
    for (std::size_t i = 0; i < values.size(); ++i)
        series.points.push_back({static_cast<double>(i), values[i]});
    return series;
}

/// The words a chart draws in a box of its own.
DrawnPage draw_plot(const Chart& chart, bool has_end_names = false) {
    const std::vector<std::string> names = list_series({chart});
    Canvas canvas(page_width, 800, PictureFormat::svg);
    ChartPlot(chart, names, roomy, has_end_names).draw(canvas);
    return {canvas.finish(), 800, canvas.words()};
}

} // namespace

TEST_CASE("chart plot: x and y run linearly over the frame, y upwards") {
    Chart chart;
    chart.series = {make_series("a", {0, 10, 20, 30, 40})};
    const std::vector<std::string> names = {"a"};
    const ChartPlot plot(chart, names, roomy, false);
    const Box& frame = plot.frame();
    CHECK(roomy.contains(frame));
    CHECK(plot.place(0, 0) == glm::dvec2(frame.left, frame.bottom));
    CHECK(plot.place(4, plot.y().high).x == doctest::Approx(frame.right));
    CHECK(plot.place(4, plot.y().high).y == doctest::Approx(frame.top));
    CHECK(plot.place(1, 20).x == doctest::Approx(frame.left + frame.width() / 4));
    CHECK(plot.place(1, 20).y == doctest::Approx(frame.bottom - frame.height() * 20 / plot.y().high));
}

TEST_CASE("chart plot: figures stand at their ticks, left of the axis and below it") {
    Chart chart;
    chart.x.title = "tilt, degrees";
    chart.y.title = "reach, ft";
    chart.series = {make_series("a", {3, 1200, 700})};
    const std::vector<std::string> names = {"a"};
    const ChartPlot plot(chart, names, roomy, false);
    const DrawnPage page = draw_plot(chart);
    for (const AxisTick& tick : plot.y().ticks) {
        const Box& words = test::find_words(page, tick.text);
        CHECK(words.right < plot.frame().left);
        CHECK(words.left >= roomy.left - 1);
        CHECK(words.middle().y == doctest::Approx(plot.place(0, tick.at).y));
    }
    CHECK(test::find_words(page, "1,200").middle().y == doctest::Approx(plot.frame().top));
    CHECK(test::find_words(page, "tilt, degrees").top > plot.frame().bottom);
    CHECK(test::find_words(page, "tilt, degrees").middle().x == doctest::Approx(plot.frame().middle().x));
    CHECK(test::find_words(page, "reach, ft").bottom < plot.frame().top);
}

TEST_CASE("chart plot: separate things stand half a place from the sides, joined ones at them") {
    Chart chart;
    chart.x.ticks = {{0, "4 W"}, {1, "5 W"}, {2, "7 W"}};
    chart.series = {make_series("a", {1, 2, 3})};
    const std::vector<std::string> names = {"a"};
    const auto place_of = [&](double x) {
        const ChartPlot plot(chart, names, roomy, false);
        return (plot.place(x, 1).x - plot.frame().left) / plot.frame().width();
    };
    CHECK(place_of(0) == doctest::Approx(0));
    CHECK(place_of(2) == doctest::Approx(1));
    chart.is_joined = false; // the range 0..2 grows by 2 / 6 at either end
    CHECK(place_of(0) == doctest::Approx(1.0 / 8));
    CHECK(place_of(1) == doctest::Approx(0.5));
    CHECK(place_of(2) == doctest::Approx(7.0 / 8));
    chart.x.ticks = {};
    chart.series = {{"a", {{6, 2.0}}}}; // one point alone stands in the middle
    CHECK(place_of(6) == doctest::Approx(0.5));
}

TEST_CASE("chart plot: names at the ends only of curves that end apart, on the right, with short names") {
    Chart chart;
    const auto has_names = [&](bool may_have = true) {
        const std::vector<std::string> names = list_series({chart});
        return ChartPlot(chart, names, roomy, may_have).has_end_names();
    };
    chart.series = {make_series("4 W", {1, 2, 3}), make_series("5 W", {1, 4, 9})};
    CHECK(has_names());
    CHECK_FALSE(has_names(false));
    chart.is_joined = false;
    CHECK_FALSE(has_names()); // points alone
    chart.is_joined = true;
    chart.series[1].points.back().y = std::nullopt;
    chart.series[1].points[1].x = 0.5;
    CHECK_FALSE(has_names()); // ends far from the right side
    chart.series = {make_series("4 W", {1, 2, 3}), make_series(std::string(60, 'W'), {1, 4, 9})};
    CHECK_FALSE(has_names()); // a name too long
    chart.series.clear();
    for (int i = 0; i < 8; ++i)
        chart.series.push_back(make_series("lamp " + std::to_string(i), {0, 1, 5}));
    CHECK_FALSE(has_names()); // all end at one place
    chart.series.resize(1);
    CHECK_FALSE(has_names()); // nothing to be told apart
}

TEST_CASE("chart plot: names at the ends stand in the order of the ends, beside them") {
    std::mt19937 random(5);
    for (int round = 0; round < 30; ++round) {
        Chart chart;
        std::map<double, std::string> ends; // from below
        for (int i = 0; i < 5; ++i) {
            const double end = static_cast<double>(i * 200 + random() % 60);
            const std::string name = "lamp " + std::to_string(random() % 1000) + "-" + std::to_string(i);
            chart.series.push_back(make_series(name, {500, 300, end}));
            ends[end] = name;
        }
        const std::vector<std::string> names = list_series({chart});
        const ChartPlot plot(chart, names, roomy, true);
        REQUIRE(plot.has_end_names());
        const DrawnPage page = draw_plot(chart, true);
        double last = 1e9;
        for (const auto& [end, name] : ends) {
            const Box& words = test::find_words(page, name);
            CHECK(words.bottom <= last + 6); // boxes are higher than the step from line to line
            CHECK(words.left > plot.frame().right);
            CHECK(words.right <= roomy.right + 1);
            CHECK(std::abs(words.middle().y - plot.place(2, end).y) <= 15);
            last = words.top;
        }
    }
}

TEST_CASE("chart plot: cards stand near their points, inside the frame, off each other and off the curve") {
    std::mt19937 random(3);
    for (int round = 0; round < 40; ++round) {
        Chart chart;
        std::vector<double> values;
        for (int i = 0; i <= 20; ++i)
            values.push_back(50 + 40 * std::sin(0.15 * i + round));
        chart.series = {make_series("a", values)};
        for (const int at : {2, 10, 18})
            chart.marks.push_back({static_cast<double>(at), values[static_cast<std::size_t>(at)],
                                   "mark " + std::to_string(at)});
        const std::vector<std::string> names = {"a"};
        const ChartPlot plot(chart, names, roomy, false);
        const DrawnPage page = draw_plot(chart);
        std::vector<Box> cards;
        for (const ChartMark& mark : chart.marks) {
            const Box& card = test::find_words(page, mark.text);
            const glm::dvec2 at = plot.place(mark.x, mark.y);
            CHECK(plot.frame().contains(card));
            CHECK(std::abs(card.middle().x - at.x) <= card.width() / 2 + 60);
            CHECK(std::abs(card.middle().y - at.y) <= card.height() / 2 + 60);
            for (const Box& other : cards)
                CHECK_FALSE(card.overlaps(other));
            for (std::size_t i = 0; i < values.size(); ++i) {
                const glm::dvec2 point = plot.place(static_cast<double>(i), values[i]);
                CHECK_FALSE(card.overlaps(Box::round(point, {2, 2})));
            }
            cards.push_back(card);
        }
    }
}

TEST_CASE("chart plot: a mark without words has no card, a level's words stand at its line") {
    Chart chart;
    chart.series = {make_series("a", {1, 2, 3})};
    chart.marks = {{1, 2, ""}};
    chart.levels = {{2.5, "peak"}, {1.5, ""}};
    const std::size_t without = draw_plot(chart).words.size();
    chart.marks[0].text = "best";
    const DrawnPage page = draw_plot(chart);
    CHECK(page.words.size() == without + 1);
    const std::vector<std::string> names = {"a"};
    const ChartPlot plot(chart, names, roomy, false);
    CHECK(std::abs(test::find_words(page, "peak").middle().y - plot.place(0, 2.5).y) == doctest::Approx(11));
}

TEST_CASE("chart plot: levels and marks belong to the axes as curves do") {
    Chart chart;
    chart.series = {make_series("a", {10, 12})};
    chart.levels = {{24, "peak"}};
    chart.marks = {{5, 11, "there"}};
    const std::vector<std::string> names = {"a"};
    const ChartPlot plot(chart, names, roomy, false);
    CHECK(plot.y().high >= 24);
    CHECK(plot.x().high == 5);
    CHECK(plot.y().low == 0);                            // 10 is less than half of 24
    chart.series[0].points.push_back({9, std::nullopt}); // looked at, without a result
    CHECK(ChartPlot(chart, names, roomy, false).x().high == 9);
    chart.series[0].points.push_back({2, INFINITY});
    CHECK(std::isfinite(ChartPlot(chart, names, roomy, false).y().high));
}

TEST_CASE("chart axis: words at their places, an upright one ending below the axis") {
    const std::vector<std::string> lamps = {"standard 4 W, 36\u00b0", "brighter 5 W, 24\u00b0"};
    for (const double apart : {300.0, 80.0, 25.0}) {
        Canvas canvas(800, 400, PictureFormat::svg);
        const AxisWords words(lamps, {40, 40 + apart});
        words.draw(canvas, {100, 200});
        CAPTURE(apart);
        for (const Canvas::Words& one : canvas.words()) {
            CHECK(one.box.top >= 199);
            CHECK(one.box.bottom <= 200 + words.height() + 4);
            const double first = std::abs(one.box.middle().x - 140), second = std::abs(first - apart);
            CHECK(std::min(first, second) < 1);
        }
        for (std::size_t i = 1; i < canvas.words().size(); ++i)
            for (std::size_t j = 0; j < i; ++j) {
                const Box& a = canvas.words()[i].box;
                CHECK_FALSE((a.grown(-3)).overlaps(canvas.words()[j].box.grown(-3)));
            }
    }
}

TEST_CASE("chart axis: of figures too close together each second, fifth, tenth stays") {
    std::vector<std::string> figures;
    for (int i = 0; i < 200; ++i)
        figures.push_back(std::to_string(i));
    std::size_t last = 1;
    for (double apart = 60; apart > 0.5; apart *= 0.8) {
        std::vector<double> middles;
        for (std::size_t i = 0; i < figures.size(); ++i)
            middles.push_back(apart * static_cast<double>(i));
        const AxisWords words(figures, middles);
        const std::vector<std::size_t> steps = {1, 2, 5, 10, 20, 50, 100};
        CHECK(std::count(steps.begin(), steps.end(), words.stride()) == 1);
        CHECK(words.stride() >= last);
        last = words.stride();
        Canvas canvas(page_width, 100, PictureFormat::svg);
        words.draw(canvas, {0, 0});
        for (std::size_t i = 1; i < canvas.words().size(); ++i)
            CHECK(canvas.words()[i].box.left - canvas.words()[i - 1].box.right >= 9);
    }
    CHECK(last >= 20);
}

TEST_CASE("chart axis: ticks of its own are sorted and keep numbers at their units") {
    ChartAxis axis;
    axis.ticks = {{3, "12 in"}, {1, "6 in"}, {2, "9 in"}};
    const FittedAxis fitted = fit_axis(axis, {1, 3}, 5, AxisEnds::exact);
    REQUIRE(fitted.ticks.size() == 3);
    CHECK(fitted.ticks[0].text == "6\u00a0in");
    CHECK(fitted.ticks[2].at == 3);
    CHECK(AxisWords({}, {}).height() == 0);
}

TEST_CASE("legend: in rows that fit the width, in order, long names cut") {
    for (std::size_t count = 0; count <= 8; ++count)
        for (const double width : {260.0, 700.0, 1488.0}) {
            std::vector<std::string> names;
            for (std::size_t i = 0; i < count; ++i)
                names.push_back(std::to_string(i) +
                                (i % 3 == 2 ? " a lamp whose name goes on for very long" : " W"));
            const Legend legend(names, width);
            Canvas canvas(page_width, 400, PictureFormat::svg);
            legend.draw(canvas, {50, 20});
            REQUIRE(canvas.words().size() == count);
            CHECK((legend.height() == 0) == (count == 0));
            for (std::size_t i = 0; i < count; ++i) {
                const Box& box = canvas.words()[i].box;
                CHECK(canvas.words()[i].text[0] == names[i][0]);
                CHECK(box.right <= 50 + width + 1);
                CHECK(box.bottom <= 20 + legend.height() + 1);
                if (i == 0)
                    continue;
                const Box& before = canvas.words()[i - 1].box;
                CHECK((box.left > before.right + 40 || box.top >= before.bottom - 1)); // a sample between
            }
        }
}

TEST_CASE("legend: names of all charts once, in the order they come") {
    Chart first, second;
    first.series = {make_series("b", {1}), make_series("a", {1})};
    second.series = {make_series("c", {1}), make_series("b", {1})};
    CHECK(list_series({first, second}) == std::vector<std::string>{"b", "a", "c"});
    CHECK(list_series({}).empty());
}

TEST_CASE("charts: columns for any number of them") {
    for (std::size_t count = 1; count <= 6; ++count) {
        ChartPage page{"Page", "", {}, {}, {}};
        for (std::size_t i = 0; i < count; ++i) {
            Chart chart;
            chart.title = "chart " + std::to_string(i);
            chart.series = {make_series("a", {1, 2, 4})};
            page.charts.push_back(chart);
        }
        const DrawnPage drawn = make_chart_page(page, PictureFormat::svg);
        const std::size_t columns =
            std::map<std::size_t, std::size_t>{{1, 1}, {2, 2}, {3, 3}, {4, 2}, {5, 3}, {6, 3}}.at(count);
        CAPTURE(count);
        for (std::size_t i = 0; i < count; ++i) {
            const Box& title = test::find_words(drawn, "chart " + std::to_string(i));
            const Box& first = test::find_words(drawn, "chart 0");
            CHECK((title.left == doctest::Approx(first.left)) == (i % columns == 0));
            CHECK((title.top == doctest::Approx(first.top)) == (i < columns));
        }
    }
}

PIXEL_TEST_CASE("charts: a dashed level from side to side, a ring round a mark") {
    Chart chart;
    chart.series = {make_series("a", {0, 0.1, 0})};
    chart.y.high = 10;
    const std::vector<std::string> names = {"a"};
    const ChartPlot plot(chart, names, roomy, false);
    const auto dark_pixels = [&](const Box& box) {
        Canvas canvas(page_width, 800, PictureFormat::png);
        ChartPlot(chart, names, roomy, false).draw(canvas);
        const test::Pixels page = test::read_pixels(canvas.finish());
        int count = 0;
        for (int y = static_cast<int>(box.top); y < box.bottom; ++y)
            for (int x = static_cast<int>(box.left); x < box.right; ++x)
                count +=
                    page.rgba[4 * (static_cast<std::size_t>(page.height - 1 - y) * page.width + x)] < 160;
        return count;
    };
    const double y = plot.place(0, 5).y + 14; // not on a line of the grid
    const double level = 5 - 14 / plot.frame().height() * (plot.y().high - plot.y().low);
    const Box strip{plot.frame().left, y - 1, plot.frame().right, y + 2};
    const int before = dark_pixels(strip);
    chart.levels = {{level, ""}};
    // 8 of 13 pixels are ink, 1.6 wide: at least one row of it is dark.
    CHECK(dark_pixels(strip) - before > plot.frame().width() * 8 / 13 * 0.9);
    chart.levels.clear();
    chart.marks = {{1, level, ""}};
    const Box round = Box::round(plot.place(1, level), {24, 24});
    const int bare = before * 24 / static_cast<int>(plot.frame().width());
    CHECK(dark_pixels(round) - bare > 2 * pi * 8 * 1); // 1.8 wide
}
