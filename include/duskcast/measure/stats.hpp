#pragma once
// Figures over a choice of sensors, and beside those of the path-traced reference.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "duskcast/light/reference.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {

struct LevelShare {
    double level_lx = 0;
    double share = 0; ///< of the area
};

struct HotSpot {
    double lux = 0;
    glm::dvec3 position{0};
    glm::dvec2 unfolded{0}; ///< (u, v) where the surface has a grid
    double over_mean = 0;   ///< max : mean
};

/// Figures of a part of a surface (or the whole). Of leaves each counts once, at its brighter side.
struct Stats {
    double area = 0; ///< m2
    std::size_t sensors = 0;
    double min_lx = 0;
    double mean_lx = 0; ///< area-weighted
    double max_lx = 0;
    std::vector<LevelShare> coverage; ///< share of area at or above each level
    /// Uniformity ratios over the part at or above the lowest level; none when nothing is.
    std::optional<double> mean_to_min;
    std::optional<double> max_to_min;
    HotSpot hot_spot;
};

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

/// On one surface, over the sensors that the reference was traced for.
struct Agreement {
    int surface = 0; ///< index into Stage::surfaces
    std::size_t sensors = 0;
    double total_lx = 0;          ///< area-weighted mean by sights and bounce
    double reference_lx = 0;      ///< by the reference
    double standard_error_lx = 0; ///< of reference_lx
    double agreeing = 0;          ///< share of the sensors within 5 %, three standard errors or 0.001 lx
    /// Of the differences from the reference, each in standard errors of its sensor: their mean, 0 without a
    /// bias and otherwise beyond 3 / sqrt(sensors), and their rms, 1 where only the reference's noise is
    /// left.
    double mean_difference_se = 0;
    double rms_difference_se = 0;
};

/// A hundredth of the light of a full moon: where both ways find less, as inside a closed body, they agree.
inline constexpr double dark_lx = 1e-3;

/// One for each surface with sensors in `reference`, in the stage's order.
std::vector<Agreement> compare_with_reference(const Stage& stage, const std::vector<double>& total_lx,
                                              std::span<const ReferenceLight> reference);

} // namespace duskcast
