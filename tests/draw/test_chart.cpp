#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "../../src/draw/chart_plot.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/draw/colour_scale.hpp"
#include "page_words.hpp"
#include "pixels.hpp"

using namespace duskcast;

namespace {

std::vector<std::string> texts_of(const std::vector<AxisTick>& ticks) {
    std::vector<std::string> texts;
    for (const AxisTick& tick : ticks)
        texts.push_back(tick.text);
    return texts;
}

ChartSeries make_line(const std::string& name, double from, double to) {
    ChartSeries series{name, {}};
    for (int i = 0; i <= 10; ++i)
        series.points.push_back({static_cast<double>(i), from + (to - from) * i / 10});
    return series;
}

Chart make_chart(const std::string& title, const std::vector<ChartSeries>& series) {
    Chart chart;
    chart.title = title;
    chart.x.title = "tilt, degrees of " + title;
    chart.y.title = "ft of " + title;
    chart.series = series;
    return chart;
}

DrawnPage draw(const std::vector<Chart>& charts, PictureFormat format = PictureFormat::svg) {
    return make_chart_page({"Page", "What was changed.", charts, {"It helps."}}, format);
}

} // namespace

TEST_CASE("chart axis: round ticks that hold the values") {
    const FittedAxis axis = fit_axis({}, {13.2, 16.9}, 8, AxisEnds::round_or_zero);
    CHECK(axis.low == doctest::Approx(13));
    CHECK(axis.high == doctest::Approx(17));
    CHECK(axis.share(13) == doctest::Approx(0));
    CHECK(axis.share(17) == doctest::Approx(1));
    CHECK(axis.ticks.front().text == "13.0");
    CHECK(axis.ticks.back().text == "17.0");
    // Zero belongs to figures that come near it.
    CHECK(fit_axis({}, {4, 17}, 8, AxisEnds::round_or_zero).low == 0);
    CHECK(fit_axis({}, {-17, -4}, 8, AxisEnds::round_or_zero).high == 0);
    CHECK(texts_of(fit_axis({}, {0, 0.95}, 5, AxisEnds::round_or_zero).ticks) ==
          std::vector<std::string>{"0.0", "0.2", "0.4", "0.6", "0.8", "1.0"});
    CHECK(texts_of(fit_axis({}, {-1, 1}, 4, AxisEnds::round_or_zero).ticks) ==
          std::vector<std::string>{"\u22121.0", "\u22120.5", "0.0", "0.5", "1.0"});
}

TEST_CASE("chart axis: ends never lie within the values, steps never too many") {
    for (double low = -7.3; low < 900; low = std::abs(low) * 1.7 + 0.1)
        for (double span = 0.013; span < 1e5; span *= 2.3)
            for (const int most : {3, 5, 8}) {
                const FittedAxis axis = fit_axis({}, {low, low + span}, most, AxisEnds::round_or_zero);
                CAPTURE(low);
                CAPTURE(span);
                CHECK(axis.low <= low + 1e-6 * span);
                CHECK(axis.high >= low + span - 1e-6 * span);
                CHECK(axis.ticks.size() <= static_cast<std::size_t>(most) + 1);
                CHECK(axis.ticks.size() >= 2);
                CHECK(axis.ticks.front().at == doctest::Approx(axis.low));
                CHECK(axis.ticks.back().at == doctest::Approx(axis.high));
            }
}

TEST_CASE("chart axis: a plain axis ends where the values end") {
    const FittedAxis axis = fit_axis({}, {1.5, 45}, 10, AxisEnds::exact);
    CHECK(axis.low == 1.5);
    CHECK(axis.high == 45);
    CHECK(texts_of(axis.ticks) ==
          std::vector<std::string>{"5", "10", "15", "20", "25", "30", "35", "40", "45"});
    // The axis's own ends widen it and its own ticks are taken as they are.
    ChartAxis named;
    named.ticks = {{2, "b"}, {1, "a"}, {9, "beyond"}};
    named.low = 0;
    const FittedAxis fitted = fit_axis(named, {1, 2}, 10, AxisEnds::exact);
    CHECK(fitted.low == 0);
    CHECK(texts_of(fitted.ticks) == std::vector<std::string>{"a", "b"});
    // One value alone, and none.
    CHECK(texts_of(fit_axis({}, {8}, 10, AxisEnds::exact).ticks) == std::vector<std::string>{"8"});
    CHECK(fit_axis({}, {8}, 10, AxisEnds::exact).low < 8);
    CHECK(fit_axis({}, {}, 5, AxisEnds::round_or_zero).high == 1);
    CHECK(fit_axis({}, {std::nan(""), 3, 4}, 5, AxisEnds::round_or_zero).low == 3);
}

TEST_CASE("chart axis: figures with the decimals of their step") {
    CHECK(print_tick(0.30000000000000004, 0.1) == "0.3");
    CHECK(print_tick(1250, 250) == "1,250");
    CHECK(print_tick(1234567, 1) == "1,234,567");
    CHECK(print_tick(-12.5, 2.5) == "\u221212.5");
    CHECK(print_tick(-1e-17, 0.2) == "0.0");
}

TEST_CASE("chart axis: words side by side, on lines, upright or some of them") {
    const auto middles = [](std::size_t count, double stride) {
        std::vector<double> at;
        for (std::size_t i = 0; i < count; ++i)
            at.push_back(stride * static_cast<double>(i));
        return at;
    };
    const std::vector<std::string> lamps = {"standard 4 W, 36\u00b0", "brighter 5 W, 24\u00b0"};
    const double flat = AxisWords(lamps, middles(2, 300)).height();
    CHECK(AxisWords(lamps, middles(2, 80)).height() > 1.9 * flat);
    const double upright = AxisWords(lamps, middles(2, 25)).height();
    CHECK(upright > measure_text(lamps[0], figure_style).x - 1);
    std::vector<std::string> figures;
    for (int i = 0; i < 46; ++i)
        figures.push_back(std::to_string(i));
    CHECK(AxisWords(figures, middles(46, 60)).stride() == 1);
    CHECK(AxisWords(figures, middles(46, 12)).stride() == 5);
    // The last figure and the one before it must not touch.
    CHECK(AxisWords({"1,000", "1,001"}, {0, 500}).stride() == 1);
}

TEST_CASE("charts: whole files, the same bytes each time") {
    const ChartPage page{"Page", "", {make_chart("A", {make_line("one", 3, 9)})}, {}};
    for (const PictureFormat format : picture_formats(true)) {
        const std::string bytes = draw_charts(page, format);
        test::check_whole_picture(bytes, format);
        CHECK(draw_charts(page, format) == bytes);
    }
}

TEST_CASE("charts: one to six say what they show and no word lies on another") {
    std::vector<Chart> charts;
    for (const char* title : {"Reach", "Coverage", "Evenness", "Hot spot", "Spill", "Watts"}) {
        const double top = 10.0 + static_cast<double>(charts.size() * charts.size() * 300);
        charts.push_back(make_chart(title, {make_line("4 W", 1, top), make_line("5 W", top, 2)}));
        charts.back().marks = {{5, top / 2, std::string("best of ") + title}};
        charts.back().levels = {{0.9 * top, std::string("peak of ") + title}};
        CAPTURE(charts.size());
        const DrawnPage page = draw(charts);
        test::check_apart(page, 3);
        for (const Chart& chart : charts)
            for (const std::string& words :
                 {chart.title, chart.x.title, chart.y.title, chart.marks[0].text, chart.levels[0].text})
                CHECK_MESSAGE(test::count_words(page, words) == 1, words);
        CHECK(test::count_words(page, "4 W") == 1); // one legend for all of them
        CHECK(test::count_words(page, "5 W") == 1);
    }
}

TEST_CASE("charts: every point and level in its place") {
    Chart chart = make_chart("A", {{"a", {{0, 0.0}, {10, 20.0}}}});
    const Box box{100, 100, 900, 600};
    const std::vector<std::string> names{"a"};
    const ChartPlot plot(chart, names, box, true);
    CHECK(plot.place(0, 0).x == doctest::Approx(plot.frame().left));
    CHECK(plot.place(0, 0).y == doctest::Approx(plot.frame().bottom));
    CHECK(plot.place(10, 20).x == doctest::Approx(plot.frame().right));
    CHECK(plot.place(10, 20).y == doctest::Approx(plot.frame().top));
    CHECK(plot.place(5, 10).y == doctest::Approx(plot.frame().middle().y));
    CHECK(box.contains(plot.frame()));
    // A level beyond the curve widens the axis.
    chart.levels = {{24, "24-ft peak"}};
    const ChartPlot with_level(chart, names, box, true);
    CHECK(with_level.y().high == 25);
}

PIXEL_TEST_CASE("charts: where a value is missing nothing is drawn") {
    ChartSeries whole{"a", {}}, broken{"a", {}};
    for (int i = 0; i <= 100; ++i) {
        whole.points.push_back({static_cast<double>(i), 5.0});
        broken.points.push_back({static_cast<double>(i), 5.0});
    }
    // Half of the curve away: a fifth without a value, three tenths that are no number.
    for (std::size_t i = 30; i < 80; ++i)
        broken.points[i].y = i < 50 ? std::nullopt : std::optional<double>(std::nan(""));
    const auto count_ink = [](const ChartSeries& series) {
        const Chart chart = make_chart("A", {series});
        const test::Pixels page = test::read_pixels(draw({chart}, PictureFormat::png).bytes);
        return static_cast<double>(test::find_colour(page, dusk_colour(0.3)).count);
    };
    const double share = count_ink(broken) / count_ink(whole);
    CHECK_MESSAGE(std::abs(share - 0.5) < 0.05, share);
}

PIXEL_TEST_CASE("charts: eight curves differ in colour and dash and point") {
    std::vector<CurveStyle> styles;
    for (std::size_t i = 0; i < most_chart_series; ++i)
        styles.push_back(find_curve_style(i, most_chart_series));
    for (std::size_t i = 0; i < styles.size(); ++i)
        for (std::size_t j = 0; j < i; ++j) {
            CHECK(styles[i].ink.colour != styles[j].ink.colour);
            CHECK(styles[i].dash != styles[j].dash);
            CHECK(styles[i].marker != styles[j].marker);
        }
    // Markers: the same colour throughout, so that only the shape tells them apart.
    std::vector<std::string> shapes;
    for (CurveStyle style : styles) {
        style.ink = text_ink;
        Canvas canvas(40, 40, PictureFormat::png);
        draw_marker(canvas, style, {20, 20});
        shapes.push_back(canvas.finish());
    }
    std::sort(shapes.begin(), shapes.end());
    CHECK(std::adjacent_find(shapes.begin(), shapes.end()) == shapes.end());
}

PIXEL_TEST_CASE("charts: a series looks the same in every chart") {
    const Chart both = make_chart("A", {make_line("4 W", 1, 2), make_line("5 W", 2, 3)});
    const Chart second = make_chart("B", {make_line("5 W", 2, 2)});
    CHECK(list_series({both, second}) == std::vector<std::string>{"4 W", "5 W"});
    const test::Pixels page = test::read_pixels(draw({second, both}, PictureFormat::png).bytes);
    // Named first, "5 W" has the first colour, and it is drawn on both sides of the page's middle.
    int left = 0, right = 0;
    for (int y = 0; y < page.height - 220; ++y) // without the legend
        for (int x = 0; x < page.width; ++x) {
            const std::uint8_t* pixel = &page.rgba[4 * (static_cast<std::size_t>(y) * page.width + x)];
            if (std::abs(pixel[0] - 255 * curve_colours[0][0]) < 2 &&
                std::abs(pixel[1] - 255 * curve_colours[0][1]) < 2)
                ++(x < page.width / 2 ? left : right);
        }
    CHECK(left > 300);
    CHECK(right > 300);
}

TEST_CASE("charts: names at the ends of curves where there is room and a legend where not") {
    const DrawnPage apart = draw({make_chart("A", {make_line("4 W", 1, 5), make_line("5 W", 2, 9)})});
    const Box &low = test::find_words(apart, "4 W"), &high = test::find_words(apart, "5 W");
    CHECK(low.left > 1300);
    CHECK(high.bottom < low.top);
    std::vector<ChartSeries> crowd;
    for (int i = 0; i < 8; ++i)
        crowd.push_back(make_line("lamp " + std::to_string(i), i, 5));
    const DrawnPage together = draw({make_chart("A", crowd)});
    for (int i = 0; i < 8; ++i)
        CHECK(test::find_words(together, "lamp " + std::to_string(i)).bottom < 140);
}

TEST_CASE("charts: what cannot be drawn is said plainly") {
    const auto first_error = [](const std::vector<Chart>& charts) -> std::string {
        try {
            draw(charts);
        } catch (const InputError& error) {
            return print_problem(error.problems().front());
        }
        return "";
    };
    CHECK(first_error({}) == "error: no chart to draw; choose one figure at least");
    const Chart chart = make_chart("A", {make_line("a", 0, 1)});
    CHECK(first_error(std::vector<Chart>(7, chart)) ==
          "error: 7 charts do not fit on one page; choose 6 figures at most");
    std::vector<ChartSeries> many;
    for (int i = 0; i < 9; ++i)
        many.push_back(make_line(std::to_string(i), i, i + 1));
    CHECK(first_error({make_chart("A", many)}) == "error: 9 curves cannot be told apart; choose 8 at most");
    CHECK(first_error({make_chart("nothing known", {{"a", {{1, {}}, {2, {}}}}}), make_chart("empty", {})})
              .empty());
}
