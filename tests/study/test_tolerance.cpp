// Contributions by superposition, and tolerances against what is known of them.

#include <cmath>
#include <doctest/doctest.h>

#include "../measure/measure_test.hpp"
#include "duskcast/study/contribution.hpp"
#include "duskcast/study/tolerance.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Site make_row() {
    Site site = make_wall_site(6, 3, 0.2);
    site.lamps.push_back({.id = "beam",
                          .figures = {.centre_candela = 900, .beam_angle = radians_from_degrees(40)},
                          .watts = 4});
    for (const double along : {1.0, 2.5, 4.5}) {
        Fixture fixture{.id = "U" + std::to_string(site.fixtures.size() + 1), .lamp = "beam", .wall = "wall"};
        fixture.along = along;
        fixture.setback = 0.5;
        fixture.tilt = 0.2;
        site.fixtures.push_back(fixture);
    }
    site.targets.push_back({.id = "all", .on = "wall", .level = 20, .share = 0.3});
    site.targets.push_back(
        {.id = "right", .on = "wall", .along = std::array{4.0, 6.0}, .level = 20, .share = 0.3});
    return site;
}

} // namespace

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

TEST_CASE("quantiles by linear interpolation") {
    // Hyndman and Fan 1996, type 7: the definition worked by hand.
    CHECK(quantile({4, 1, 3, 2}, 0.1) == doctest::Approx(1.3));
    CHECK(quantile({4, 1, 3, 2}, 0.5) == doctest::Approx(2.5));
    CHECK(quantile({4, 1, 3, 2}, 0.9) == doctest::Approx(3.7));
    CHECK(quantile({7}, 0.9) == 7);
}

TEST_CASE("mean light that is linear in the lumens has the variance of their sum") {
    // E = sum (1 + d) m with d uniform in +-h: variance h^2 / 3 sum m^2 (variance of the uniform
    // distribution).
    const Site site = make_row();
    Workbench bench(".", {.is_direct_only = true});
    std::vector<double> means;
    for (std::size_t f = 0; f < 3; ++f) {
        Site alone = site;
        alone.fixtures = {site.fixtures[f]};
        means.push_back(bench.measure({&alone, 1}).front().targets[0].mean_lx);
    }
    const Tolerances lumens_only{
        .tilt = 0, .azimuth = 0, .setback = 0, .lumens = 0.1, .voltage = 0, .dirt = 0, .leaf_density = 0};
    const ToleranceReport report = measure_tolerance(site, ".", {"all", {}}, lumens_only, 2000, 7, true);
    double variance = 0, whole = 0;
    for (const double mean : means) {
        variance += 0.1 * 0.1 / 3 * mean * mean;
        whole += mean;
    }
    for (const FigureTolerance& figure : report.figures)
        if (figure.quantity == Quantity::mean && figure.target == "all") {
            MESSAGE("deviation " << figure.deviation << ", exact " << std::sqrt(variance));
            CHECK(figure.nominal == doctest::Approx(whole).epsilon(1e-6));
            CHECK(figure.median == doctest::Approx(whole).epsilon(0.003));
            CHECK(figure.deviation == doctest::Approx(std::sqrt(variance)).epsilon(0.02));
            CHECK(figure.influences[0].of == "lumens");
            CHECK(figure.influences[0].share == doctest::Approx(1).epsilon(0.02));
        }
    // Of a single lamp: the percentiles of the uniform distribution themselves.
    Site alone = site;
    alone.fixtures = {site.fixtures[1]};
    const ToleranceReport single = measure_tolerance(alone, ".", {"all", {}}, lumens_only, 1000, 7, true);
    for (const FigureTolerance& figure : single.figures)
        if (figure.quantity == Quantity::mean && figure.target == "all") {
            CHECK(figure.low == doctest::Approx(means[1] * 0.92).epsilon(0.001));
            CHECK(figure.high == doctest::Approx(means[1] * 1.08).epsilon(0.001));
        }
}

TEST_CASE("bounced light goes with the lumens, the ambient light stays") {
    // Of one lamp E = (1 + d) (direct + bounced) + ambient: percentiles of the uniform distribution again.
    Site site = make_row();
    site.fixtures.resize(1);
    site.ambient = 0.5;
    const Tolerances lumens_only{
        .tilt = 0, .azimuth = 0, .setback = 0, .lumens = 0.1, .voltage = 0, .dirt = 0, .leaf_density = 0};
    Workbench bench(".", {});
    const double whole = bench.measure({&site, 1}).front().targets[0].mean_lx;
    Site dark = site;
    dark.fixtures.clear();
    const double steady = bench.measure({&dark, 1}).front().targets[0].mean_lx;
    REQUIRE(steady > 0.1);
    const ToleranceReport report = measure_tolerance(site, ".", {"all", {}}, lumens_only, 500, 7, false);
    for (const FigureTolerance& figure : report.figures)
        if (figure.quantity == Quantity::mean && figure.target == "all") {
            CHECK(figure.nominal == doctest::Approx(whole).epsilon(0.002)); // penumbras are coarser
            CHECK(figure.low == doctest::Approx(steady + 0.92 * (figure.nominal - steady)).epsilon(0.001));
            CHECK(figure.high == doctest::Approx(steady + 1.08 * (figure.nominal - steady)).epsilon(0.001));
        }
}

TEST_CASE("voltage moves lamps that are not regulated by the power of 3.4") {
    // Customary exponent, from memory.
    Site site = make_row();
    site.fixtures.resize(1);
    const Tolerances voltage_only{
        .tilt = 0, .azimuth = 0, .setback = 0, .lumens = 0, .voltage = 0.05, .dirt = 0, .leaf_density = 0};
    const auto mean_of = [](const ToleranceReport& report) {
        for (const FigureTolerance& figure : report.figures)
            if (figure.quantity == Quantity::mean && figure.target == "all")
                return figure;
        return FigureTolerance{};
    };
    const FigureTolerance loose =
        mean_of(measure_tolerance(site, ".", {"all", {}}, voltage_only, 400, 3, true));
    CHECK(loose.high / loose.nominal == doctest::Approx(std::pow(1.04, 3.4)).epsilon(0.002));
    CHECK(loose.low / loose.nominal == doctest::Approx(std::pow(0.96, 3.4)).epsilon(0.002));
    site.lamps[0].is_regulated = true;
    const FigureTolerance regulated =
        mean_of(measure_tolerance(site, ".", {"all", {}}, voltage_only, 16, 3, true));
    CHECK(regulated.deviation < 1e-12 * regulated.nominal);
}

TEST_CASE("the same seed gives the same ranges, another seed nearly the same") {
    const Site site = make_row();
    const Tolerances usual;
    const auto highs = [&](std::uint64_t seed) {
        std::vector<double> values;
        for (const FigureTolerance& figure :
             measure_tolerance(site, ".", {"all", {}}, usual, 128, seed, true).figures)
            values.push_back(figure.high);
        return values;
    };
    CHECK(highs(1) == highs(1));
    CHECK(highs(1) != highs(2));
    const ToleranceReport one = measure_tolerance(site, ".", {"all", {}}, usual, 256, 1, true);
    const ToleranceReport two = measure_tolerance(site, ".", {"all", {}}, usual, 256, 2, true);
    for (std::size_t i = 0; i < one.figures.size(); ++i)
        CHECK(one.figures[i].low == doctest::Approx(two.figures[i].low).epsilon(0.1));
}
