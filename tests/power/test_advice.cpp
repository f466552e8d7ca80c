// Advice: each kind solved anew, the cheapest first.

#include <algorithm>
#include <cmath>

#include "cable_line.hpp"
#include "duskcast/power/advice.hpp"

using namespace duskcast;
using namespace duskcast::tests;

namespace {

const Advice* find_remedy(const std::vector<Advice>& advice, Remedy remedy) {
    for (const Advice& one : advice)
        if (one.remedy == remedy)
            return &one;
    return nullptr;
}

/// Ten lamps of constant current 12 W, one amp each, on 12 AWG of NEC table 8 every 30 ft: the drop to lamp j
/// is 0.1188 ohm x 1 A x the sum over k <= j of (10 - k + 1).
Site make_weak_line() {
    return make_line(
        10, 30, {.id = "lamp", .watts = 12, .draw = Draw::current, .operating_volts = std::array{8.0, 13.0}});
}
constexpr double gap = 2 * 30 * 1.98 / 1000;

} // namespace

TEST_CASE("a load that works needs no advice") {
    const Site site = make_line(3, 20, {.id = "led", .watts = 4});
    CHECK(find_advice(site, {}, measure_load(site, {}, {})).empty());
}

TEST_CASE("a starved run: every remedy with its own figures in order of cost") {
    const Site site = make_weak_line();
    const LoadReport now = measure_load(site, {}, by_nec);
    CHECK(now.runs[0].least_volts == doctest::Approx(12 - gap * 55).epsilon(1e-9)); // 5.47 V
    const std::vector<Advice> advice = find_advice(site, {}, now);
    REQUIRE(advice.size() == 5);
    CHECK(std::is_sorted(advice.begin(), advice.end(),
                         [](const Advice& a, const Advice& b) { return a.remedy < b.remedy; }));

    // Drops of 1.19, 2.26, 3.21 ... 6.53 V: of the taps 15 V puts nine lamps between 8 and 13 V, the first
    // being over; 14 V puts seven.
    const Advice& tap = *find_remedy(advice, Remedy::next_tap);
    CHECK(tap.network.runs[0].tap == 15);
    CHECK(count_good_lamps(tap.report) == 9);
    CHECK(tap.report.runs[0].least_volts == doctest::Approx(15 - gap * 55).epsilon(1e-9));
    REQUIRE(tap.changes.size() == 1);
    CHECK(tap.changes[0].run == "line");
    CHECK(tap.changes[0].old_tap == 12);
    CHECK(tap.changes[0].new_tap == 15);
    CHECK(tap.helps);
    CHECK_FALSE(tap.is_enough);

    // Fed at the middle of 30 to 300 ft: home run 165 ft, five lamps each way: 5.5 gaps x 10 A and then
    // half a gap x 5 A and 4 + 3 + 2 + 1 gaps x 1 A. Further down than at the end of a chain, but all lamps
    // within 1.5 V of one another, so that 15 V suits them less than three: 15 - 8.02 V is below 8 V.
    const Advice& centre = *find_remedy(advice, Remedy::centre_feed);
    CHECK(centre.report.runs[0].least_volts ==
          doctest::Approx(centre.report.runs[0].tap - gap * (55 + 2.5 + 10)).epsilon(1e-9));
    CHECK(centre.more_cable == doctest::Approx((165 + 270 - 300) * metres_per_foot));

    // Split after the fifth: 5 A over its own 5 gaps falling to 1 A, and 5 A over 6 gaps, then 4, 3, 2, 1 A;
    // the far part on the tap of 15 V.
    const Advice& split = *find_remedy(advice, Remedy::split_run);
    REQUIRE(split.report.runs.size() == 2);
    CHECK(split.report.runs[0].least_volts == doctest::Approx(12 - gap * 15).epsilon(1e-9));
    CHECK(split.report.runs[1].least_volts ==
          doctest::Approx(split.report.runs[1].tap - gap * (30 + 10)).epsilon(1e-9));
    CHECK(split.changes[0].split_after == "F5");
    CHECK(split.more_cable == doctest::Approx(150 * metres_per_foot));
    CHECK(split.is_enough);

    // 10 AWG leaves 12 - 55 x 0.0744 = 7.91 V, just short; 8 AWG 12 - 55 x 0.04668.
    const Advice& gauge = *find_remedy(advice, Remedy::larger_gauge);
    CHECK(gauge.report.runs[0].gauge == 8);
    CHECK(gauge.report.runs[0].least_volts == doctest::Approx(12 - 55 * 0.04668).epsilon(1e-9));
    CHECK(gauge.changes[0].old_gauge == 12);
    CHECK(gauge.changes[0].new_gauge == 8);
    CHECK(gauge.relaid_cable == doctest::Approx(300 * metres_per_foot));
    CHECK(gauge.is_enough);

    // At 165 ft, five lamps each way: half a gap x 5 A, then 4 + 3 + 2 + 1.
    const Advice& second = *find_remedy(advice, Remedy::second_transformer);
    REQUIRE(second.network.transformers.size() == 2);
    CHECK(second.network.transformers[1].id == "T1-2");
    CHECK(second.network.transformers[1].at.x == doctest::Approx(165 * metres_per_foot));
    for (const RunLoad& run : second.report.runs)
        CHECK(run.least_volts == doctest::Approx(12 - gap * 12.5).epsilon(1e-9));
    CHECK(second.is_enough);
}

TEST_CASE("what has no operating point gets one") {
    // 100 W at 100 ft of 14 AWG (NEC table 8): none from 12 V, where 57 W is the most; 15 V gives
    // 15^2 / (4 x 0.628) = 90 W. One lamp cannot be split.
    Site site = make_line(1, 100, {.id = "big", .watts = 100});
    site.network->runs[0].gauge = 14;
    const LoadReport now = measure_load(site, {}, by_nec);
    CHECK_FALSE(now.runs[0].is_found);
    const std::vector<Advice> advice = find_advice(site, {}, now);
    const Advice* tap = find_remedy(advice, Remedy::next_tap);
    REQUIRE(tap != nullptr);
    CHECK(tap->report.runs[0].tap == 15);
    CHECK_FALSE(tap->report.runs[0].is_found);
    CHECK(tap->report.runs[0].bearable_share == doctest::Approx(225 / (4 * 0.628) / 100).epsilon(1e-9));
    CHECK(find_remedy(advice, Remedy::split_run) == nullptr);
    const Advice* gauge = find_remedy(advice, Remedy::larger_gauge);
    REQUIRE(gauge != nullptr);
    // 12 AWG, 0.396 ohm, gives 91 W; 10 AWG, 0.248 ohm, holds the lamp at the root of V^2 - 12 V + 24.8.
    CHECK(gauge->report.runs[0].gauge == 10);
    CHECK(gauge->report.runs[0].least_volts ==
          doctest::Approx((12 + std::sqrt(144 - 4 * 24.8)) / 2).epsilon(1e-9));
    CHECK(gauge->is_enough);
}

TEST_CASE("an overloaded transformer is relieved by a second") {
    // Two runs of 13 lamps of 10 W, 260 W on 300 VA: 87 %.
    Site site = make_line(26, 1, {.id = "led", .watts = 10});
    Network& network = *site.network;
    CableRun other = network.runs[0];
    other.id = "other";
    other.fixtures.assign(network.runs[0].fixtures.begin() + 13, network.runs[0].fixtures.end());
    network.runs[0].fixtures.resize(13);
    network.runs.push_back(other);
    const LoadReport now = measure_load(site, {}, {});
    CHECK(now.transformers[0].share() > customary_share);
    const std::vector<Advice> advice = find_advice(site, {}, now);
    REQUIRE(advice.size() == 1);
    CHECK(advice[0].remedy == Remedy::second_transformer);
    CHECK(advice[0].is_enough);
    CHECK(advice[0].report.transformers[0].share() == doctest::Approx(0.44).epsilon(0.02));
    CHECK(advice[0].second.beside == "T1");
    CHECK(advice[0].second.rating == 300);
    REQUIRE(advice[0].changes.size() == 1);
    CHECK(advice[0].changes[0].run == "line"); // the nearer takes a little less and moves
    // One transformer alone: what this one gives is to be 80 % of it.
    CHECK(advice[0].second.single_rating == std::ceil(now.transformers[0].volt_amperes / 0.8));
}

TEST_CASE("lamps above their operating range go to a lower tap") {
    Site site = make_line(2, 10, {.id = "halogen", .watts = 20, .draw = Draw::halogen});
    site.network->transformers[0].tap = 14;
    const LoadReport now = measure_load(site, {}, {});
    const std::vector<Advice> advice = find_advice(site, {}, now);
    REQUIRE_FALSE(advice.empty());
    CHECK(advice[0].remedy == Remedy::next_tap);
    CHECK(advice[0].network.runs[0].tap == 12);
    CHECK(advice[0].is_enough);
}

TEST_CASE("every piece of advice is what solving its network anew gives") {
    for (const RunLayout layout : {RunLayout::daisy_chain, RunLayout::hub, RunLayout::loop}) {
        Site site = make_weak_line();
        CableRun& run = site.network->runs[0];
        run.layout = layout;
        run.gauge = 16;
        if (layout == RunLayout::hub) {
            site.network->hubs = {{"H", {150 * metres_per_foot, 0}}};
            run.hub = "H";
        }
        const LoadReport now = measure_load(site, {}, by_nec);
        REQUIRE_FALSE(is_all_good(now));
        const std::vector<Advice> advice = find_advice(site, {}, now);
        CHECK_FALSE(advice.empty());
        for (const Advice& one : advice) {
            CAPTURE(static_cast<int>(layout));
            CAPTURE(static_cast<int>(one.remedy));
            Site changed = site;
            changed.network = one.network;
            const LoadReport anew = measure_load(changed, {}, by_nec);
            REQUIRE(anew.fixtures.size() == 10);
            for (std::size_t i = 0; i < 10; ++i)
                CHECK(anew.fixtures[i].volts == doctest::Approx(one.report.fixtures[i].volts).epsilon(1e-12));
            CHECK(one.is_enough == is_all_good(anew));
            if (one.is_enough)
                CHECK(one.helps);
            std::size_t fed = 0; // every lamp once
            for (const CableRun& each : one.network.runs)
                fed += each.fixtures.size();
            CHECK(fed == 10);
        }
        // A hub and a loop have no middle to be fed at; only chains and hubs are split.
        CHECK((find_remedy(advice, Remedy::centre_feed) != nullptr) == (layout == RunLayout::daisy_chain));
        CHECK((find_remedy(advice, Remedy::split_run) != nullptr) == (layout != RunLayout::loop));
    }
}

TEST_CASE("no tap is advised that a lamp does not bear") {
    Site site = make_weak_line();
    site.lamps[0].max_volts = 13;
    const std::vector<Advice> advice = find_advice(site, {}, measure_load(site, {}, by_nec));
    for (const Advice& one : advice)
        for (const RunLoad& run : one.report.runs)
            CHECK(run.tap <= 13);
    // 12 or 13 V less 1.19, 2.26 ... V: 13 V puts five lamps above 8 V where 12 V puts four.
    const Advice* tap = find_remedy(advice, Remedy::next_tap);
    REQUIRE(tap != nullptr);
    CHECK(tap->network.runs[0].tap == 13);
}

TEST_CASE("a run that overloads its secondary is split although its lamps work") {
    // 28 lamps of 12 W at hand: 28 A on one secondary of 25 A, on a transformer large enough.
    Site site = make_line(28, 0.5, {.id = "led", .watts = 12}, 600);
    site.network->runs[0].gauge = 8;
    site.network->transformers[0].secondaries = 2;
    const LoadReport now = measure_load(site, {}, {});
    CHECK(is_run_good(now, now.runs[0]));
    CHECK_FALSE(is_transformer_good(now.transformers[0]));
    const std::vector<Advice> advice = find_advice(site, {}, now);
    const Advice* split = find_remedy(advice, Remedy::split_run);
    REQUIRE(split != nullptr);
    REQUIRE(split->network.runs.size() == 2);
    CHECK(split->network.runs[0].fixtures.size() == 14); // half of the watts each
    CHECK(split->changes[0].split_after == "F14");
    CHECK(find_remedy(advice, Remedy::next_tap) == nullptr);
    CHECK(find_remedy(advice, Remedy::larger_gauge) == nullptr);
}

TEST_CASE("a second transformer gets an id that none has") {
    Site site = make_weak_line();
    Network& network = *site.network;
    network.transformers.push_back({.id = "T1-2", .rating = 300});
    network.runs[0].transformer = "T1";
    const std::vector<Advice> advice = find_advice(site, {}, measure_load(site, {}, by_nec));
    const Advice* second = find_remedy(advice, Remedy::second_transformer);
    REQUIRE(second != nullptr);
    CHECK(second->network.transformers.back().id == "T1-3");
    CHECK(second->second.beside.empty());
    CHECK(second->changes[0].run == "line");
}

TEST_CASE("a tap chosen for all runs is where advice starts from") {
    const Site site = make_weak_line();
    const std::vector<Advice> advice =
        find_advice(site, {}, measure_load(site, {}, {.wire = by_nec.wire, .tap = 14}));
    const Advice* tap = find_remedy(advice, Remedy::next_tap);
    REQUIRE(tap != nullptr);
    CHECK(tap->changes[0].old_tap == 14);
    CHECK(tap->changes[0].new_tap == 15);
}
