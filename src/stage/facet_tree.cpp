#include "duskcast/stage/facet_tree.hpp"

#include <algorithm>
#include <limits>
#include <string>

#include "duskcast/base/problem.hpp"
#include "facet_tree_data.hpp"

namespace duskcast {

namespace {

bool is_cutout_clear(const void* stage, std::uint32_t cutout, double u, double v) {
    const FacetSource& source = *static_cast<const FacetSource*>(stage);
    const int texture = (*source.materials)[source.cutouts->material[cutout]].texture;
    if (texture < 0)
        return false;
    const glm::uvec3& corner = source.cutouts->corners[cutout];
    const std::vector<glm::vec2>& uv = source.cutouts->uv;
    const glm::dvec2 at =
        (1 - u - v) * glm::dvec2(uv[corner.x]) + u * glm::dvec2(uv[corner.y]) + v * glm::dvec2(uv[corner.z]);
    return (*source.textures)[texture].alpha(static_cast<float>(at.x), static_cast<float>(at.y)) < 0.5f;
}

void add_corners(const Triangles& triangles, std::vector<float>& corners) {
    for (const glm::uvec3& corner : triangles.corners)
        for (int k = 0; k < 3; ++k) {
            const glm::vec3& at = triangles.vertices[corner[k]];
            corners.insert(corners.end(), {at.x, at.y, at.z});
        }
}

LaneKernels kernels_for([[maybe_unused]] Instructions instructions) {
#if defined(DUSKCAST_HAS_AVX2_LANES)
    if (instructions == Instructions::avx2)
        return make_avx2_kernels();
#endif
#if !defined(DUSKCAST_NO_SCALAR_LANES)
    if (instructions == Instructions::scalar)
        return make_scalar_kernels();
#endif
    return make_base_kernels();
}

} // namespace

std::vector<Instructions> find_instructions() {
    std::vector<Instructions> found{Instructions::base};
#if !defined(DUSKCAST_NO_SCALAR_LANES)
    found.insert(found.begin(), Instructions::scalar);
#endif
#if defined(DUSKCAST_HAS_AVX2_LANES)
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma"))
        found.push_back(Instructions::avx2);
#endif
    return found;
}

void check_facet_count(std::size_t triangles, std::size_t leaves, std::size_t bytes) {
    // Blocks and nodes, half full at worst, and what is held while they are made.
    constexpr std::size_t triangle_bytes =
        sizeof(FacetBlock<3>) / 4 + sizeof(TreeNode) / 8 + 9 * sizeof(float) + 128;
    constexpr std::size_t leaf_bytes = sizeof(FacetBlock<4>) / 4 + sizeof(TreeNode) / 8 + 128;
    constexpr std::size_t by_number = std::size_t{1}
                                      << 28; // two bits mark the kind, and a leaf has four corners
    const std::size_t most_triangles = std::min(by_number, bytes / triangle_bytes);
    if (triangles > most_triangles)
        throw InputError(Problem{.what = "the stage has " + std::to_string(triangles) +
                                         " triangles, and at most " + std::to_string(most_triangles) + " fit",
                                 .remedy = "use simpler meshes"});
    const std::size_t most_leaves = std::min(by_number, (bytes - triangles * triangle_bytes) / leaf_bytes);
    if (leaves > most_leaves)
        throw InputError(Problem{.what = "the stage has " + std::to_string(leaves) + " leaves, and at most " +
                                         std::to_string(most_leaves) + " fit",
                                 .remedy = "use larger leaves or fewer plants"});
}

FacetTree::FacetTree(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
                     const std::vector<Material>& materials, const std::vector<Texture>& textures,
                     Instructions instructions)
    : tree_(std::make_unique<Tree>()) {
    check_facet_count(opaque.size() + cutouts.size(), leaves.size());
    tree_->kernels = kernels_for(instructions);
    tree_->source = {&cutouts, &materials, &textures};
    tree_->triangle_corners.reserve(9 * (opaque.size() + cutouts.size()));
    add_corners(opaque, tree_->triangle_corners);
    add_corners(cutouts, tree_->triangle_corners);
    static_assert(sizeof(glm::vec3) == 3 * sizeof(float));
    const float* leaf_corners = leaves.corners.empty() ? nullptr : &leaves.corners[0].x;
    tree_->blocks = build_blocks(tree_->triangle_corners.data(), tree_->triangle_corners.size() / 9,
                                 leaf_corners, leaves.size());
    tree_->facet_count = opaque.size() + cutouts.size() + leaves.size();
    TreeView& view = tree_->view;
    view.nodes = tree_->blocks.nodes.data();
    view.triangles = tree_->blocks.triangles.data();
    view.leaves = tree_->blocks.leaves.data();
    view.root = tree_->blocks.root;
    view.triangle_corners = tree_->triangle_corners.data();
    view.leaf_corners = leaf_corners;
    view.first_cutout = static_cast<std::uint32_t>(opaque.size());
    view.is_see_through = is_cutout_clear;
    view.stage = &tree_->source;
}

FacetTree::~FacetTree() = default;

bool FacetTree::is_occluded(const Ray& ray) const {
    FacetRef stopper = no_facets;
    return tree_->kernels.is_occluded(tree_->view, &ray.origin.x, &ray.direction.x, ray.near_end, ray.far_end,
                                      stopper);
}

void FacetTree::find_occluded(std::span<Ray> rays) const {
    FacetRef stopper = no_facets; // what stops one ray often stops the next
    for (Ray& ray : rays)
        if (tree_->kernels.is_occluded(tree_->view, &ray.origin.x, &ray.direction.x, ray.near_end,
                                       ray.far_end, stopper))
            ray.far_end = -std::numeric_limits<float>::infinity();
}

Hit FacetTree::find_hit(const glm::vec3& origin, const glm::vec3& direction, float near_end,
                        float far_end) const {
    const TreeView& view = tree_->view;
    const NearestFacet nearest =
        tree_->kernels.find_nearest(view, &origin.x, &direction.x, near_end, far_end);
    Hit hit;
    if (nearest.facet != no_facets) {
        name_facet(view, nearest.facet, hit);
        hit.distance = static_cast<float>(nearest.meeting.distance);
        hit.u = static_cast<float>(nearest.meeting.u);
        hit.v = static_cast<float>(nearest.meeting.v);
        hit.normal = normal_of(view, nearest.facet);
    }
    return hit;
}

void name_facet(const TreeView& view, std::uint32_t facet, Hit& hit) {
    const bool is_leaf = (facet & leaf_bit) != 0;
    const bool is_cutout = !is_leaf && facet >= view.first_cutout;
    hit.kind = is_leaf ? FacetKind::leaf : is_cutout ? FacetKind::cutout : FacetKind::opaque;
    hit.facet = is_leaf ? facet & ~leaf_bit : is_cutout ? facet - view.first_cutout : facet;
}

const float* corners_of_facet(const TreeView& view, std::uint32_t facet) {
    return facet & leaf_bit ? view.leaf_corners + 12 * static_cast<std::size_t>(facet & ~leaf_bit)
                            : view.triangle_corners + 9 * static_cast<std::size_t>(facet);
}

glm::vec3 normal_of(const TreeView& view, std::uint32_t facet) {
    const float* corners = corners_of_facet(view, facet);
    const auto corner = [&](int k) {
        return glm::dvec3(corners[3 * k], corners[3 * k + 1], corners[3 * k + 2]);
    };
    return glm::vec3(glm::normalize(facet & leaf_bit
                                        ? glm::cross(corner(2) - corner(0), corner(3) - corner(1))
                                        : glm::cross(corner(1) - corner(0), corner(2) - corner(0))));
}

std::size_t FacetTree::bytes() const {
    const FacetBlocks& blocks = tree_->blocks;
    return blocks.nodes.size() * sizeof(TreeNode) + blocks.triangles.size() * sizeof(FacetBlock<3>) +
           blocks.leaves.size() * sizeof(FacetBlock<4>) + tree_->triangle_corners.size() * sizeof(float);
}

} // namespace duskcast
