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
