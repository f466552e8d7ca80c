#pragma once
// Figures over a choice of sensors.

#include <algorithm>
#include <cstdint>
#include <limits>
#include <vector>

#include "duskcast/measure/report.hpp"

namespace duskcast {

/// A spot with its light: a sensor, or a leaf at its brighter side.
struct Sample {
    std::uint32_t sensor = 0;
    double lux = 0;
    double area = 0; ///< m2
};

/// Where a sample comes from: a sensor, or a leaf by the first of its two sides.
struct SampleSpot {
    std::uint32_t sensor = 0;
    bool has_other_side = false; ///< the next sensor is the leaf's other side
};
std::vector<SampleSpot> find_sample_spots(const Stage& stage, const std::vector<std::uint32_t>& sensors);

/// One sample a sensor; the two sides of a leaf, neighbours in `sensors`, make one.
std::vector<Sample> collect_samples(const Stage& stage, const std::vector<double>& lux,
                                    const std::vector<std::uint32_t>& sensors);

/// All sensors of a surface.
std::vector<std::uint32_t> sensors_of(const Surface& surface);

/// Levels ascending.
Stats measure_stats(const Stage& stage, const std::vector<Sample>& samples,
                    const std::vector<double>& levels_lx);

/// The same of samples made one by one, `sample_at` 0..count-1, in a single pass: light of many variants goes
/// through here.
template <class SampleAt>
Stats measure_stats_of(const Stage& stage, std::size_t count, SampleAt sample_at,
                       const std::vector<double>& levels_lx) {
    Stats stats;
    stats.sensors = count;
    for (const double level : levels_lx)
        stats.coverage.push_back({level, 0});
    if (count == 0)
        return stats;
    constexpr double dark = std::numeric_limits<double>::infinity();
    double flux = 0, lowest = dark, highest = -dark, covered_area = 0, covered_flux = 0, covered_min = dark;
    std::uint32_t hottest = 0;
    const double first_level = levels_lx.empty() ? dark : levels_lx.front();
    for (std::size_t i = 0; i < count; ++i) {
        const Sample sample = sample_at(i);
        stats.area += sample.area;
        flux += sample.area * sample.lux;
        lowest = std::min(lowest, sample.lux);
        if (sample.lux >= highest) {
            highest = sample.lux;
            hottest = sample.sensor;
        }
        if (!(sample.lux >= first_level)) // ascending: none of the others either
            continue;
        covered_area += sample.area;
        covered_flux += sample.area * sample.lux;
        covered_min = std::min(covered_min, sample.lux);
        for (LevelShare& level : stats.coverage)
            if (sample.lux >= level.level_lx)
                level.share += sample.area;
    }
    for (LevelShare& level : stats.coverage)
        level.share = stats.area > 0 ? level.share / stats.area : 0;
    stats.min_lx = lowest;
    stats.max_lx = highest;
    stats.mean_lx = flux / stats.area;
    stats.hot_spot.lux = highest;
    stats.hot_spot.position = glm::dvec3(stage.sensors.position(hottest));
    stats.hot_spot.over_mean = stats.mean_lx > 0 ? stats.max_lx / stats.mean_lx : 0;
    if (covered_area > 0 && covered_min > 0) {
        stats.mean_to_min = covered_flux / covered_area / covered_min;
        stats.max_to_min = stats.max_lx / covered_min;
    }
    return stats;
}

/// Area-weighted mean over sensors, every side of a leaf for itself; 0 for none.
double measure_mean(const Stage& stage, const std::vector<double>& lux,
                    const std::vector<std::uint32_t>& sensors);

/// Share of the samples' area at or above a level; 0 for no samples.
double measure_share(const std::vector<Sample>& samples, double level_lx);

} // namespace duskcast
