// Each fixture's contribution, by superposition.

#include <doctest/doctest.h>

#include "duskcast/study/contribution.hpp"
#include "study_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE("the shares of all fixtures make up the whole") {
    // Superposition: light adds up.
    const Site site = make_row();
    Workbench bench(".", {});
    const LitVariant lit = bench.light(site);
    const Contributions made = measure_contributions(site, *lit.stage, lit.lighting, lit.report);
    for (const TargetContributions& target : made.targets) {
        double sum = 0;
        for (const FixtureContribution& share : target.fixtures) {
            sum += share.of_light;
            CHECK(share.without <= target.share + 1e-12);
        }
        CHECK(sum == doctest::Approx(1).epsilon(1e-6));
    }
    CHECK(made.targets[1].fixtures[2].of_light > 0.9);
    CHECK(made.needless.empty());
}

TEST_CASE("a fixture that lights nothing asked for is needed by no target") {
    Site site = make_row();
    site.fixtures[0].dimming = 0.001;
    Workbench bench(".", {.is_direct_only = true});
    const LitVariant lit = bench.light(site);
    const Contributions made = measure_contributions(site, *lit.stage, lit.lighting, lit.report);
    CHECK(made.needless == std::vector<std::string>{"U1"});
    // What a run without it says is the same.
    Site without = site;
    without.fixtures.erase(without.fixtures.begin() + 2);
    const Figures alone = bench.measure({&without, 1}).front();
    CHECK(made.targets[1].fixtures[2].without == doctest::Approx(alone.targets[1].share).epsilon(1e-6));
}

TEST_CASE("a fixture is decisive where its target is met only with it") {
    Site site = make_row();
    Workbench bench(".", {.is_direct_only = true});
    const auto measure = [&](double wanted) {
        site.targets[1].share = wanted;
        const LitVariant lit = bench.light(site);
        return measure_contributions(site, *lit.stage, lit.lighting, lit.report).targets[1];
    };
    const double reached = measure(0.01).share;
    REQUIRE(reached > 0.1);
    const double without = measure(0.01).fixtures[2].without;
    REQUIRE(without < reached);
    const auto is_decisive = [&](double wanted) { return measure(wanted).fixtures[2].is_decisive; };
    CHECK(is_decisive((reached + without) / 2));
    CHECK(is_decisive(reached));
    CHECK(!is_decisive(without));        // met without it, too
    CHECK(!is_decisive(reached + 0.01)); // missed with it, too
}

TEST_CASE("of two fixtures that do the same either is needless, but only by itself") {
    Site site = make_row();
    site.targets = {{.id = "bright",
                     .on = "wall",
                     .between = std::array{0.5, 1.5},
                     .along = std::array{2.2, 2.8},
                     .level = 20,
                     .share = 0.1}};
    site.fixtures = {site.fixtures[1], site.fixtures[1]};
    site.fixtures[1].id = "twin";
    Workbench bench(".", {.is_direct_only = true});
    const auto measure = [&] {
        const LitVariant lit = bench.light(site);
        return measure_contributions(site, *lit.stage, lit.lighting, lit.report);
    };
    // Either alone keeps all of it above the level: each has half of the light, and no area is lost.
    const Contributions made = measure();
    REQUIRE(made.targets[0].share == 1);
    CHECK(made.needless == std::vector<std::string>{"U2", "twin"});
    for (const FixtureContribution& one : made.targets[0].fixtures) {
        CHECK(one.of_light == doctest::Approx(0.5));
        CHECK(!one.is_decisive);
    }
}

TEST_CASE("a fixture is needed where one target loses a hundredth, whatever comes after it") {
    // The loss is set by the level: the share of the wall that only the first fixture keeps above it.
    Site site = make_row();
    site.fixtures = {site.fixtures[0], site.fixtures[2]};
    site.targets = {{.id = "left", .on = "wall", .along = std::array{0.0, 3.0}, .level = 5, .share = 0},
                    {.id = "far", .on = "wall", .along = std::array{5.5, 6.0}, .level = 5, .share = 0}};
    Workbench bench(".", {.is_direct_only = true});
    bool has_small_loss = false, has_needless = false;
    for (double dimming = 1; dimming > 1e-4; dimming *= 0.7) {
        site.fixtures[0].dimming = dimming;
        const LitVariant lit = bench.light(site);
        const Contributions made = measure_contributions(site, *lit.stage, lit.lighting, lit.report);
        double loss = 0;
        for (const TargetContributions& target : made.targets)
            loss = std::max(loss, target.share - target.fixtures[0].without);
        const bool is_needless =
            std::find(made.needless.begin(), made.needless.end(), site.fixtures[0].id) != made.needless.end();
        CHECK(is_needless == (loss < 0.01));
        has_small_loss = has_small_loss || (loss >= 0.01 && loss < 0.1);
        has_needless = has_needless || is_needless;
    }
    CHECK(has_small_loss);
    CHECK(has_needless);
}

TEST_CASE("what carries a missed target is missed, and lamps that serve no target are told apart") {
    // Nothing of "right" comes to 5000 lx, so no fixture takes any of its coverage away; U3 gives over 90 %
    // of its light all the same.
    Site site = make_row();
    site.targets = {
        {.id = "right", .on = "wall", .along = std::array{4.0, 6.0}, .level = 5000, .share = 0.5}};
    Workbench bench(".", {.is_direct_only = true});
    const auto measure = [&] {
        const LitVariant lit = bench.light(site);
        REQUIRE(lit.report.targets[0].share == 0);
        return measure_contributions(site, *lit.stage, lit.lighting, lit.report);
    };
    const auto holds = [](const std::vector<std::string>& list, const char* id) {
        return std::find(list.begin(), list.end(), id) != list.end();
    };
    Contributions made = measure();
    REQUIRE(made.targets[0].fixtures[2].of_light > 0.9);
    CHECK(!holds(made.needless, "U3"));
    CHECK(!holds(made.without_target, "U3"));
    CHECK(holds(made.without_target, "U1")); // 3 m beside it
    CHECK(!holds(made.needless, "U1"));
    site.fixtures[2].dimming = 0; // now U2 carries what there is
    made = measure();
    CHECK(!holds(made.needless, "U2"));
    CHECK(holds(made.needless, "U3")); // off, so that nobody knows what it would serve
}
