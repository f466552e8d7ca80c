#pragma once
// The sensors that a study's figures come from, apart from the rest of the stage.

#include <cstdint>
#include <vector>

#include "duskcast/measure/region.hpp"
#include "duskcast/measure/stats.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {

struct Watched {
    const Stage* stage = nullptr;
    std::vector<std::uint32_t> sensors; ///< of the stage, ascending
    std::vector<std::int32_t> index_of; ///< one a sensor of the stage: index into `sensors`, or -1
    Sensors subset;
    std::uint32_t first_leaf = 0;

    /// Walls, what stands out from them, crowns, and the regions.
    static Watched of_figures(const Stage& stage, const std::vector<Region>& regions);
    /// The regions alone.
    static Watched of_regions(const Stage& stage, const std::vector<Region>& regions);

    /// The spots of some sensors of the stage, all of them watched, by their indices here.
    std::vector<SampleSpot> samples_of(const std::vector<std::uint32_t>& of_stage) const;
    Sample sample(const SampleSpot& spot, const std::vector<double>& lux) const {
        const bool is_other = spot.has_other_side && lux[spot.sensor + 1] > lux[spot.sensor];
        const std::uint32_t at = spot.sensor + (is_other ? 1 : 0);
        return {sensors[at], lux[at], subset.area[spot.sensor]};
    }
    /// What collect_samples makes, of the light on the watched sensors. `out` is overwritten.
    void collect(const std::vector<SampleSpot>& samples, const std::vector<double>& lux,
                 std::vector<Sample>& out) const;

private:
    Watched(const Stage& stage, std::vector<std::uint8_t> is_watched);
};

} // namespace duskcast
