#pragma once
// Direct light of several variants at once, beside each other.

#include <cstddef>
#include <span>
#include <vector>

#include "duskcast/light/direct.hpp"

namespace duskcast {

constexpr std::size_t lane_count = 8;

struct LayerInput;

/// A fixture as one variant has it.
struct FixtureLane {
    Aim aim;
    const IntensityTable* table = nullptr; ///< outlives the lanes
    double scale = 1;
};

/// One fixture as up to lane_count variants have it, all in the same place. Each lane has the bits that
/// evaluate_layer gives. Symmetric lamps with one aim and equally fine tables cost little more than one.
class FixtureLanes {
public:
    static constexpr std::size_t block = 256; ///< most sensors asked for at a time

    /// Sight and sensors outlive the lanes.
    FixtureLanes(const Sight& sight, const Sensors& sensors, std::span<const FixtureLane> lanes);

    /// The lux of sensors from..to-1, lane_count values each: into `out`, or added to `sums`. On the calling
    /// thread alone; traces no ray.
    void set(std::size_t from, std::size_t to, double* out) const;
    void add(std::size_t from, std::size_t to, double* sums) const;

private:
    /// Sensors, or spots of the lens as sensors near it see them; at most `block`.
    struct Spots {
        const float *x, *y, *z, *transfer;
        std::size_t count;
    };
    Spots spots_of(std::size_t from, std::size_t to) const;
    LayerInput input_of(const FixtureLane& lane, const Spots& spots) const;
    void add_near(std::size_t from, std::size_t to, double* sums) const;
    /// Lux into `out`, lane_count values a spot.
    void evaluate(const Spots& spots, float* out) const;

    const Sight& sight_;
    const Sensors& sensors_;
    std::vector<FixtureLane> lanes_;
    std::vector<float> tables_; ///< of all lanes, lane_count values a row; empty: each lane by itself
    std::vector<float> scales_;
    std::vector<float> near_lux_; ///< of the sensors near the lens, lane_count values each
};

} // namespace duskcast
