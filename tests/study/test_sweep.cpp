// Sweeps against single runs, and what is made of their figures against brute force.

#include <doctest/doctest.h>
#include <random>

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
