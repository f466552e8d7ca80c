#pragma once
// Ground that is held up by walls, and how high the ground is.

#include <glm/glm.hpp>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// z of the ground there: of the last terrace that covers the point, else 0.
double ground_height_at(const Ground& ground, const glm::dvec2& point);

/// z of what an area lies on.
double height_below(const Ground& ground, const GroundArea& area);

/// z of an area all over: its own, or that of what it lies on.
double height_of(const Ground& ground, const GroundArea& area);

/// A place within the outline, half a centimetre or more from its edge where there is room for that.
glm::dvec2 find_inner_place(const std::vector<glm::dvec2>& outline);

} // namespace duskcast
