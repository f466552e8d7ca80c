// Sweeps against single runs, and what is made of their figures against brute force.

#include <doctest/doctest.h>
#include <random>

#include "duskcast/study/compare.hpp"
#include "duskcast/study/sweep.hpp"
#include "study_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

void check_same(const Figures& a, const Figures& b) {
    CHECK(a.targets == b.targets);
    CHECK(a.reaches == b.reaches);
    CHECK(a.watts == b.watts);
    CHECK(a.price == b.price);
    CHECK(a.spill.emitted_lm == b.spill.emitted_lm);
    CHECK(a.spill.target_lm == b.spill.target_lm);
    CHECK(a.spill.other_lm == b.spill.other_lm);
    CHECK(a.spill.ground_lm == b.spill.ground_lm);
    CHECK(a.spill.sky_lm == b.spill.sky_lm);
}

/// A sweep of `outer` by `inner` variants (inner 1: of one range) whose coverage is given.
Sweep make_sweep(std::size_t outer, std::size_t inner, const std::vector<double>& coverage) {
    Sweep sweep;
    sweep.plan.focus = {"all", {}};
    sweep.plan.ranges.resize(inner > 1 ? 2 : 1);
    for (std::size_t i = 0; i < outer; ++i)
        sweep.plan.ranges[0].values.push_back({Knob::tilt, static_cast<double>(i), ""});
    for (std::size_t i = 0; i < inner && inner > 1; ++i)
        sweep.plan.ranges[1].values.push_back({Knob::turn, static_cast<double>(i), ""});
    if (inner > 1)
        sweep.plan.ranges[1].knob = Knob::turn;
    for (const double share : coverage)
        sweep.figures.push_back({.targets = {{.id = "all", .on = "wall", .share = share}}});
    return sweep;
}

} // namespace

TEST_CASE("a sweep has the figures of single runs to the last bit") {
    const Site site = make_garden();
    SweepPlan plan{.fixtures = {"U1", "U2"}};
    plan.ranges = {read_range("tilt=4,16", site), read_range("setback=0.3..0.6:0.3", site)};
    plan.focus = {"gable", {"U1"}};
    Workbench bench(".", {.is_direct_only = true});
    const Sweep sweep = run_sweep(site, bench, ".", plan);
    REQUIRE(sweep.figures.size() == 4);
    check_same(sweep.as_drawn, run_singly(site, true));
    for (std::size_t i = 0; i < 4; ++i) {
        CAPTURE(i);
        check_same(sweep.figures[i], run_singly(make_swept(site, plan, i, "."), true));
    }
}

TEST_CASE("parts have the figures of the whole") {
    const Site site = make_garden();
    SweepPlan plan{.fixtures = {"T1"}};
    plan.ranges = {read_range("tilt=0..30:5", site)};
    plan.focus = {"crown", {"T1"}};
    Workbench bench(".", {.is_direct_only = true});
    const Sweep whole = run_sweep(site, bench, ".", plan);
    for (std::size_t number = 1; number <= 3; ++number) {
        Workbench own(".", {.is_direct_only = true});
        const Sweep part = run_sweep(site, own, ".", plan, {number, 3});
        CHECK(part.first == (number - 1) * 7 / 3);
        REQUIRE(part.first + part.figures.size() == number * 7 / 3);
        for (std::size_t i = 0; i < part.figures.size(); ++i)
            check_same(part.figures[i], whole.figures[part.first + i]);
    }
}

TEST_CASE("the best and how flat it is, by brute force") {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> draw(0.5, 0.52); // so that some lie within 2 % of each other
    for (int trial = 0; trial < 200; ++trial) {
        const std::size_t outer = 2 + random() % 9, inner = 1 + random() % 4;
        std::vector<double> coverage;
        for (std::size_t i = 0; i < outer * inner; ++i)
            coverage.push_back(draw(random));
        const std::optional<Best> best = find_best(make_sweep(outer, inner, coverage), Quantity::coverage);
        REQUIRE(best);
        const double most = *std::max_element(coverage.begin(), coverage.end());
        CHECK(best->value == most);
        CHECK(coverage[best->variant] == most);
        // The longest stretch of the first range round it, the second range's value kept.
        const std::size_t at = best->variant / inner, column = best->variant % inner;
        const auto is_near = [&](std::size_t row) { return coverage[row * inner + column] >= 0.98 * most; };
        for (std::size_t row = best->flat_from; row <= best->flat_to; ++row)
            CHECK(is_near(row));
        CHECK(best->flat_from <= at);
        CHECK(at <= best->flat_to);
        CHECK((best->flat_from == 0 || !is_near(best->flat_from - 1)));
        CHECK((best->flat_to + 1 == outer || !is_near(best->flat_to + 1)));
    }
}

TEST_CASE("of figures where less is better the least is the best, and of equal ones none") {
    Sweep sweep = make_sweep(3, 1, {0.1, 0.1, 0.1});
    CHECK(!find_best(sweep, Quantity::coverage));
    CHECK(!find_best(sweep, Quantity::uniformity)); // nothing is lit
    CHECK(!find_best(sweep, Quantity::reach));
    for (std::size_t i = 0; i < 3; ++i)
        sweep.figures[i].targets[0].mean_to_min = 3.0 - static_cast<double>(i);
    REQUIRE(find_best(sweep, Quantity::uniformity));
    CHECK(find_best(sweep, Quantity::uniformity)->variant == 2);
    sweep.figures[2].targets[0].mean_to_min.reset();
    CHECK(find_best(sweep, Quantity::uniformity)->variant == 1);
}

TEST_CASE("what the best reach costs is told against the end that is further off") {
    Sweep sweep = make_sweep(5, 1, {0.5, 0.4, 0.35, 0.3, 0.2});
    const auto set_reach = [&](std::vector<double> heights) {
        for (std::size_t i = 0; i < heights.size(); ++i)
            sweep.figures[i].reaches = {{.fixture = "U1", .on = "wall", .height = heights[i]}};
    };
    set_reach({2, 3, 4, 5, 4.5});
    std::optional<ReachTrade> trade = find_reach_trade(sweep); // best at 3: 0 is further off than 4
    REQUIRE(trade);
    CHECK(trade->from == 0);
    CHECK(trade->to == 3);
    CHECK(trade->reach == doctest::Approx(3));
    CHECK(*trade->coverage == doctest::Approx(-0.2));
    set_reach({4, 5, 3, 2, 1});
    trade = find_reach_trade(sweep);
    REQUIRE(trade);
    CHECK(trade->from == 4);
    CHECK(trade->reach == doctest::Approx(4));
    CHECK(*trade->coverage == doctest::Approx(0.2));
    set_reach({4, 4, 4, 4, 4});
    CHECK(!find_reach_trade(sweep));
    set_reach({4, 5, 3, 2, 1});
    sweep.plan.ranges[0].knob = Knob::lamp;
    CHECK(!find_reach_trade(sweep));
}

TEST_CASE("a beam that is varied is that of the lamp chosen, whichever range comes first") {
    const Site site = make_garden();
    for (const bool is_lamp_first : {true, false}) {
        SweepPlan plan{.fixtures = {"U1"}};
        plan.ranges = {read_range("lamp=a,b", site), read_range("beam=20,30", site)};
        if (!is_lamp_first)
            std::swap(plan.ranges[0], plan.ranges[1]);
        for (std::size_t i = 0; i < plan.size(); ++i) {
            const std::vector<Setting> settings = plan.settings_of(i);
            const Setting& lamp = settings[is_lamp_first ? 0 : 1];
            const Setting& beam = settings[is_lamp_first ? 1 : 0];
            const Site swept = make_swept(site, plan, i, ".");
            const Lamp* made = find_lamp(swept, swept.fixtures[0].lamp);
            REQUIRE(made);
            CHECK(made->figures.beam_angle == doctest::Approx(beam.value));
            CHECK(*made->figures.lumens ==
                  doctest::Approx(*find_lamp(site, lamp.lamp)->figures.lumens).epsilon(0.001));
            CHECK(swept.fixtures[1].lamp == site.fixtures[1].lamp);
        }
    }
}

TEST_CASE("every lamp of a list is checked, not only the first and the last") {
    Site site = make_garden();
    site.catalogue.fixtures.push_back({.id = "brass", .usual = {}, .socket = "MR16", .greatest_tilt = pi});
    site.fixtures[0].model = "brass";
    for (Lamp& lamp : site.lamps)
        lamp.socket = "MR16";
    const SweepPlan plan{.fixtures = {"U1"}, .ranges = {read_range("lamp=a,b,c", site)}};
    const auto message = [&] { return problems_of([&] { check_plan(plan, site, "."); }); };
    CHECK(message().empty());
    site.lamps[1].socket = "G4";
    CHECK(message().starts_with(
        "error: at lamp b, fixtures[0].lamp (U1): the lamp \"b\" does not fit the model \"brass\""));
}

TEST_CASE("a sweep longer than a block is whole, in order, and told from nothing to all") {
    Site site = make_wall(1, 1, 0.5, {0.5}, 0.5);
    SweepPlan plan{.fixtures = {"U1"}};
    plan.ranges = {read_range("dimming=0.0008..1:0.0008", site)};
    plan.focus = {"all", {"U1"}};
    REQUIRE(plan.size() == 1250);
    Workbench bench(".", {.is_direct_only = true});
    double last = -1;
    const Sweep sweep = run_sweep(site, bench, ".", plan, {}, [&](double share) {
        CHECK(share >= last);
        CHECK(share <= 1);
        last = share;
    });
    CHECK(last > 0.99);
    REQUIRE(sweep.figures.size() == 1250);
    const double full = sweep.figures.back().targets[0].mean_lx;
    CHECK(full == doctest::Approx(sweep.as_drawn.targets[0].mean_lx));
    for (std::size_t i = 0; i < 1250; i += 50) // light is proportional to the dimming
        CHECK(sweep.figures[i].targets[0].mean_lx ==
              doctest::Approx(full * static_cast<double>(i + 1) / 1250).epsilon(1e-4));
}

TEST_CASE("figures change neither with the place of the house nor with the order of its fixtures") {
    // Moving house, lamps and targets together, or listing the fixtures the other way round, changes no
    // figure but by the floats of the coordinates.
    const Site site = make_row();
    Site moved = site, reversed = site;
    for (glm::dvec2& corner : moved.walls[0].path)
        corner += glm::dvec2(16, -32); // exact in floats
    std::reverse(reversed.fixtures.begin(), reversed.fixtures.end());
    Workbench bench(".", {.is_direct_only = true});
    const Figures drawn = bench.measure({&site, 1}).front();
    for (const Site* one : {&moved, &reversed}) {
        const Figures found = bench.measure({one, 1}).front();
        for (std::size_t t = 0; t < drawn.targets.size(); ++t) {
            CHECK(found.targets[t].mean_lx == doctest::Approx(drawn.targets[t].mean_lx).epsilon(1e-4));
            CHECK(found.targets[t].share == doctest::Approx(drawn.targets[t].share).epsilon(0.01));
            CHECK(found.targets[t].area == doctest::Approx(drawn.targets[t].area).epsilon(1e-5));
        }
        CHECK(found.spill.target_lm == doctest::Approx(drawn.spill.target_lm).epsilon(0.005));
        CHECK(found.watts == drawn.watts);
    }
}

TEST_CASE("the reach of a sweep is that of the lines that meet its target, where there are any") {
    Site site = make_garden(); // U1 stands before the gable, U2 beside it
    site.fixtures[0].dimming = 0.05;
    Workbench bench(".", {.is_direct_only = true});
    const auto sweep = [&](std::vector<std::string> fixtures) {
        SweepPlan plan{.fixtures = fixtures, .focus = choose_focus(site, "gable", fixtures)};
        plan.ranges = {read_range("tilt=2..6:4", site)};
        return run_sweep(site, bench, ".", plan);
    };
    const auto height_of = [](const Figures& figures, const std::string& fixture) {
        for (const ReachFigures& reach : figures.reaches)
            if (reach.fixture == fixture)
                return reach.height.value_or(0);
        return -1.0;
    };
    const Sweep both = sweep({"U1", "U2"}), beside = sweep({"U2"});
    for (std::size_t i = 0; i < 2; ++i) {
        REQUIRE(height_of(both.figures[i], "U2") > height_of(both.figures[i], "U1"));
        CHECK(both.values(Quantity::reach)[i] == height_of(both.figures[i], "U1"));
        CHECK(beside.values(Quantity::reach)[i] == height_of(beside.figures[i], "U2"));
    }
}

TEST_CASE("the recommendation: the highest of what meets the target, else the nearest to it") {
    // Reach, coverage and whether the target is met, by hand.
    Sweep sweep;
    sweep.plan = {.fixtures = {"U1"}, .focus = {"gable", {}}};
    sweep.plan.ranges.resize(1);
    const auto add = [&](double reach, double coverage, bool is_met) {
        const double tilt = static_cast<double>(sweep.figures.size());
        sweep.plan.ranges[0].values.push_back({Knob::tilt, tilt, ""});
        Figures figures;
        figures.targets = {{.id = "gable", .on = "front", .share = coverage, .is_reached = is_met}};
        figures.reaches = {{.fixture = "U1", .on = "front", .height = reach, .top = 9}};
        sweep.figures.push_back(figures);
    };
    add(3, 0.50, false);
    add(4, 0.60, false);
    add(5, 0.55, false);
    CHECK(!find_recommendation(sweep)->is_met);
    CHECK(find_recommendation(sweep)->variant == 1);
    add(2, 0.70, true);
    add(2.5, 0.65, true);
    CHECK(find_recommendation(sweep)->is_met);
    CHECK(find_recommendation(sweep)->variant == 4);
    sweep.figures.assign(3, sweep.figures[0]); // nothing moves
    CHECK(!find_recommendation(sweep));
    CHECK(!is_moved(sweep, Quantity::coverage));
    sweep.figures[0].targets[0].share = 0.495; // by 1 %: no more than flat
    CHECK(!is_moved(sweep, Quantity::coverage));
    sweep.figures[0].targets[0].share = 0.48;
    CHECK(is_moved(sweep, Quantity::coverage));
    CHECK(find_recommendation(sweep)->variant == 1); // of equals the one in the middle
}
