#pragma once
// Figures of several variants at once, lane by lane.

#include <cstddef>

#include "duskcast/light/lanes.hpp"

namespace duskcast {

/// Sums over the samples of a target; each lane's are those of measure_stats to the last bit.
struct LaneSums {
    double flux[lane_count];
    double highest[lane_count];
    double covered_area[lane_count]; ///< at or above the lowest level
    double covered_flux[lane_count];
    double covered_lowest[lane_count];
    double level_area[lane_count]; ///< at or above the target's own level
    double soft_area[lane_count];  ///< the same, each sample by a logistic step in log light

    LaneSums();
};

/// Samples in their order: `lux` has lane_count values each.
void add_samples(const double* lux, const float* area, std::size_t count, double lowest_level, double level,
                 LaneSums& sums);
void add_soft(const double* lux, const float* area, std::size_t count, double level, LaneSums& sums);

/// flux += lux area, a lane each.
void add_flux(const double* lux, const float* area, std::size_t count, double* flux);

} // namespace duskcast
