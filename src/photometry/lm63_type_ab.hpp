#pragma once
// Types A and B: planes about an axis square to the beam.

#include "duskcast/photometry/lm63.hpp"
#include "lm63_type_c.hpp"

namespace duskcast {

/// Adds the mirror images of one-sided angles, those that begin at 0; each list then runs from below 0.
Lm63Grid make_two_sided(const Lm63Grid& grid);

/// `grid` must be two-sided with at least two angles each way. In the lamp's frame (lm63.hpp) the direction
/// of (H, V) is
/// type A: (-sin V, cos V sin H, -cos V cos H): planes share the upright axis,
/// type B: (-cos H sin V, sin H, -cos H cos V): planes share the level axis across the beam.
Distribution turn_to_beam(const Lm63Grid& grid, Lm63Type type);

} // namespace duskcast
