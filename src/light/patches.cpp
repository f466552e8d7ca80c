#include "duskcast/light/patches.hpp"

#include <algorithm>
#include <cmath>

#include "grid_edges.hpp"
#include "patch_builder.hpp"

namespace duskcast {

Patches::Patches(const Stage& stage, const PatchOptions& options) : stage_(stage) {
    Builder(*this, options).build();
}

void Patches::drop_pieces() {
    pieces_ = {};
    first_piece_ = {};
}

PatchPoint Patches::point_on(std::uint32_t patch, float choice, float a, float b) const {
    float left = choice * area[patch];
    std::uint32_t index = first_piece_[patch];
    const std::uint32_t last = first_piece_[patch + 1] - 1;
    for (; index < last && left >= pieces_[index].area; ++index)
        left -= pieces_[index].area;
    const Piece& piece = pieces_[index];
    if (piece.is_leaf)
        return {piece.corner + a * piece.first + b * piece.second, piece.normal};
    const float root = std::sqrt(a); // uniform on a triangle (Turk 1990)
    return {piece.corner + root * ((1 - b) * piece.first + b * piece.second), piece.normal};
}

std::size_t Patches::facet_of(const Hit& hit) const {
    return hit.kind == FacetKind::cutout ? stage_.opaque.size() + hit.facet : hit.facet;
}

std::uint32_t Patches::patch_at(const Hit& hit, const glm::vec3& position, const glm::vec3& direction) const {
    if (!hit)
        return none;
    const bool is_front = glm::dot(hit.normal, direction) < 0;
    if (hit.kind == FacetKind::leaf)
        return is_front ? leaf_patch_[hit.facet] : behind[leaf_patch_[hit.facet]];
    const std::size_t facet = facet_of(hit);
    if (face_of_[facet] < 0)
        return is_front ? sides_of_[facet].front : sides_of_[facet].back;
    const Face& face = faces_[face_of_[facet]];
    const std::vector<std::uint32_t>& grid = is_front ? face.front : face.back;
    if (grid.empty())
        return none;
    const glm::dvec3 at = glm::dvec3(position) - face.origin;
    return grid[cell_at(face.v, glm::dot(at, face.upward)) * face.columns() +
                cell_at(face.u, glm::dot(at, face.across))];
}

bool Patches::Face::is_barred(int axis, std::size_t edge, double along) const {
    return std::any_of(barriers.begin(), barriers.end(), [&](const Barrier& barrier) {
        return barrier.axis == axis && barrier.edge == edge && along > barrier.from && along < barrier.to;
    });
}

PatchBlend Patches::blend_on(const Face& face, const std::vector<std::uint32_t>& grid,
                             const glm::dvec3& position) const {
    const glm::dvec3 at = position - face.origin;
    /// The two cells between whose centres x lies, and the share of the second.
    struct Pair {
        std::size_t first, second;
        double share;
    };
    const double across = glm::dot(at, face.across), upward = glm::dot(at, face.upward);
    const auto between = [&](int axis, double x, double along) -> Pair {
        const std::vector<float>& edges = axis == 0 ? face.u : face.v;
        const std::size_t cell = cell_at(edges, x);
        const double centre = 0.5 * (edges[cell] + edges[cell + 1]);
        if (x < centre && cell > 0 && !face.is_barred(axis, cell, along)) {
            const double before = 0.5 * (edges[cell - 1] + edges[cell]);
            return {cell - 1, cell, (x - before) / (centre - before)};
        }
        if (x > centre && cell + 2 < edges.size() && !face.is_barred(axis, cell + 1, along)) {
            const double after = 0.5 * (edges[cell + 1] + edges[cell + 2]);
            return {cell, cell + 1, (x - centre) / (after - centre)};
        }
        return {cell, cell, 0};
    };
    const Pair u = between(0, across, upward);
    const Pair v = between(1, upward, across);
    PatchBlend blend;
    double sum = 0;
    for (int i = 0; i < PatchBlend::spots; ++i) {
        const std::size_t column = i % 2 ? u.second : u.first;
        const std::size_t row = i / 2 ? v.second : v.first;
        const double weight = (i % 2 ? u.share : 1 - u.share) * (i / 2 ? v.share : 1 - v.share);
        const std::uint32_t patch = grid[row * face.columns() + column];
        if (patch == none || !(weight > 0) || !(area[patch] > 0))
            continue;
        blend.patch[i] = patch;
        blend.weight[i] = static_cast<float>(weight);
        sum += weight;
    }
    for (float& weight : blend.weight)
        weight = sum > 0 ? static_cast<float>(weight / sum) : 0.0f;
    return blend;
}

PatchBlend Patches::blend_at(const Hit& hit, const glm::vec3& position, const glm::vec3& facing) const {
    PatchBlend blend;
    if (!hit)
        return blend;
    const std::size_t facet = facet_of(hit);
    if (hit.kind != FacetKind::leaf && face_of_[facet] >= 0) {
        const bool is_front = glm::dot(hit.normal, facing) > 0;
        const Face& face = faces_[face_of_[facet]];
        const std::vector<std::uint32_t>& grid = is_front ? face.front : face.back;
        return grid.empty() ? blend : blend_on(face, grid, glm::dvec3(position));
    }
    const std::uint32_t patch = patch_at(hit, position, -facing);
    if (patch != none && area[patch] > 0) {
        blend.patch[0] = patch;
        blend.weight[0] = 1;
    }
    return blend;
}

} // namespace duskcast
