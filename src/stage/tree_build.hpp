#pragma once
// The search tree over facets.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "lane_kernels.hpp"

namespace duskcast {

/// Nodes and blocks of facets, and the corners by which they are known.
struct FacetBlocks {
    std::vector<TreeNode> nodes;
    std::vector<FacetBlock<3>> triangles;
    std::vector<FacetBlock<4>> leaves;
    FacetRef root = no_facets;
};

/// `triangle_corners`: 9 floats a triangle; `leaf_corners`: 12 a leaf. The tree does not depend on the number
/// of threads, and no verdict on the tree.
FacetBlocks build_blocks(const float* triangle_corners, std::size_t triangle_count, const float* leaf_corners,
                         std::size_t leaf_count);

} // namespace duskcast
