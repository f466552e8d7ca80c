// Compiled with -O3, so that lanes become vector code. No sum crosses lanes: the order stays that of a loop
// over one variant.

#include "lane_sums.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "duskcast/light/clones.hpp"

namespace duskcast {

LaneSums::LaneSums() : flux{}, covered_area{}, covered_flux{}, level_area{}, soft_area{} {
    std::fill_n(highest, lane_count, -std::numeric_limits<double>::infinity());
    std::fill_n(covered_lowest, lane_count, std::numeric_limits<double>::infinity());
}

DUSKCAST_CLONES
void add_samples(const double* lux, const float* area, std::size_t count, double lowest_level, double level,
                 LaneSums& sums) {
    // Most sensors lie below the lowest level in every variant; the second loop is left out for them.
    LaneSums own = sums;
    double highest[lane_count] = {};
    for (std::size_t i = 0; i < count; ++i) {
        const auto here = static_cast<double>(area[i]);
        const double* values = lux + i * lane_count;
#pragma omp simd
        for (std::size_t k = 0; k < lane_count; ++k) {
            own.flux[k] += here * values[k];
            highest[k] = highest[k] < values[k] ? values[k] : highest[k];
        }
    }
    bool is_any_covered = false;
    for (std::size_t k = 0; k < lane_count; ++k) {
        own.highest[k] = std::max(own.highest[k], highest[k]);
        is_any_covered = is_any_covered || highest[k] >= lowest_level;
    }
    for (std::size_t i = 0; is_any_covered && i < count; ++i) {
        const auto here = static_cast<double>(area[i]);
        const double* values = lux + i * lane_count;
#pragma omp simd
        for (std::size_t k = 0; k < lane_count; ++k) {
            const double value = values[k];
            const bool is_covered = value >= lowest_level;
            const double lowest = is_covered ? value : own.covered_lowest[k];
            own.covered_area[k] += is_covered ? here : 0.0;
            own.covered_flux[k] += is_covered ? here * value : 0.0;
            own.covered_lowest[k] = lowest < own.covered_lowest[k] ? lowest : own.covered_lowest[k];
            own.level_area[k] += value >= level ? here : 0.0;
        }
    }
    sums = own;
}

DUSKCAST_CLONES
void add_flux(const double* lux, const float* area, std::size_t count, double* flux) {
    double own[lane_count];
    std::copy(flux, flux + lane_count, own);
    for (std::size_t i = 0; i < count; ++i) {
        const auto here = static_cast<double>(area[i]);
#pragma omp simd
        for (std::size_t k = 0; k < lane_count; ++k)
            own[k] += lux[i * lane_count + k] * here;
    }
    std::copy(own, own + lane_count, flux);
}

void add_soft(const double* lux, const float* area, std::size_t count, double level, LaneSums& sums) {
    constexpr double width = 0.1;
    for (std::size_t i = 0; i < count; ++i)
        for (std::size_t k = 0; k < lane_count; ++k)
            if (const double value = lux[i * lane_count + k]; value > 0)
                sums.soft_area[k] +=
                    static_cast<double>(area[i]) / (1 + std::exp(-std::log(value / level) / width));
}

} // namespace duskcast
