// Contributions by superposition, and tolerances against what is known of them.

#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/study/tolerance.hpp"
#include "study_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

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

TEST_CASE("quantiles of type 7 are those of the plotting positions (k - 1) / (n - 1)") {
    // Hyndman and Fan 1996, definition 7: of n values that lie at their own plotting positions, the
    // p-quantile is p itself, whatever n.
    for (const std::size_t count : {2, 3, 5, 64, 101}) {
        std::vector<double> values;
        for (std::size_t k = 0; k < count; ++k)
            values.push_back(static_cast<double>((k * 37) % count) / (static_cast<double>(count) - 1));
        if (count == 2 || count % 37 != 0)
            for (const double share : {0.0, 0.1, 0.25, 0.5, 0.9, 1.0}) {
                CAPTURE(count);
                CAPTURE(share);
                CHECK(quantile(values, share) == doctest::Approx(share).epsilon(1e-12));
            }
    }
    CHECK(quantile({}, 0.5) == 0);
}

TEST_CASE("one sample lies in each of as many equal parts") {
    // Latin hypercube, McKay, Beckman and Conover 1979: the k-th of n sorted samples of a uniform error lies
    // in the k-th of n equal parts. So every quantile is within a part's width of that of the distribution:
    // of samples drawn without parts, about four of ten would not be, and here none of 60 is.
    Site site = make_row();
    site.fixtures.resize(1);
    const Tolerances lumens_only{
        .tilt = 0, .azimuth = 0, .setback = 0, .lumens = 0.1, .voltage = 0, .dirt = 0, .leaf_density = 0};
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const ToleranceReport report = measure_tolerance(site, ".", {"all", {}}, lumens_only, 64, seed, true);
        for (const FigureTolerance& figure : report.figures)
            if (figure.quantity == Quantity::mean && figure.target == "all") {
                const double part = 0.2 / 64 * figure.nominal;
                CHECK(std::abs(figure.low - 0.92 * figure.nominal) < part);
                CHECK(std::abs(figure.median - figure.nominal) < part);
                CHECK(std::abs(figure.high - 1.08 * figure.nominal) < part);
            }
    }
}

TEST_CASE("what is not off moves nothing, and dirt only takes") {
    Site site = make_row();
    site.fixtures.resize(1);
    Tolerances none{
        .tilt = 0, .azimuth = 0, .setback = 0, .lumens = 0, .voltage = 0, .dirt = 0, .leaf_density = 0};
    const ToleranceReport still = measure_tolerance(site, ".", {"all", {}}, none, 8, 1, true);
    CHECK(still.reached_share == 1);
    for (const FigureTolerance& figure : still.figures) {
        CHECK(figure.low == figure.nominal);
        CHECK(figure.high == figure.nominal);
        CHECK(figure.deviation == doctest::Approx(0));
        CHECK(figure.influences.empty());
    }
    // Uniform from 0 to a tenth lost: 9 in 10 lose more than 1 %, 1 in 10 more than 9 %.
    none.dirt = 0.1;
    const ToleranceReport dirty = measure_tolerance(site, ".", {"all", {}}, none, 400, 1, true);
    for (const FigureTolerance& figure : dirty.figures)
        if (figure.quantity == Quantity::mean && figure.target == "all") {
            CHECK(figure.low == doctest::Approx(0.91 * figure.nominal).epsilon(0.001));
            CHECK(figure.high == doctest::Approx(0.99 * figure.nominal).epsilon(0.001));
        }
    CHECK(problems_of([&] {
              measure_tolerance(site, ".", {"all", {}}, none, 1, 1, true);
          }) == "error: fewer than two samples show no spread; give 64 or more");
}

TEST_CASE("the share of installations that still meet the targets is counted") {
    // A target whose wanted share is what is reached as drawn is missed by nearly every dirty lamp; one far
    // below it by none.
    Site site = make_row();
    site.targets.resize(1);
    const Tolerances dirt_only{
        .tilt = 0, .azimuth = 0, .setback = 0, .lumens = 0, .voltage = 0, .dirt = 0.3, .leaf_density = 0};
    Workbench bench(".", {.is_direct_only = true, .is_quick = true});
    site.targets[0].share = bench.measure({&site, 1}).front().targets[0].share;
    CHECK(measure_tolerance(site, ".", {"all", {}}, dirt_only, 32, 1, true).reached_share < 0.1);
    site.targets[0].share *= 0.3;
    CHECK(measure_tolerance(site, ".", {"all", {}}, dirt_only, 32, 1, true).reached_share == 1);
}
