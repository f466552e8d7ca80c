#pragma once
// What a lens's light meets first, in every direction.

#include <glm/glm.hpp>
#include <span>
#include <vector>

#include "duskcast/light/lighting.hpp"

namespace duskcast {

/// Equal parts of the sphere: spherical Fibonacci points (Hannay and Nye 2004).
inline constexpr int landing_directions = 1 << 17;

/// Unit vectors, `landing_directions` of them.
std::span<const glm::vec3> landing_rays();

/// The first facet in each direction from the middle of a lens. Depends on the position alone, like Sight.
std::vector<Hit> trace_landing(const Stage& stage, const Lens& lens);

/// Where the rays of trace_landing start: a lens let into the ground looks out just above it.
glm::vec3 landing_origin(const Lens& lens);

/// Lumens in each of the directions. They add up to fixture.lumens (all 0 when nothing leaves it).
std::vector<double> share_lumens(const LitFixture& fixture);

} // namespace duskcast
