#pragma once
// Ways from one point, sorted into the cells of a cube map about it.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
#include <span>
#include <vector>

#include "lane_kernels.hpp"

namespace duskcast {

struct CubeCells {
    std::array<CellFace, 6> faces{};           ///< +x, -x, +y, -y, +z, -z; `far` is the deepest way
    std::vector<std::uint32_t> start;          ///< where a cell's ways begin; one more than there are cells
    std::vector<std::uint32_t> order;          ///< the ways' numbers, in the order of cells
    std::vector<float> x, y, z;                ///< in the order of cells, eight more than there are
    float tile_far[6][face_tiles][face_tiles]; ///< the deepest way of each coarse cell; -1: none
};

/// Cells are about two ways wide.
CubeCells sort_into_cells(std::span<const glm::vec3> ways);

} // namespace duskcast
