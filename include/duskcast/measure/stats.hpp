#pragma once
// Figures over a choice of sensors.

#include <cstddef>
#include <cstdint>
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

/// Area-weighted mean over sensors, every side of a leaf for itself; 0 for none.
double measure_mean(const Stage& stage, const std::vector<double>& lux,
                    const std::vector<std::uint32_t>& sensors);

/// Share of the samples' area at or above a level; 0 for no samples.
double measure_share(const std::vector<Sample>& samples, double level_lx);

} // namespace duskcast
