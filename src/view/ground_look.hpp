#pragma once
// Lawns, beds and paving as pictures show them: grass in tufts, mulch in chips, grains in paving.

#include <glm/glm.hpp>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// Factor per channel of what the ground returns at a plan point, whose mean over a few metres is 1. `width`:
/// metres that one look stands for; what is finer is left out. Water: 1.
glm::vec3 ground_level(GroundKind kind, const glm::vec2& at, float width);

} // namespace duskcast
