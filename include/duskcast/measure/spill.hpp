#pragma once
// Where the lumens land.

#include <cstdint>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/measure/report.hpp"

namespace duskcast {

/// The first thing met from a lens in each of `directions` equal parts of the sphere (spherical
/// Fibonacci points). Depends on the position alone, like Sight.
struct Landing {
    enum class Place : std::uint8_t { sky, ground, other, target };
    static constexpr int directions = 1 << 17;
    std::vector<Place> place;
};

/// Unit direction number `index` of Landing::directions.
glm::vec3 landing_direction(int index);

Landing trace_landing(const Stage& stage, const Lens& lens, const std::vector<Region>& targets);

/// Adds a fixture's lumens to the spill: sum of I dOmega by place. Traces no ray.
void add_spill(const Landing& landing, const LitFixture& fixture, Spill& spill);

} // namespace duskcast
