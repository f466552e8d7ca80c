// Figures over sensors: by hand, and against integrals of the closed form over a wall.

#include "duskcast/base/random.hpp"
#include "duskcast/measure/stats.hpp"
#include "measure_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE("figures of four sensors worked by hand") {
    Stage stage;
    const float areas[4] = {1, 2, 3, 4};
    for (int i = 0; i < 4; ++i)
        stage.sensors.add({static_cast<float>(i), 0, 5}, {0, -1, 0}, areas[i]);
    stage.first_leaf_sensor = 4;
    const std::vector<double> lux{100, 20, 10, 0};
    const std::vector<Sample> samples = collect_samples(stage, lux, {0, 1, 2, 3});
    const Stats stats = measure_stats(stage, samples, {10, 20, 200});
    CHECK(stats.sensors == 4);
    CHECK(stats.area == 10);
    CHECK(stats.min_lx == 0);
    CHECK(stats.max_lx == 100);
    CHECK(stats.mean_lx == doctest::Approx(17)); // (100 + 40 + 30) / 10
    REQUIRE(stats.coverage.size() == 3);
    CHECK(stats.coverage[0].level_lx == 10);
    CHECK(stats.coverage[0].share == doctest::Approx(0.6)); // exactly at the level counts
    CHECK(stats.coverage[1].share == doctest::Approx(0.3));
    CHECK(stats.coverage[2].share == 0);
    REQUIRE(stats.mean_to_min);
    CHECK(*stats.mean_to_min == doctest::Approx(170.0 / 6 / 10)); // over the covered 6 m2
    CHECK(*stats.max_to_min == doctest::Approx(10));
    CHECK(stats.hot_spot.lux == 100);
    CHECK(stats.hot_spot.position == glm::dvec3(0, 0, 5));
    CHECK(stats.hot_spot.over_mean == doctest::Approx(100.0 / 17));
    CHECK(measure_share(samples, 20) == doctest::Approx(0.3));
    CHECK(measure_share({}, 20) == 0);
}

TEST_CASE("figures of nothing, of darkness and of an uncovered part") {
    Stage stage;
    stage.sensors.add({0, 0, 0}, {0, 0, 1}, 2);
    stage.first_leaf_sensor = 1;
    const Stats none = measure_stats(stage, {}, {10});
    CHECK(none.sensors == 0);
    CHECK(none.area == 0);
    CHECK(none.mean_lx == 0);
    CHECK(none.coverage.size() == 1);
    CHECK(!none.mean_to_min);
    const Stats dark = measure_stats(stage, collect_samples(stage, {0}, {0}), {0, 10});
    CHECK(dark.mean_lx == 0);
    CHECK(dark.hot_spot.over_mean == 0);
    CHECK(!dark.mean_to_min); // a ratio to nothing is no figure
    CHECK(!dark.max_to_min);
    const Stats dim = measure_stats(stage, collect_samples(stage, {5}, {0}), {10});
    CHECK(!dim.mean_to_min);
    CHECK(dim.coverage[0].share == 0);
    CHECK(!measure_stats(stage, collect_samples(stage, {5}, {0}), {}).mean_to_min);
}

TEST_CASE("mean and hot spot of a wall against the closed form") {
    // Mean: double integral of I0 cos^n cos / d^2 over the wall by the midpoint rule, 4 mm cells.
    // Hot spot: the largest value of the same on the lamp's line.
    const double spacing = 0.05;
    const Site site = make_wall_site(4, 4, spacing);
    const auto stage = build_stage(site, {});
    for (const double tilt_deg : {0.0, 10.0, 20.0, 30.0, 40.0}) {
        CAPTURE(tilt_deg);
        const glm::dvec3 lens(2.02, -0.4, 0.15);
        const Aim aim{.tilt = radians_from_degrees(tilt_deg)};
        const Lighting lighting =
            trace_lighting(*stage, {make_fixture(glm::vec3(lens), aim, make_cosine(36, 1000))});
        const Report report = measure_report(site, *stage, lighting, {10});
        const Stats& stats = surface_report(report, *stage, "wall").stats;
        double flux = 0;
        const double cell = 0.004;
        for (int i = 0; i < 1000; ++i)
            for (int j = 0; j < 1000; ++j)
                flux += wall_lux(lens, aim, 36, 1000, (i + 0.5) * cell, (j + 0.5) * cell) * cell * cell;
        CHECK(stats.area == doctest::Approx(16).epsilon(1e-6));
        CHECK(stats.mean_lx == doctest::Approx(flux / 16).epsilon(0.002));
        const double hottest = solve_line(lens, aim, 36, 1000, 10).hottest;
        CHECK(std::abs(stats.hot_spot.position.x - lens.x) <= spacing);
        CHECK(std::abs(stats.hot_spot.position.z - hottest) <= spacing);
        CHECK(stats.hot_spot.unfolded.x == doctest::Approx(stats.hot_spot.position.x).epsilon(1e-6));
        CHECK(stats.hot_spot.unfolded.y == doctest::Approx(stats.hot_spot.position.z).epsilon(1e-6));
        CHECK(stats.max_lx == doctest::Approx(wall_lux(lens, aim, 36, 1000, lens.x, hottest)).epsilon(0.02));
        CHECK(stats.hot_spot.over_mean == doctest::Approx(stats.max_lx / stats.mean_lx));
    }
}

TEST_CASE(
    "levels: those asked for with the targets' own, ascending, none twice, else the site's, else four") {
    Site site = make_wall_site(2, 2, 0.5);
    const auto stage = build_stage(site, {});
    const Lighting lighting = make_light(*stage, [](const glm::vec3&, const glm::vec3&) { return 30.0; });
    // 0.5, 1, 2 and 5 fc, 1 fc = 1 / 0.3048^2 lx.
    const std::vector<double> usual = measure_report(site, *stage, lighting).levels_lx;
    REQUIRE(usual.size() == 4);
    const double footcandles[4] = {0.5, 1, 2, 5};
    for (int i = 0; i < 4; ++i)
        CHECK(usual[i] == doctest::Approx(footcandles[i] / 0.3048 / 0.3048));
    site.levels = {3, 30};
    CHECK(measure_report(site, *stage, lighting).levels_lx == std::vector<double>{3, 30});
    site.targets = {{.id = "T", .on = "wall", .level = 7}, {.id = "S", .on = "wall", .level = 30}};
    CHECK(measure_report(site, *stage, lighting).levels_lx == std::vector<double>{3, 7, 30});
    const Report asked = measure_report(site, *stage, lighting, {50, 10});
    CHECK(asked.levels_lx == std::vector<double>{7, 10, 30, 50});
    const Stats& stats = surface_report(asked, *stage, "wall").stats;
    REQUIRE(stats.coverage.size() == 4);
    CHECK(stats.coverage[2].share == 1);
    CHECK(stats.coverage[3].share == 0);
}

TEST_CASE("a bias shows beside noise in the differences from a reference") {
    // A reference with normal errors of a tenth (sum of twelve uniform numbers less six): without a bias the
    // differences have a mean of 0 and an rms of 1, with one of three tenths of an error 0.3 and
    // sqrt(1 + 0.3^2); both within four standard errors, 4 / sqrt(n) and 4 / sqrt(2 n). The share of the
    // sensors within three standard errors hides such a bias.
    Site site = make_wall_site(5, 4, 0.1);
    const auto stage = build_stage(site, {});
    const Surface& wall = stage->surfaces[stage->find_surface("wall")];
    const auto count = static_cast<double>(wall.count);
    REQUIRE(wall.count > 1500);
    constexpr double lux = 10, error = 1;
    Random random(5);
    std::vector<ReferenceLight> reference;
    for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i) {
        double normal = -6;
        for (int k = 0; k < 12; ++k)
            normal += random.uniform();
        reference.push_back({.sensor = i, .direct_lx = lux + error * normal, .standard_error_lx = error});
    }
    for (const double bias : {0.0, 0.3}) {
        CAPTURE(bias);
        const std::vector<double> total(stage->sensors.size(), lux + bias * error);
        const std::vector<Agreement> rows = compare_with_reference(*stage, total, reference);
        REQUIRE(rows.size() == 1);
        CHECK(rows[0].agreeing > 0.99);
        CHECK(std::abs(rows[0].mean_difference_se - bias) < 4 / std::sqrt(count));
        CHECK(std::abs(rows[0].rms_difference_se - std::hypot(1, bias)) < 4 / std::sqrt(2 * count));
    }
    // Two paths that find nothing know no error; a single path has none.
    for (ReferenceLight& light : reference)
        light.standard_error_lx = light.sensor % 2 ? 0 : std::numeric_limits<double>::infinity();
    const std::vector<double> total(stage->sensors.size(), lux);
    CHECK(compare_with_reference(*stage, total, reference)[0].rms_difference_se == 0);
}
