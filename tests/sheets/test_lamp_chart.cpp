#include <algorithm>
#include <cctype>
#include <cmath>
#include <doctest/doctest.h>

#include "../../src/sheets/lamp_chart_parts.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/photometry/lamp_figures.hpp"
#include "page_words.hpp"
#include "scene.hpp"

using namespace duskcast;

namespace {

double rad(double degrees) {
    return radians_from_degrees(degrees);
}

LampDescription make_lamp(const std::string& id, LampFigures figures) {
    LampDescription lamp;
    lamp.id = id;
    lamp.name = "Lamp " + id;
    lamp.watts = 5;
    lamp.lens_diameter = 0.05;
    lamp.distribution = make_distribution(figures);
    return lamp;
}

LampDescription make_round(const std::string& id, double candela, double beam_deg) {
    LampFigures figures;
    figures.centre_candela = candela;
    figures.beam_angle = rad(beam_deg);
    return make_lamp(id, figures);
}

LampDescription make_oval(const std::string& id, double peak_deg = 0) {
    LampFigures figures;
    figures.lumens = 900;
    figures.beam_angle = rad(60);
    figures.beam_angle_across = rad(110);
    figures.peak_angle = rad(peak_deg);
    return make_lamp(id, figures);
}

LampDescription make_ring(const std::string& id) {
    LampFigures figures;
    figures.lumens = 180;
    figures.beam_angle = rad(30);
    figures.ring_angle = rad(62);
    return make_lamp(id, figures);
}

LampDescription make_globe(const std::string& id, double candela) {
    LampDescription lamp;
    lamp.id = id;
    lamp.distribution = Distribution{{0}, {0, pi}, {candela, candela}};
    return lamp;
}

SheetOptions make_options(LengthUnit length = LengthUnit::foot) {
    if (length == LengthUnit::metre)
        return {{1, 2, 3, 4, 6}, {0.3, 0.45, 0.9}, rad(8), {5, 10, 50}};
    SheetOptions options{{}, {}, rad(8), {}};
    for (const double feet : {1.0, 5.0, 10.0, 20.0})
        options.distances.push_back(feet * metres_per_foot);
    for (const double inches : {12.0, 15.0, 24.0, 48.0})
        options.setbacks.push_back(inches * metres_per_inch);
    for (const double footcandles : {0.5, 1.0, 5.0})
        options.levels.push_back(footcandles * lux_per_footcandle);
    return options;
}

std::vector<LampEntry> make_entries(const std::vector<LampDescription>& lamps, const SheetOptions& options) {
    std::vector<LampEntry> entries;
    for (const LampDescription& lamp : lamps)
        entries.push_back({lamp, make_lamp_sheet(lamp, options)});
    return entries;
}

DrawnPage draw(const std::vector<LampDescription>& lamps, const SheetOptions& options,
               LengthUnit length = LengthUnit::foot, PictureFormat format = PictureFormat::svg) {
    return make_lamp_chart(make_entries(lamps, options), options, length,
                           length == LengthUnit::foot ? LightUnit::footcandle : LightUnit::lux, format);
}

PlateText text_of(const std::vector<LampDescription>& lamps, const SheetOptions& options) {
    const std::vector<LampEntry> entries = make_entries(lamps, options);
    return make_chart_text(make_chart_source(entries, options, LengthUnit::foot, LightUnit::footcandle));
}

std::vector<LampDescription> make_six() {
    LampDescription long_name = make_round("nfl24", 1600, 24);
    long_name.name = "Narrow flood for tall gables, chimneys and the like, 24\u00b0";
    return {make_round("a", 8000, 10), long_name,      make_round("c", 900, 36),
            make_oval("d", 25),        make_ring("e"), make_globe("f", 60)};
}

std::string first_error(const std::vector<LampDescription>& lamps, const SheetOptions& made_with,
                        const SheetOptions& drawn_with) {
    try {
        make_lamp_chart(make_entries(lamps, made_with), drawn_with, LengthUnit::foot, LightUnit::footcandle,
                        PictureFormat::svg);
    } catch (const InputError& error) {
        return print_problem(error.problems().front());
    }
    return "";
}

} // namespace

TEST_CASE("lamp chart: whole files, the same bytes each time") {
    const SheetOptions options = make_options();
    for (const auto& lamps : {std::vector{make_round("a", 900, 36)}, make_six()}) {
        const std::vector<LampEntry> entries = make_entries(lamps, options);
        for (const PictureFormat format : picture_formats(true)) {
            const auto draw_it = [&] {
                return draw_lamp_chart(entries, options, LengthUnit::foot, LightUnit::footcandle, format);
            };
            const std::string bytes = draw_it();
            test::check_whole_picture(bytes, format);
            CHECK(draw_it() == bytes);
        }
    }
}

TEST_CASE("lamp chart: words stay on the page and off each other") {
    std::vector<std::vector<LampDescription>> cases = {make_six(),
                                                       {make_round("a", 8000, 10), make_oval("b")},
                                                       {make_globe("far", 1e6), make_globe("dim", 0.01)}};
    for (const LampDescription& lamp : make_six())
        cases.push_back({lamp});
    cases.push_back({make_oval("upright")});
    cases.push_back({make_round("pin", 50000, 3)});
    cases.push_back({make_globe("dark", 0)});
    for (const LengthUnit length : {LengthUnit::foot, LengthUnit::metre})
        for (const std::vector<LampDescription>& lamps : cases) {
            CAPTURE(lamps.size());
            CAPTURE(lamps.front().id);
            const DrawnPage chart = draw(lamps, make_options(length), length);
            const Box page{0, 0, page_width, chart.height};
            for (std::size_t i = 0; i < chart.words.size(); ++i) {
                const Canvas::Words& one = chart.words[i];
                CHECK_MESSAGE(page.contains(one.box), one.text);
                // A line's box is taller than its letters.
                const Box inner{one.box.left, one.box.top + 2, one.box.right, one.box.bottom - 2};
                for (std::size_t j = 0; j < i; ++j)
                    if (inner.overlaps(chart.words[j].box))
                        FAIL_CHECK(one.text << " on " << chart.words[j].text);
            }
        }
}

#ifdef DUSKCAST_CAIRO // otherwise letters are text, see tests/draw/plain
TEST_CASE("lamp chart: every letter is in the SVG") {
    const DrawnPage chart = draw({make_round("a", 900, 36)}, make_options());
    std::size_t letters = 0, used = 0;
    for (const Canvas::Words& words : chart.words)
        for (const char c : words.text) // bytes within a letter do not count, spaces are not drawn
            letters += (static_cast<unsigned char>(c) & 0xc0) != 0x80 && c != ' ' ? 1 : 0;
    for (std::size_t at = chart.bytes.find("<use "); at != std::string::npos;
         at = chart.bytes.find("<use ", at + 1))
        ++used;
    CHECK(letters > 300);
    CHECK(used > letters);
}
#endif

TEST_CASE("lamp chart: beam and light at distances, loss taken off") {
    LampDescription lamp = make_round("a", 1000, 36);
    lamp.tolerance = 0.95;
    lamp.depreciation = 0.9;
    const DrawnPage chart = draw({lamp}, make_options());
    // 2 x 10 ft x tan 18 deg = 6.498 ft; 1000 cd x 0.855 / (10 ft)^2 = 8.55 fc = 92.0 lx.
    CHECK(test::count_words(chart, "6 ft 6 in") >= 1);
    CHECK(test::count_words(chart, "8.55 fc (92 lx)") == 1);
    CHECK(test::count_words(chart, "beam 36\u00b0 at 500 cd") == 1);
    // Gaussian or cosine, the field is wider; its level is a tenth.
    CHECK(std::any_of(chart.words.begin(), chart.words.end(), [](const Canvas::Words& words) {
        return words.text.starts_with("field ") && words.text.ends_with(" at 100 cd");
    }));
    // 5 D and 10 D / b (IES 9.1.1 and plane geometry): 10 x 0.05 m / 0.628 = 0.796 m = 2 ft 7.3 in.
    CHECK(test::count_words(chart, "~1 ft") == 1);
    CHECK(test::count_words(chart, "5 ft") >= 1);
}

TEST_CASE("lamp chart: losses and the distance to trust are said") {
    const SheetOptions options = make_options();
    LampDescription lamp = make_round("a", 1000, 36);
    CHECK(text_of({lamp}, options).detail == "All light is that of a new lamp, no loss taken off.");
    lamp.tolerance = 0.95;
    lamp.depreciation = 0.9;
    const PlateText text = text_of({lamp}, options);
    CHECK(text.title == "Lamp a");
    CHECK(text.detail ==
          "All foot-candles are after tolerance 0.95 \u00d7 depreciation 0.9 = 0.855; candela and "
          "lumens are a new lamp's.");
    REQUIRE(!text.answers.empty());
    CHECK(text.answers[0] == "Nearer than 2 ft 7 in the figures mislead: the lens is no point there, and the "
                             "beam has not formed. Such figures carry a ~.");

    const PlateText both = text_of({lamp, make_globe("g", 100)}, options);
    CHECK(both.title == "2 lamps side by side");
    REQUIRE(both.answers.size() >= 4);
    CHECK(both.answers[0].starts_with("Lamp 1: all foot-candles are after tolerance 0.95"));
    CHECK(both.answers[1] == "Lamp 2: all light is that of a new lamp, no loss taken off.");
    CHECK(both.answers[2].find("Lamp 1: 2 ft 7 in.") != std::string::npos);
    CHECK(both.answers[3].starts_with("Lamp 2: the lens's diameter is not known"));

    const std::vector<std::string> ring = text_of({make_ring("r")}, options).answers;
    CHECK(std::find(ring.begin(), ring.end(), "Next to no light goes along the axis.") != ring.end());
}

TEST_CASE("lamp chart: each of six lamps has its number in every part") {
    const DrawnPage chart = draw(make_six(), make_options());
    for (const char* number : {"1", "2", "3", "4", "5", "6"}) {
        CAPTURE(number);
        // Lamp table, two plots, beam, its table, patch, its table.
        CHECK(test::count_words(chart, number) >= 7);
    }
    CHECK(test::count_words(chart, "2 ft back") == 0); // in the title's words, not over each patch
    CHECK(test::find_words(chart, "In front of a wall").top > test::find_words(chart, "The beam").top);
}

PIXEL_TEST_CASE("lamp chart: the beam points up, C0 to the right") {
    LampFigures figures;
    figures.lumens = 300;
    figures.beam_angle = rad(20);
    figures.peak_angle = rad(25);
    const SheetOptions options = make_options();
    const DrawnPage svg = draw({make_lamp("a", figures)}, options);
    const test::Pixels page = test::read_pixels(
        draw({make_lamp("a", figures)}, options, LengthUnit::foot, PictureFormat::png).bytes);
    CHECK(page.height == doctest::Approx(svg.height));
    // The fan's axis runs below its upper "0 degrees". The curve's line, measured from there:
    const Box zero = test::find_words(svg, "0\u00b0");
    test::Pixels fan = page;
    const int top = static_cast<int>(zero.bottom),
              bottom = static_cast<int>(test::find_words(svg, "The beam").top);
    for (int y = 0; y < page.height; ++y)
        for (int x = 0; x < page.width; ++x)
            if (const int down = page.height - 1 - y; down < top || down > bottom || x > page_width * 0.37)
                fan.rgba[4 * (static_cast<std::size_t>(y) * page.width + x)] = 255;
    const test::Patch curve = test::find_colour(fan, dusk_colour(0.3), 3);
    REQUIRE(curve.count > 200);
    CHECK(curve.x > zero.middle().x + 40);
    // In the upper part of the fan: its foot lies less than 40 pixels above the next section.
    CHECK(page.height - 1 - curve.y < bottom - 120);
}

TEST_CASE("lamp chart: what is not given is left out") {
    SheetOptions options = make_options();
    const double whole = draw({make_round("a", 900, 36)}, options).height;
    options.setbacks.clear();
    const DrawnPage no_wall = draw({make_round("a", 900, 36)}, options);
    CHECK(no_wall.height < whole - 300);
    CHECK(test::count_words(no_wall, "In front of a wall") == 0);
    options.distances.clear();
    const DrawnPage bare = draw({make_round("a", 900, 36), make_ring("b")}, options);
    CHECK(test::count_words(bare, "The beam") == 0);
    CHECK(test::count_words(bare, "Lumens by zone") == 1);
    options = make_options();
    options.levels.clear();
    CHECK(test::count_words(draw({make_round("a", 900, 36)}, options), "12 in back") == 1);
    options.levels = {1e6};
    CHECK(test::count_words(draw({make_round("a", 900, 36)}, options), "not reached") >= 4);
}

TEST_CASE("lamp chart: refusals") {
    const SheetOptions options = make_options();
    CHECK(first_error({}, options, options) == "error: no lamp to draw; name one at least");
    const LampDescription lamp = make_round("a", 900, 36);
    CHECK(first_error({lamp, lamp, lamp, lamp, lamp, lamp, lamp}, options, options) ==
          "error: 7 lamps do not fit on one chart; compare 6 at most");
    CHECK(first_error({lamp}, make_options(LengthUnit::metre), options) ==
          "error: the sheet of lamp a has other distances, setbacks or levels; make it with the chart's "
          "options");
}

TEST_CASE("lamp chart: edges of a curve by straight lines between its points") {
    const PlaneCurve curve{{-2, -1, 0, 1, 2}, {0, 40, 100, 40, 0}};
    const auto half = find_edges(curve, 50);
    REQUIRE(half);
    CHECK(half->first == doctest::Approx(-5.0 / 6));
    CHECK(half->second == doctest::Approx(5.0 / 6));
    CHECK(find_edges(curve, 20)->second == doctest::Approx(1.5));
    CHECK_FALSE(find_edges(curve, 101));
    CHECK_FALSE(find_edges(curve, 0));
}

TEST_CASE("lamp chart: round steps go into what they measure") {
    CHECK(find_round_step(8730, 5) == doctest::Approx(2000));
    CHECK(find_round_step(935, 5) == doctest::Approx(200));
    CHECK(find_round_step(1000, 4) == doctest::Approx(250));
    CHECK(find_round_step(5, 5) == doctest::Approx(1));
    CHECK(find_round_step(0, 5) == 1);
    for (double greatest = 0.013; greatest < 1e5; greatest *= 1.37) {
        const double step = find_round_step(greatest, 5);
        CHECK(greatest / step <= 5 + 1e-9);
        CHECK(greatest / step > 5 / 2.5 - 1e-9);
    }
}

TEST_CASE("lamp chart: angles, amounts and lengths as people say them") {
    CHECK(print_spread({rad(36), rad(36), rad(36)}) == "36\u00b0");
    CHECK(print_spread({rad(110), rad(60), rad(80)}) == "110\u00b0 \u00d7 60\u00b0");
    CHECK(print_spread({2 * pi, 2 * pi, 2 * pi}) == "all round");
    CHECK(print_amount(0) == "0");
    CHECK(print_amount(0.0004) == "<0.1");
    CHECK(print_amount(1234) == "1,230");
    CHECK(print_about(12.21 * metres_per_foot, LengthUnit::foot) == "12 ft 3 in"); // 2.52 in
    CHECK(print_about(7.5 * metres_per_inch, LengthUnit::foot) == "7 1/2 in");
    CHECK(print_about(4.123, LengthUnit::metre) == "4.12 m");
}

TEST_CASE("lamp chart: long names are broken, then cut") {
    const TextStyle style{.size = 14};
    const std::string name = "one two three four five";
    const double width = measure_text("one two three", style).x + 1;
    CHECK(break_words(name, style, width, 3) == "one two three\nfour five");
    CHECK(break_words("short", style, width, 1) == "short");
    const std::string cut = break_words(name, style, width, 1);
    CHECK(cut.ends_with("\u2026"));
    CHECK(measure_text(cut, style).x <= width);
    // Never within a letter of several bytes.
    const std::string accents = break_words("\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9\u00e9", style, 40, 1);
    CHECK((accents.size() - 3) % 2 == 0);
}

TEST_CASE("lamp chart: a table too wide goes on below, its first column again") {
    ChartTable::Column column{"heading of a column", {"a", "b"}};
    const ChartTable one({column, column}, {}, 1000), two({column, column, column, column, column}, {}, 500);
    CHECK(one.width() <= 1000);
    CHECK(two.width() <= 500);
    CHECK(two.height() > 1.9 * one.height());
    Canvas chart(600, 400, PictureFormat::svg);
    two.draw(chart, {10, 10});
    const auto headings =
        std::count_if(chart.words().begin(), chart.words().end(),
                      [](const Canvas::Words& words) { return words.text == "heading of a column"; });
    CHECK(headings >= 6);
}
