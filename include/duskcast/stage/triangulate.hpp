#pragma once

#include <array>
#include <glm/glm.hpp>
#include <vector>

namespace duskcast {

/// Ear clipping of a simple polygon, either way round: corners of the triangles, counter-clockwise.
std::vector<std::array<glm::dvec2, 3>> cut_into_triangles(std::vector<glm::dvec2> outline);

} // namespace duskcast
