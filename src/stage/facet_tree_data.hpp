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

/// Its kind and number among its kind.
void name_facet(const TreeView& view, std::uint32_t facet, Hit& hit);

/// The corners of a facet by its number, with leaf_bit.
const float* corners_of_facet(const TreeView& view, std::uint32_t facet);

/// Unit, as the facet is wound.
glm::vec3 normal_of(const TreeView& view, std::uint32_t facet);

} // namespace duskcast
