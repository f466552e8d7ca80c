#pragma once
// Lines of equal light over a grid of sensors.

#include <glm/glm.hpp>
#include <vector>

#include "duskcast/base/cell_grid.hpp"

namespace duskcast {

/// Joined contour lines of `lux` (one entry a sensor of the stage) at a level over a grid's cells, in the
/// grid's (u, v). Between cell centres the crossing is found on a straight line of log lux. Cells without
/// a sensor are left out: lines end there. Closed lines repeat their first point.
std::vector<std::vector<glm::dvec2>> find_contours(const CellGrid& grid, const std::vector<double>& lux,
                                                   double level_lx);

} // namespace duskcast
