#pragma once
// Convex polygons of a plane, cut by lines.

#include <glm/glm.hpp>
#include <vector>

namespace duskcast {

/// Corners of a convex polygon, counter-clockwise.
using ConvexPart = std::vector<glm::dvec2>;

struct PlaneLine {
    glm::dvec2 from{0};
    glm::dvec2 to{0};
};

/// What lies to the left of the line, seen along it.
ConvexPart keep_left(const ConvexPart& part, const PlaneLine& line);

} // namespace duskcast
