#pragma once
// Ways from one point, sorted into the cells of a cube map about it.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
#include <span>
#include <vector>

#include "lane_kernels.hpp"

namespace duskcast {

/// Where a way leads: slopes in cells of a side's grid (0..cells), and the side.
struct CellPlace {
    float a, b;
    int side;
};

struct CubeCells {
    std::array<CellFace, 6> faces{};  ///< +x, -x, +y, -y, +z, -z; `far` is the deepest way
    std::vector<std::uint32_t> start; ///< where a cell's ways begin; one more than there are cells
    std::vector<std::uint32_t> order; ///< the ways' numbers, in the order of cells
    std::vector<float> x, y, z;       ///< in the order of cells, eight more than there are
    std::vector<CellPlace> places;    ///< in the order given
};

/// Cells are about two ways wide.
CubeCells sort_into_cells(std::span<const glm::vec3> ways);

} // namespace duskcast
