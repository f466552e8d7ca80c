// The sites that a search tries, and the trade's rules for them, piece by piece.

#include "../../src/study/design_maker.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "study_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

const std::filesystem::path here = ".";
constexpr double foot = 0.3048, inch = 0.0254, degree = pi / 180;

std::vector<double> places_of(const Site& site) {
    std::vector<double> along;
    for (const Fixture& fixture : site.fixtures)
        along.push_back(fixture.along);
    return along;
}

/// An uplight at each of the bearings (degrees) of a tree as wide and high as given.
Site make_ring(double width, double height, const std::vector<double>& bearings_deg) {
    Site site = make_tree_site();
    site.trees[0].width = width;
    site.trees[0].height = height;
    site.lamps.push_back(
        {.id = "beam", .figures = {.centre_candela = candela, .beam_angle = radians_from_degrees(beam_deg)}});
    for (const double bearing : bearings_deg)
        site.fixtures.push_back({.id = "T" + std::to_string(site.fixtures.size() + 1),
                                 .lamp = "beam",
                                 .tree = "oak",
                                 .bearing = bearing * degree,
                                 .setback = 0.5});
    return site;
}

Lamp make_lamp(const std::string& id, double lumens) {
    return {.id = id, .figures = {.lumens = lumens, .beam_angle = radians_from_degrees(beam_deg)}};
}

/// The rule of a name, or none.
std::optional<DesignMaker::Rule> find_rule(const DesignMaker& maker, const std::string& name) {
    for (const DesignMaker::Rule& rule : maker.rules())
        if (rule.name == name)
            return rule;
    return std::nullopt;
}

} // namespace

TEST_CASE("a row of another number keeps its ends, one of another spacing its middle") {
    const Site site = make_wall(12, 4, 0.5, {9, 3, 5}, 0.4); // not in the order in which they stand
    const Freedom counted{.fixtures = {"U1", "U2", "U3"}, .least = 1, .most = 7};
    const DesignMaker maker(site, here, counted);
    CHECK(maker.least() == 1);
    CHECK(maker.most() == 7);
    CHECK(places_of(maker.make(3, "beam", {})) == std::vector<double>{9, 3, 5}); // as drawn
    CHECK(places_of(maker.make(2, "beam", {})) == std::vector<double>{3, 9});
    for (const std::size_t count : {4, 5, 7}) {
        const std::vector<double> row = places_of(maker.make(count, "beam", {}));
        REQUIRE(row.size() == count);
        for (std::size_t i = 0; i < count; ++i)
            CHECK(row[i] ==
                  doctest::Approx(3 + 6 * static_cast<double>(i) / (static_cast<double>(count) - 1)));
    }
    const Freedom spaced{
        .fixtures = {"U1", "U2", "U3"}, .knobs = {{Knob::spacing, 0.5, 2.5}}, .least = 1, .most = 4};
    const DesignMaker spacer(site, here, spaced);
    for (const std::size_t count : {1, 2, 3, 4}) {
        const std::vector<double> row = places_of(spacer.make(count, "beam", {1.5}));
        CHECK((row.front() + row.back()) / 2 == doctest::Approx(6));
        for (std::size_t i = 1; i < count; ++i)
            CHECK(row[i] - row[i - 1] == doctest::Approx(1.5));
    }
}

TEST_CASE("new fixtures are like the last one named, under ids that nobody has") {
    Site site = make_wall(12, 4, 0.5, {3, 6, 9}, 0.4);
    site.fixtures[1].setback = 0.7;
    site.fixtures[2].id = "U2-3"; // not searched over
    const Freedom freedom{.fixtures = {"U1", "U2"}, .least = 2, .most = 4};
    const DesignMaker maker(site, here, freedom);
    const Site made = maker.make(4, "beam", {});
    REQUIRE(made.fixtures.size() == 5);
    CHECK(made.fixtures[2] == site.fixtures[2]);
    CHECK(made.fixtures[3].id == "U2-4"); // U2-3 is taken
    CHECK(made.fixtures[4].id == "U2-5");
    CHECK(made.fixtures[3].setback == 0.7);
    CHECK(maker.free_in(made) == std::vector<std::size_t>{0, 1, 3, 4});
    const Site fewer =
        DesignMaker(site, here, {.fixtures = {"U1", "U2"}, .least = 1, .most = 2}).make(1, "beam", {});
    REQUIRE(fewer.fixtures.size() == 2);
    CHECK(fewer.fixtures[0].id == "U1");
    CHECK(fewer.fixtures[1] == site.fixtures[2]);
}

TEST_CASE("a network is kept where the same fixtures stand, and nothing is said of it elsewhere") {
    Site site = make_wall(12, 4, 0.5, {3, 6}, 0.4);
    site.network = Network{};
    site.variants.push_back({.id = "other"});
    const Freedom freedom{.fixtures = {"U1", "U2"}, .knobs = {{Knob::tilt, 0, 0.5}}, .least = 1, .most = 3};
    const DesignMaker maker(site, here, freedom);
    CHECK(maker.make(2, "beam", {0.1}).network.has_value());
    CHECK(!maker.make(1, "beam", {0.1}).network);
    CHECK(!maker.make(3, "beam", {0.1}).network);
    CHECK(maker.make(2, "beam", {0.1}).variants.empty());
}

TEST_CASE("fixtures round a tree are turned together, or spread evenly when there are others") {
    const Site site = make_ring(4, 6, {20, 100});
    const Freedom freedom{.fixtures = {"T1", "T2"},
                          .knobs = {{Knob::bearing, 0, 2 * pi}, {Knob::setback, 0.3, 2.0}},
                          .least = 2,
                          .most = 4};
    const DesignMaker maker(site, here, freedom);
    const Site turned = maker.make(2, "beam", {50 * degree, 1.2}); // the first to 50, so both by 30
    CHECK(turned.fixtures[0].bearing == doctest::Approx(50 * degree));
    CHECK(turned.fixtures[1].bearing == doctest::Approx(130 * degree));
    CHECK(turned.fixtures[1].setback == 1.2);
    const Site spread = maker.make(4, "beam", {50 * degree, 1.2});
    for (std::size_t i = 0; i < 4; ++i)
        CHECK(spread.fixtures[i].bearing ==
              doctest::Approx(std::fmod(50 + 90 * static_cast<double>(i), 360) * degree));
}

TEST_CASE("a coarse grid goes from one end of its range to the other in equal steps") {
    std::size_t fewest = 100;
    for (const Knob knob : {Knob::tilt, Knob::setback, Knob::bearing, Knob::dimming}) {
        const std::vector<double> grid = DesignMaker::grid_of({knob, 0.2, 1.4});
        CHECK(grid.front() == 0.2);
        CHECK(grid.back() == doctest::Approx(1.4));
        for (std::size_t i = 1; i < grid.size(); ++i)
            CHECK(grid[i] - grid[i - 1] == doctest::Approx(1.2 / (static_cast<double>(grid.size()) - 1)));
        fewest = std::min(fewest, grid.size());
    }
    CHECK(fewest >= 4);
    CHECK(DesignMaker::grid_of({Knob::tilt, 0, 1}).size() >
          DesignMaker::grid_of({Knob::setback, 0, 1}).size());
}

TEST_CASE("of spiked fixtures the share that a mower or paving is in the way of is counted") {
    Site site = make_wall(12, 4, 0.5, {2, 5, 8, 11}, 0.4); // at y = -0.4
    Freedom freedom{.fixtures = {"U1", "U2", "U3", "U4"}, .knobs = {{Knob::tilt, 0, 0.5}}};
    CHECK(DesignMaker(site, here, freedom).measure_off_beds(site) == 0); // nowhere is there a bed
    const auto add = [&](GroundKind kind, double from, double to) {
        site.ground.areas.push_back({.id = "area" + std::to_string(site.ground.areas.size()),
                                     .kind = kind,
                                     .outline = {{from, -1}, {to, -1}, {to, 0}, {from, 0}}});
    };
    const auto off = [&] { return DesignMaker(site, here, freedom).measure_off_beds(site); };
    add(GroundKind::paving, 0, 3);
    CHECK(off() == 0.25); // still no bed, but no spike can be driven into paving
    add(GroundKind::bed, 0, 6);
    CHECK(off() == 0.5); // the bed lies on the paving: U3 and U4 stand in the lawn
    add(GroundKind::mulch, 10, 12);
    CHECK(off() == 0.25);
    add(GroundKind::water, 1, 3);
    CHECK(off() == 0.5); // on the bed
    site.fixtures[0].mount = Mount::wall;
    CHECK(off() == doctest::Approx(1.0 / 3));
    freedom.may_stand_in_lawn = true;
    CHECK(off() == 0);
    add(GroundKind::paving, 4, 6);
    CHECK(DesignMaker(site, here, freedom).list_off_beds(site) == std::vector<std::string>{"U2"});
    freedom.may_stand_in_lawn = false;
    for (Fixture& fixture : site.fixtures)
        fixture.mount = Mount::surface;
    CHECK(off() == 0);
}

TEST_CASE("setback and tilt are led to the nearest value that the trade's rule allows") {
    // Common practice, no source: 12 to 18 in back from a wall, no more than 10 degrees off upright.
    const Site site = make_wall(6, 4, 0.5, {3}, 0.4);
    const Freedom freedom{.fixtures = {"U1"},
                          .knobs = {{Knob::tilt, 2 * degree, 40 * degree}, {Knob::setback, 0.1, 2.0}}};
    const DesignMaker maker(site, here, freedom);
    const std::optional<DesignMaker::Rule> setback = find_rule(maker, "setback"),
                                           upright = find_rule(maker, "upright");
    REQUIRE(setback);
    REQUIRE(upright);
    const auto is_kept = [](const DesignMaker::Rule& rule, double tilt, double back) {
        return rule.is_kept(1, "beam", {tilt, back});
    };
    for (const double back : {12 * inch, 15 * inch, 18 * inch})
        CHECK(is_kept(*setback, 1, back));
    CHECK(!is_kept(*setback, 1, 11.9 * inch));
    CHECK(!is_kept(*setback, 1, 18.1 * inch));
    CHECK(is_kept(*upright, 10 * degree, 2));
    CHECK(!is_kept(*upright, 10.1 * degree, 2));
    const auto lead = [](const DesignMaker::Rule& rule, std::vector<double> values) {
        std::size_t count = 1;
        std::string lamp = "beam";
        rule.lead(count, lamp, values);
        CHECK(count == 1);
        CHECK(lamp == "beam");
        return values;
    };
    CHECK(lead(*setback, {1, 0.2}) == std::vector<double>{1, 12 * inch});
    CHECK(lead(*setback, {1, 0.4}) == std::vector<double>{1, 0.4});
    CHECK(lead(*setback, {1, 1.4}) == std::vector<double>{1, 18 * inch});
    CHECK(lead(*upright, {1, 1.4})[0] == doctest::Approx(10 * degree));
    CHECK(lead(*upright, {1, 1.4})[1] == 1.4);
    // Where the range ends before the rule begins, as far as the range goes.
    const Freedom far{.fixtures = {"U1"}, .knobs = {{Knob::setback, 1.0, 2.0}}};
    CHECK(lead(*find_rule(DesignMaker(site, here, far), "setback"), {1.5}) == std::vector<double>{1.0});
    CHECK(!find_rule(DesignMaker(site, here, far), "upright"));
}

TEST_CASE("the brighter lamp is the rule over 20 ft, gables included") {
    // Common practice, no source.
    Site site = make_wall(6, 19.5 * foot, 1, {3}, 0.4);
    site.lamps = {make_lamp("beam", 300), make_lamp("bright", 800), make_lamp("as-bright", 770),
                  make_lamp("less", 750)};
    const Freedom freedom{.fixtures = {"U1"}, .lamps = {"beam", "bright", "as-bright", "less"}};
    CHECK(!find_rule(DesignMaker(site, here, freedom), "brighter"));
    site.walls[0].gables.push_back({.id = "peak", .from = 1, .width = 4, .peak = 20.5 * foot});
    CHECK(find_rule(DesignMaker(site, here, freedom), "brighter"));
    site.walls[0].gables.clear();
    site.walls[0].height = 20.5 * foot;
    const DesignMaker maker(site, here, freedom);
    const std::optional<DesignMaker::Rule> rule = find_rule(maker, "brighter");
    REQUIRE(rule);
    CHECK(rule->is_kept(1, "bright", {}));
    CHECK(rule->is_kept(1, "as-bright", {})); // nobody sees 4 % less
    CHECK(!rule->is_kept(1, "less", {}));
    CHECK(!rule->is_kept(1, "beam", {}));
    const auto led = [&](std::string lamp) {
        std::size_t count = 1;
        std::vector<double> values;
        rule->lead(count, lamp, values);
        return lamp;
    };
    CHECK(led("beam") == "bright");
    CHECK(led("as-bright") == "as-bright");
    const Freedom one_lamp{.fixtures = {"U1"}, .knobs = {{Knob::tilt, 0, 1}}, .lamps = {"beam"}};
    CHECK(!find_rule(DesignMaker(site, here, one_lamp), "brighter")); // there is no choice
    const Freedom without{.fixtures = {"U1"}, .lamps = {"beam", "bright"}, .rules = {"setback"}};
    CHECK(!find_rule(DesignMaker(site, here, without), "brighter"));
}

TEST_CASE("a tree over 20 ft wide is lit from two sides where there may be two") {
    // Common practice, no source.
    const Freedom freedom{.fixtures = {"T1"}, .knobs = {{Knob::tilt, 0, 0.5}}, .least = 1, .most = 3};
    const Site narrow = make_ring(19 * foot, 9, {180}), wide = make_ring(21 * foot, 9, {180});
    CHECK(!find_rule(DesignMaker(narrow, here, freedom), "two-sides"));
    const DesignMaker maker(wide, here, freedom);
    const std::optional<DesignMaker::Rule> rule = find_rule(maker, "two-sides");
    REQUIRE(rule);
    CHECK(!rule->is_kept(1, "beam", {0}));
    CHECK(rule->is_kept(2, "beam", {0}));
    CHECK(rule->is_kept(3, "beam", {0}));
    for (const auto& [from, to] : {std::pair{1, 2}, std::pair{2, 2}, std::pair{3, 3}}) {
        std::size_t count = static_cast<std::size_t>(from);
        std::string lamp = "beam";
        std::vector<double> values{0};
        rule->lead(count, lamp, values);
        CHECK(count == static_cast<std::size_t>(to));
    }
    CHECK(!find_rule(maker, "upright")); // that one is of walls
    const Freedom fixed{.fixtures = {"T1"}, .knobs = {{Knob::tilt, 0, 0.5}}};
    CHECK(!find_rule(DesignMaker(wide, here, fixed), "two-sides"));
}

TEST_CASE("designs that cannot be built are refused before the search") {
    const Site site = make_wall(6, 4, 0.5, {1, 5}, 0.4);
    const auto message = [&](const Site& of, const Freedom& freedom) {
        return problems_of([&] { DesignMaker(of, here, freedom); });
    };
    const FreeKnob tilt{Knob::tilt, 0, 0.5};
    CHECK(message(site, {.fixtures = {"U1", "U2"}, .knobs = {tilt}, .least = 4, .most = 3}) ==
          "--count: error: the number of fixtures is reversed: from 4 to 3; give the smaller one first");
    CHECK(message(site, {.fixtures = {"U1", "U2"}, .lamps = {"beam", "zzzzzzzz"}}) ==
          "error: there is no lamp \"zzzzzzzz\"; known are beam");
    // 2 fixtures 8 m apart on a wall of 6 m
    CHECK(
        message(site, {.fixtures = {"U1", "U2"}, .knobs = {{Knob::spacing, 1, 8}}})
            .starts_with("error: with 2 fixtures at the upper ends of the ranges, fixtures[0].along (U1): "));
    CHECK(message(site, {.fixtures = {"U1", "U2"}, .knobs = {{Knob::setback, -1, 1}}})
              .starts_with(
                  "error: with 2 fixtures at the lower ends of the ranges, fixtures[0].setback (U1): "));
    Site empty = site;
    empty.fixtures.clear();
    CHECK(message(empty, {.knobs = {tilt}}) == "error: the site has no fixtures; place some first");
}
