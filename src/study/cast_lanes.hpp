#pragma once
// Variants that stand alike, lit together.

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "duskcast/light/lanes.hpp"
#include "duskcast/light/lighting.hpp"
#include "duskcast/measure/spill.hpp"
#include "watched.hpp"

namespace duskcast {

/// A position with what its rays found.
struct Stand {
    Sight sight; ///< over the watched sensors
    LandingPlaces places;
};

/// Light by way of other surfaces on the watched sensors.
struct WatchedBounce {
    std::vector<double> lux;
    std::vector<double> steady_lux; ///< what does not come from fixtures; empty: none apart from `lux`
    double sky_lm = 0;
};

/// One variant made ready.
struct Cast {
    std::vector<LitFixture> fixtures;
    std::vector<const Stand*> stands;
    std::shared_ptr<const WatchedBounce> bounced; ///< none: direct light alone
    double bounced_scale = 1;                     ///< of all but the steady light
};

/// Casts to be lit together, by their indices, at most lane_count each: their fixtures stand alike. Casts
/// that aim alike, too, come together: they cost least so.
std::vector<std::vector<std::size_t>> find_groups(const std::vector<Cast>& casts);

/// The light of casts that stand alike, a lane each.
class CastLanes {
public:
    /// Watched and casts outlive the lanes.
    CastLanes(const Watched& watched, std::vector<const Cast*> casts);

    /// Direct light on the watched sensors from..to-1, lane_count values each; at most FixtureLanes::block.
    void light(std::size_t from, std::size_t to, double* lux) const;
    void add_bounced(std::size_t from, std::size_t to, double* lux) const;
    bool has_bounced() const;

private:
    std::vector<const Cast*> casts_;
    std::vector<FixtureLanes> fixtures_;
};

/// What is kept of a light that passes by in blocks: some watched sensors', lane_count values each.
class KeptLight {
public:
    /// In any order.
    explicit KeptLight(std::vector<std::uint32_t> sensors);

    /// From the block from..to-1, blocks in ascending order.
    void take(std::size_t from, std::size_t to, const double* lux);
    /// `sensor`: a kept one. For one thread.
    double at(std::uint32_t sensor, std::size_t lane) const;

private:
    /// Neighbours.
    struct Run {
        std::uint32_t first = 0, count = 0;
        std::size_t place = 0; ///< of the first in sensors_
    };
    std::vector<std::uint32_t> sensors_;
    std::vector<Run> runs_;
    std::vector<double> lux_;
    std::size_t next_ = 0;
    mutable std::size_t last_run_ = 0;
};

} // namespace duskcast
