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
    Watched(const Stage& of, const std::vector<Region>& regions);

    /// Some sensors of the stage, all of them watched, by their indices here.
    std::vector<std::uint32_t> indices_of(const std::vector<std::uint32_t>& of_stage) const;
    /// Their spots.
    std::vector<SampleSpot> samples_of(const std::vector<std::uint32_t>& of_stage) const;
};

} // namespace duskcast
