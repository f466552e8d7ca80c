#include "duskcast/measure/stats.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

namespace duskcast {

std::vector<SampleSpot> find_sample_spots(const Stage& stage, const std::vector<std::uint32_t>& sensors) {
    std::vector<SampleSpot> spots;
    spots.reserve(sensors.size());
    for (std::size_t i = 0; i < sensors.size(); ++i) {
        const std::uint32_t sensor = sensors[i];
        const bool has_other_side = sensor >= stage.first_leaf_sensor && i + 1 < sensors.size() &&
                                    sensors[i + 1] == sensor + 1 &&
                                    stage.leaf_of_sensor[sensor - stage.first_leaf_sensor] ==
                                        stage.leaf_of_sensor[sensor + 1 - stage.first_leaf_sensor];
        spots.push_back({sensor, has_other_side});
        if (has_other_side)
            ++i;
    }
    return spots;
}

std::vector<Sample> collect_samples(const Stage& stage, const std::vector<double>& lux,
                                    const std::vector<std::uint32_t>& sensors) {
    std::vector<Sample> samples;
    samples.reserve(sensors.size());
    for (const SampleSpot& spot : find_sample_spots(stage, sensors)) {
        const bool is_other = spot.has_other_side && lux[spot.sensor + 1] > lux[spot.sensor];
        const std::uint32_t sensor = spot.sensor + (is_other ? 1 : 0);
        samples.push_back({sensor, lux[sensor], stage.sensors.area[spot.sensor]});
    }
    return samples;
}

std::vector<std::uint32_t> sensors_of(const Surface& surface) {
    std::vector<std::uint32_t> sensors(surface.count);
    std::iota(sensors.begin(), sensors.end(), surface.first);
    return sensors;
}

double measure_mean(const Stage& stage, const std::vector<double>& lux,
                    const std::vector<std::uint32_t>& sensors) {
    double sum = 0, area = 0;
    for (const std::uint32_t i : sensors) {
        const auto own = static_cast<double>(stage.sensors.area[i]);
        sum += own * lux[i];
        area += own;
    }
    return area > 0 ? sum / area : 0;
}

double measure_share(const std::vector<Sample>& samples, double level_lx) {
    double area = 0;
    double lit = 0;
    for (const Sample& sample : samples) {
        area += sample.area;
        if (sample.lux >= level_lx)
            lit += sample.area;
    }
    return area > 0 ? lit / area : 0;
}

namespace {

struct StatSums {
    std::size_t count = 0;
    double area = 0; ///< m2
    double flux = 0; ///< lm
    double lowest = 0, highest = 0;
    double covered_area = 0, covered_flux = 0; ///< of those at or above the lowest level
    double covered_lowest = 0;
};

/// Without coverage and the hot spot's place.
Stats make_stats(const StatSums& sums) {
    Stats stats;
    stats.sensors = sums.count;
    if (sums.count == 0)
        return stats;
    stats.area = sums.area;
    stats.min_lx = sums.lowest;
    stats.max_lx = sums.highest;
    stats.mean_lx = sums.flux / sums.area;
    stats.hot_spot.lux = sums.highest;
    stats.hot_spot.over_mean = stats.mean_lx > 0 ? sums.highest / stats.mean_lx : 0;
    if (sums.covered_area > 0 && sums.covered_lowest > 0) {
        stats.mean_to_min = sums.covered_flux / sums.covered_area / sums.covered_lowest;
        stats.max_to_min = sums.highest / sums.covered_lowest;
    }
    return stats;
}

} // namespace

Stats measure_stats(const Stage& stage, const std::vector<Sample>& samples,
                    const std::vector<double>& levels_lx) {
    constexpr double dark = std::numeric_limits<double>::infinity();
    StatSums sums{.count = samples.size(), .lowest = dark, .highest = -dark, .covered_lowest = dark};
    std::vector<LevelShare> coverage;
    for (const double level : levels_lx)
        coverage.push_back({level, 0});
    std::uint32_t hottest = 0;
    const double first_level = levels_lx.empty() ? dark : levels_lx.front();
    for (const Sample& sample : samples) {
        sums.area += sample.area;
        sums.flux += sample.area * sample.lux;
        sums.lowest = std::min(sums.lowest, sample.lux);
        if (sample.lux >= sums.highest) {
            sums.highest = sample.lux;
            hottest = sample.sensor;
        }
        if (!(sample.lux >= first_level)) // ascending: none of the others either
            continue;
        sums.covered_area += sample.area;
        sums.covered_flux += sample.area * sample.lux;
        sums.covered_lowest = std::min(sums.covered_lowest, sample.lux);
        for (LevelShare& level : coverage)
            if (sample.lux >= level.level_lx)
                level.share += sample.area;
    }
    for (LevelShare& level : coverage)
        level.share = sums.area > 0 ? level.share / sums.area : 0;
    Stats stats = make_stats(sums);
    stats.coverage = std::move(coverage);
    if (!samples.empty())
        stats.hot_spot.position = glm::dvec3(stage.sensors.position(hottest));
    return stats;
}

std::vector<Agreement> compare_with_reference(const Stage& stage, const std::vector<double>& total_lx,
                                              std::span<const ReferenceLight> reference) {
    std::vector<Agreement> agreements;
    for (std::size_t s = 0; s < stage.surfaces.size(); ++s) {
        const Surface& surface = stage.surfaces[s];
        Agreement agreement{.surface = static_cast<int>(s)};
        double area = 0, agreeing = 0, square = 0;
        double differences = 0, squared_differences = 0, compared = 0;
        for (const ReferenceLight& light : reference) {
            if (light.sensor < surface.first || light.sensor >= surface.first + surface.count)
                continue;
            const auto own = static_cast<double>(stage.sensors.area[light.sensor]);
            const double lux = total_lx[light.sensor];
            const double expected = light.direct_lx + light.bounced_lx;
            const double allowed = std::max({0.05 * expected, 3 * light.standard_error_lx, dark_lx});
            ++agreement.sensors;
            area += own;
            agreement.total_lx += own * lux;
            agreement.reference_lx += own * expected;
            square += own * own * light.standard_error_lx * light.standard_error_lx;
            agreeing += std::abs(lux - expected) <= allowed ? 1 : 0;
            if (expected < dark_lx || !(light.standard_error_lx > 0) ||
                !std::isfinite(light.standard_error_lx))
                continue;
            const double difference = (lux - expected) / light.standard_error_lx;
            differences += difference;
            squared_differences += difference * difference;
            ++compared;
        }
        if (agreement.sensors == 0)
            continue;
        agreement.total_lx /= area;
        agreement.reference_lx /= area;
        agreement.standard_error_lx = std::sqrt(square) / area;
        agreement.agreeing = agreeing / static_cast<double>(agreement.sensors);
        if (compared > 0) {
            agreement.mean_difference_se = differences / compared;
            agreement.rms_difference_se = std::sqrt(squared_differences / compared);
        }
        agreements.push_back(agreement);
    }
    return agreements;
}

} // namespace duskcast
