#pragma once
// The first hit of a lens's light in every direction.

#include <glm/glm.hpp>
#include <span>
#include <vector>

#include "duskcast/light/lighting.hpp"

namespace duskcast {

/// Equal parts of the sphere: spherical Fibonacci points (Hannay and Nye 2004).
inline constexpr int lens_direction_count = 1 << 17;

/// Unit vectors, `lens_direction_count` of them.
std::span<const glm::vec3> lens_directions();

/// The same, sorted for rays.
const DirectionGrid& lens_direction_grid();

/// The first facet in each direction from the middle of a lens, in the order of lens_direction_grid. Depends
/// on the position alone, like Sight.
std::vector<Hit> trace_first_hits(const Stage& stage, const Lens& lens);

/// Where the rays of trace_first_hits start: just above the ground for a lens that is let into it.
glm::vec3 first_hit_origin(const Lens& lens);

/// Lumens in each of the directions. They add up to fixture.lumens (all 0 when nothing leaves it).
std::vector<double> share_lumens(const LitFixture& fixture);

/// Whether so few of the directions share these lumens that a part of them, such as the half of a beam that
/// passes an edge, could be off by more than half a percent of all.
bool is_narrow(std::span<const double> lumens);

/// Directions where one fixture sends its light, in space.
struct BeamRays {
    std::vector<glm::vec3> directions; ///< unit vectors
    std::vector<double> lumens;        ///< of each; together fixture.lumens
};

/// 16,384 directions as dense as the light in them. Half of a beam is right to 0.1 % of all of it, however
/// narrow the beam. Depends on lamp and aim, unlike lens_directions().
BeamRays make_beam_rays(const LitFixture& fixture);

} // namespace duskcast
