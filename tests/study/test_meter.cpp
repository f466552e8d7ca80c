// Meter points, what is expected at them, and what readings say of the fixtures. The wall is bare, so that
// everything has a closed form; the fit is judged by its own intervals on readings made from it.

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "duskcast/light/lighting.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/study/meter.hpp"

using namespace duskcast;

namespace {

/// Two lamps of even candela within their beams before a bare wall of 12 m; nothing is lost and nothing
/// bounces.
Site make_wall_site() {
    return read_site(R"({"duskcast": 1, "units": "m", "light": "lx", "as_new": true,
        "walls": [{"id": "w", "path": [[0, 0], [12, 0]], "height": 4, "finish": "brick buff light"}],
        "lamps": [{"id": "l", "watts": 5, "candela": 800, "beam": 40}],
        "fixtures": [
          {"id": "A", "kind": "uplight", "lamp": "l", "wall": "w", "along": 4, "setback": 0.5, "tilt": 12},
          {"id": "B", "kind": "uplight", "lamp": "l", "wall": "w", "along": 8, "setback": 0.5, "tilt": 12}]})",
                     "wall.site.json")
        .site;
}

struct Bench {
    Site site = make_wall_site();
    std::unique_ptr<Stage> stage = build_stage(site, ".");
    Lighting lighting = trace_lighting(*stage, make_fixtures(site, "."));
    MeterModel model{lighting, choose_meter_points(site, *stage, lighting.fixtures)};
};

double uniform(std::mt19937_64& random) {
    return static_cast<double>(random() >> 11) * 0x1p-53;
}

double normal(std::mt19937_64& random) { // Box and Muller 1958
    return std::sqrt(-2 * std::log(1 - uniform(random))) * std::cos(2 * pi * uniform(random));
}

} // namespace

TEST_CASE("meter points stand on the wall where they are said to, with the light of I cos / d2") {
    const Bench bench;
    REQUIRE(bench.model.points().size() == 6);
    const std::vector<double> lux = bench.model.find_lux({2, FixtureOffset{}});
    for (std::size_t i = 0; i < lux.size(); ++i) {
        const MeterPoint& point = bench.model.points()[i];
        CHECK(point.position.y == doctest::Approx(-0.01)); // its thickness before the wall
        const double along = point.fixture == 0 ? 4 : 8;
        CHECK(point.position.x == doctest::Approx(along + point.aside));
        CHECK(point.position.z == doctest::Approx(point.height));
        // I = I0 cos^n of the angle off the axis, n = ln 0.5 / ln cos(beam / 2) (definition of the beam
        // angle); E = I cos / d2 (inverse-square law), of both lamps.
        const double n = std::log(0.5) / std::log(std::cos(radians_from_degrees(20)));
        double expected = 0;
        for (const double x : {4.0, 8.0}) {
            const glm::dvec3 way = point.position - glm::dvec3(x, -0.5, 0.15);
            const double d = glm::length(way);
            const glm::dvec3 axis(0, std::sin(radians_from_degrees(12)), std::cos(radians_from_degrees(12)));
            const double cosine = std::max(0.0, glm::dot(way, axis) / d);
            expected += 800 * std::pow(cosine, n) * (way.y / d) / (d * d);
        }
        CHECK(lux[i] == doctest::Approx(expected).epsilon(0.02));
    }
}

TEST_CASE("the usual range holds what is expected, and is as wide as the light alone makes it at least") {
    const Bench bench;
    const std::vector<double> lux = bench.model.find_lux({2, FixtureOffset{}});
    const std::vector<MeterRange> ranges = find_usual_ranges(bench.model);
    for (std::size_t i = 0; i < lux.size(); ++i) {
        CHECK(ranges[i].low < lux[i]);
        CHECK(ranges[i].high > lux[i]);
        // 10 % of light spread evenly: 80 % of it lies within 8 %.
        CHECK(ranges[i].high - ranges[i].low > 0.12 * lux[i]);
    }
}

TEST_CASE("fits hold the truth in nine of ten trials, and say more than was known beforehand") {
    const Bench bench;
    const MeterTolerances tolerances;
    constexpr int trials = 200;
    std::mt19937_64 random(11);
    const auto off = [&](double most) { return most * (2 * uniform(random) - 1); };
    int held[3] = {0, 0, 0}, told[3] = {0, 0, 0};
    double width[3] = {0, 0, 0};
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<FixtureOffset> truth(2);
        for (FixtureOffset& one : truth)
            one = {off(tolerances.tilt), off(tolerances.azimuth), 1 + off(tolerances.output)};
        const std::vector<double> lux = bench.model.find_lux(truth);
        std::vector<MeterReading> readings;
        for (std::size_t i = 0; i < lux.size(); ++i)
            readings.push_back({i, lux[i] * (1 + tolerances.reading * normal(random))});
        const std::vector<FixtureFit> fits = fit_fixtures(bench.model, readings, tolerances);
        REQUIRE(fits.size() == 2);
        const FixtureFit& fit = fits[static_cast<std::size_t>(trial % 2)];
        const FixtureOffset& own = truth[fit.fixture];
        const std::pair<const Estimate*, double> found[3] = {
            {&fit.tilt, own.tilt}, {&fit.azimuth, own.azimuth}, {&fit.output, own.output}};
        for (int k = 0; k < 3; ++k) {
            held[k] += found[k].second >= found[k].first->low && found[k].second <= found[k].first->high;
            told[k] += found[k].first->is_told;
            width[k] += (found[k].first->high - found[k].first->low) / trials;
        }
    }
    MESSAGE("held: tilt ", held[0], ", azimuth ", held[1], ", output ", held[2], " of ", trials,
            "; told: ", told[0], ", ", told[1], ", ", told[2],
            "; mean widths: ", degrees_from_radians(width[0]), " and ", degrees_from_radians(width[1]),
            " degrees, ", width[2]);
    // 180 of 200 are expected; a binomial count of 200 at 0.9 is below 167 once in a thousand times.
    for (int k = 0; k < 3; ++k)
        CHECK(held[k] >= 167);
    CHECK(told[1] > trials / 2);
    CHECK(width[0] < 2 * tolerances.tilt);
    CHECK(width[2] < 2 * tolerances.output);
}

TEST_CASE("one reading tells little, and that is said") {
    const Bench bench;
    const std::vector<double> lux = bench.model.find_lux({2, FixtureOffset{}});
    const std::vector<FixtureFit> fits = fit_fixtures(bench.model, {{2, lux[2]}});
    REQUIRE(fits.size() == 1);
    CHECK(fits[0].readings == 1);
    CHECK_FALSE(fits[0].azimuth.is_told);
    CHECK(fit_fixtures(bench.model, {}).empty());
}
