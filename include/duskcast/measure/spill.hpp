#pragma once
// Where the lumens land.

#include <cstdint>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/measure/report.hpp"

namespace duskcast {

enum class LandingPlace : std::uint8_t { sky, ground, other, target };

/// What is met first in each of lens_directions(). Depends on the position alone, like Sight.
using LandingPlaces = std::vector<LandingPlace>;

LandingPlaces find_places(const Stage& stage, const Lens& lens, const std::vector<Region>& targets);

/// Adds a fixture's lumens to the spill by place. Traces no ray.
void add_spill(const LandingPlaces& places, const LitFixture& fixture, Spill& spill);

} // namespace duskcast
