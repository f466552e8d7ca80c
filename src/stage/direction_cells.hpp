#pragma once
// What a DirectionGrid holds.

#include <vector>

#include "cube_cells.hpp"
#include "duskcast/stage/direction_grid.hpp"

namespace duskcast {

/// Some rows of a side's cells, with enough directions to be worth a task of their own.
struct DirectionRows {
    int side, first_row, last_row;
    std::uint32_t first, count; ///< directions in the order of cells
};

struct DirectionGrid::Sorted : CubeCells {
    std::vector<DirectionRows> rows;
    float length = 0; ///< of the longest, or more
};

} // namespace duskcast
