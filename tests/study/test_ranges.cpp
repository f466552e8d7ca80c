// Ranges, parts and free settings as they are written on the command line, good and bad.

#include <doctest/doctest.h>

#include "duskcast/study/design_search.hpp"
#include "duskcast/study/sweep.hpp"
#include "study_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE("a part holds its share, and all of them everything") {
    for (const std::size_t count : {1, 7, 100, 1001})
        for (const std::size_t of : {1, 2, 4, 13}) {
            std::size_t next = 0;
            for (std::size_t number = 1; number <= of; ++number) {
                const Part part{number, of};
                CHECK(part.first(count) == next);
                next = part.last(count);
            }
            CHECK(next == count);
        }
    CHECK(read_part("2/4").number == 2);
    for (const char* text : {"0/4", "5/4", "2", "2/", "/4", "a/b", "2/4x"})
        CHECK(problems_of([&] { read_part(text); }) ==
              std::string("error: \"") + text + "\" is no part; write K/N, such as 2/4, K from 1 to N");
}

TEST_CASE("ranges read as they are written, and say what is wrong") {
    const Site site = make_garden();
    const Range tilts = read_range("tilt=0..30:2.5", site);
    CHECK(tilts.values.size() == 13);
    CHECK(tilts.values.back().value == doctest::Approx(30 * pi / 180));
    CHECK(read_range("setback=6in..30in:2in", site).values[1].value == doctest::Approx(8 * 0.0254));
    CHECK(read_range("lamp=a,b", site).values[1].lamp == "b");
    const auto message = [&](const char* text) { return problems_of([&] { read_range(text, site); }); };
    CHECK(message("tilt=30..0:1") ==
          "error: the range of tilt is reversed: it goes from 30° down to 0°; give the "
          "smaller end first");
    CHECK(message("tilt=0..30:0") == "error: the step of tilt is 0°; give one above 0");
    CHECK(message("tilt=0..30") ==
          "error: the range \"tilt=0..30\" has no step; write it as KEY=FROM..TO:STEP, such "
          "as tilt=0..30:1, or as a list, such as lamp=led-4w-24,led-5w-24");
    CHECK(message("tillt=0..30:1") == "error: there is no setting \"tillt\"; did you mean \"tilt\"?");
    CHECK(message("tilt=0..90:0.0001") ==
          "error: the range of tilt has 900,000 steps, more than 100,000; give a "
          "larger step or a shorter range");
    const std::string form = "; write it as KEY=FROM..TO:STEP, such as tilt=0..30:1, or as a list, such as "
                             "lamp=led-4w-24,led-5w-24";
    CHECK(message("tilt=0...30:1") == "error: \"tilt=0...30:1\" has too many dots" + form);
    CHECK(message("tilt=0..30..40:1") == "error: \"tilt=0..30..40:1\" has too many dots" + form);
    CHECK(message("tilt=0-20") == "error: \"tilt=0-20\" has a hyphen where two dots are wanted" + form);
    CHECK(message("tilt=0..:1") == "error: \"tilt=0..:1\" lacks an end" + form);
    CHECK(message("tilt= ") == "error: \"tilt= \" is no range" + form);
    CHECK(read_range("turn=-5..5:5", site).values.front().value == doctest::Approx(-5 * pi / 180));
    CHECK(read_range("turn=-5,-10", site).values[1].value == doctest::Approx(-10 * pi / 180));
    CHECK(problems_of([&] { read_free_knob("tilt=0..30:1", site); }) ==
          "error: \"tilt=0..30:1\" is no range to search: it has a step; write it as KEY=FROM..TO, such as "
          "tilt=0..30");
    CHECK(message("tilt=4,4") == "error: 4° is given twice for tilt; name each value once");
    SweepPlan plan{.fixtures = {"U1"}};
    plan.ranges = {read_range("tilt=0..45:0.1", site), read_range("turn=0..45:0.1", site)};
    CHECK(
        problems_of([&] { check_plan(plan, site, "."); }) ==
        "error: these ranges make 203,000 variants, more than 100,000; give larger steps or shorter ranges");
    plan.ranges = {read_range("setback=-1..1:1", site)};
    CHECK(problems_of([&] { check_plan(plan, site, "."); }).starts_with("error: at setback -"));
}

TEST_CASE("every setting is read in its own unit") {
    Site site = make_garden();
    const auto first_and_last = [&](const char* text) {
        const Range range = read_range(text, site);
        return std::pair(range.values.front().value, range.values.back().value);
    };
    // An inch is 0.0254 m, a degree pi / 180; bare lengths are in the site's unit, here metres.
    CHECK(first_and_last("setback=0.3..0.9:0.3").second == doctest::Approx(0.9));
    CHECK(first_and_last("setback=12in..24in:6in").first == doctest::Approx(0.3048));
    CHECK(first_and_last("along=1..3:1").second == doctest::Approx(3));
    CHECK(first_and_last("lens_height=4in..8in:2in").second == doctest::Approx(8 * 0.0254));
    CHECK(first_and_last("turn=-10..10:5").first == doctest::Approx(-10 * pi / 180));
    CHECK(first_and_last("beam=12..36:12").second == doctest::Approx(36 * pi / 180));
    CHECK(first_and_last("dimming=0.2..1:0.4").second == doctest::Approx(1));
    site.units = LengthUnit::foot;
    CHECK(first_and_last("along=1..3:1").second == doctest::Approx(3 * 0.3048));
    const Range listed = read_range("tilt=8,2,30", site);
    REQUIRE(listed.values.size() == 3);
    CHECK(listed.values[1].value == doctest::Approx(2 * pi / 180));
}

TEST_CASE("both ends of a range are in it, and steps do not drift") {
    const Site site = make_garden();
    for (const double step : {0.1, 0.3, 0.7, 1.0, 2.5}) {
        const Range range = read_range("tilt=0..21:" + std::to_string(step), site);
        CAPTURE(step);
        CHECK(range.values.size() == static_cast<std::size_t>(std::floor(21 / step + 1e-9)) + 1);
        for (std::size_t i = 0; i < range.values.size(); ++i)
            CHECK(range.values[i].value == doctest::Approx(static_cast<double>(i) * step * pi / 180));
    }
    CHECK(read_range("tilt=5..5:1", site).values.size() == 1);
}

TEST_CASE("ranges at fault") {
    const Site site = make_garden();
    const auto message = [&](const char* text) { return problems_of([&] { read_range(text, site); }); };
    const std::string form = "; write it as KEY=FROM..TO:STEP, such as tilt=0..30:1, or as a list, such as "
                             "lamp=led-4w-24,led-5w-24";
    CHECK(message("") == "error: \"\" is no range" + form);
    CHECK(message("tilt") == "error: \"tilt\" is no range" + form);
    CHECK(message("tilt=") == "error: \"tilt=\" is no range" + form);
    CHECK(message("lamp=a..b:1") == "error: lamps make no range" + form);
    CHECK(message("tilt=0..30:-1") == "error: the step of tilt is -1°; give one above 0");
    CHECK(message("lamp=a,a").starts_with("error: a is given twice for lamp"));
    for (const char* text : {"tilt=a..b:1", "tilt=0..30:x", "tilt=1,,2", "tilt=0..30:1:2", "tilt=..30:1",
                             "tilt=0..:1", "setback=1in..2mi:1in", "tilt=nan..1:1", "tilt=0..inf:1"})
        CHECK_MESSAGE(!message(text).empty(), text);
}

TEST_CASE("plans at fault") {
    const Site site = make_garden();
    const auto message = [&](const SweepPlan& plan) {
        return problems_of([&] { check_plan(plan, site, "."); });
    };
    const Range tilt = read_range("tilt=0..10:5", site), turn = read_range("turn=0..10:5", site);
    CHECK(message({.fixtures = {"U1"}}) ==
          "error: nothing is free to change; give a range with --vary, such as --vary tilt=0..30:1");
    CHECK(message({.fixtures = {"U1"}, .ranges = {tilt, turn, read_range("dimming=1,0.5", site)}}) ==
          "error: more than two settings are varied at once; vary one or two; duskcast suggest searches over "
          "more");
    CHECK(message({.fixtures = {"U1"}, .ranges = {tilt, tilt}}) ==
          "error: tilt is varied twice; give one range of it");
    CHECK(message({.fixtures = {"U9"}, .ranges = {tilt}}).starts_with("error: there is no fixture \"U9\""));
    CHECK(message({.fixtures = {"U1"}, .ranges = {read_range("tilt=0..200:50", site)}}) ==
          "error: at tilt 200°, fixtures[0].tilt (U1): 200° is out of range; it must be 0° to 180°");
    CHECK(message({.fixtures = {"U1"}, .ranges = {tilt, turn}}).empty());
    Site empty = site;
    empty.fixtures.clear();
    CHECK(problems_of([&] { check_plan({.ranges = {tilt}}, empty, "."); }) ==
          "error: the site has no fixtures; place some first");
}

TEST_CASE("the second range varies fastest") {
    const Site site = make_garden();
    SweepPlan plan{.fixtures = {"U1"}};
    plan.ranges = {read_range("tilt=0..10:5", site), read_range("lamp=a,b", site)};
    REQUIRE(plan.size() == 6);
    std::vector<std::pair<double, std::string>> found;
    for (std::size_t i = 0; i < plan.size(); ++i) {
        const std::vector<Setting> settings = plan.settings_of(i);
        found.emplace_back(std::round(degrees_from_radians(settings[0].value)), settings[1].lamp);
        const Site swept = make_swept(site, plan, i, ".");
        CHECK(swept.fixtures[0].tilt == settings[0].value);
        CHECK(swept.fixtures[0].lamp == settings[1].lamp);
        CHECK(swept.fixtures[1] == site.fixtures[1]); // not asked for
        CHECK(swept.variants.empty());
    }
    CHECK(found == std::vector<std::pair<double, std::string>>{
                       {0, "a"}, {0, "b"}, {5, "a"}, {5, "b"}, {10, "a"}, {10, "b"}});
    CHECK(print_settings(site, plan.settings_of(3)) == "tilt 5°, lamp b");
    CHECK(SweepPlan{}.size() == 0);
}

TEST_CASE("settings that a search may change") {
    const Site site = make_garden();
    const FreeKnob setback = read_free_knob("setback=12in..24in", site);
    CHECK(setback.knob == Knob::setback);
    CHECK(setback.low == doctest::Approx(0.3048));
    CHECK(setback.high == doctest::Approx(0.6096));
    CHECK(read_free_knob("turn=-20..20", site).low == doctest::Approx(-20 * pi / 180));
    CHECK(read_free_knob("dimming=0.2..1", site).high == 1);
    const auto message = [&](const char* text) { return problems_of([&] { read_free_knob(text, site); }); };
    for (const char* text : {"", "=", "tilt=30", "..", "tilt..=3"})
        CHECK(message(text) == std::string("error: \"") + text +
                                   "\" is no range; write it as KEY=FROM..TO, such as tilt=0..30");
    CHECK(message("along=1..2") ==
          "error: along cannot be searched over; free are tilt, turn, setback, spacing, "
          "beam, bearing, lens_height and dimming");
    CHECK(message("azimuth=0..90").starts_with("error: azimuth cannot be searched over"));
    CHECK(message("tillt=0..3") == "error: there is no setting \"tillt\"; did you mean \"tilt\"?");
    for (const char* text : {"tilt=a..3", "tilt=0..b", "tilt=..", "setback=1..2mi"})
        CHECK_MESSAGE(!message(text).empty(), text);
}
