#pragma once
// What a FacetTree holds.

#include <vector>

#include "duskcast/stage/facet_tree.hpp"
#include "tree_build.hpp"

namespace duskcast {

/// What decides whether a cut-out lets light through.
struct FacetSource {
    const Triangles* cutouts = nullptr;
    const std::vector<Material>* materials = nullptr;
    const std::vector<Texture>* textures = nullptr;
};

struct FacetTree::Tree {
    LaneKernels kernels{};
    FacetSource source;
    std::vector<float> triangle_corners;
    FacetBlocks blocks;
    std::size_t facet_count = 0;
    TreeView view;
};

} // namespace duskcast
