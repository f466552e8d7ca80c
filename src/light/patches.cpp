#include "duskcast/light/patches.hpp"

#include <algorithm>
#include <cmath>

#include "grid_edges.hpp"
#include "patch_builder.hpp"

namespace duskcast {

Patches::Patches(const Stage& stage, const PatchOptions& options) : stage_(stage) {
    Builder(*this, options).build();
}

void Patches::drop_tracing() {
    right = {};
    above = {};
    random_seed = {};
    width = {};
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

bool Patches::is_flat(const Hit& hit) const {
    return hit && hit.kind != FacetKind::leaf && face_of_[facet_of(hit)] >= 0;
}

std::uint32_t Patches::patch_at(const Hit& hit, const glm::vec3& position, const glm::vec3& direction) const {
    if (!hit)
        return none;
    const bool is_front = glm::dot(hit.normal, direction) < 0;
    if (hit.kind == FacetKind::leaf)
        return is_front ? leaf_patch_[hit.facet] : behind(leaf_patch_[hit.facet]);
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

PatchBlend Patches::blend_on(const Face& face, const std::vector<std::uint32_t>& grid, double across,
                             double upward) const {
    /// The two cells between whose centres x lies, and the share of the second.
    struct Pair {
        std::size_t first, second;
        double share;
    };
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

PatchBlend Patches::blend_inside(std::uint32_t face, bool is_front, double u, double v) const {
    const Face& on = faces_[face];
    const std::vector<std::uint32_t>& grid = is_front ? on.front : on.back;
    return blend_on(on, grid, u, v);
}

glm::dvec3 Patches::centroid(std::uint32_t patch) const {
    glm::dvec3 sum(0);
    double all = 0;
    for (std::uint32_t i = first_piece_[patch]; i < first_piece_[patch + 1]; ++i) {
        const Piece& piece = pieces_[i];
        const glm::dvec3 edges = glm::dvec3(piece.first) + glm::dvec3(piece.second);
        const double part = static_cast<double>(piece.area);
        sum += part * (glm::dvec3(piece.corner) + edges / (piece.is_leaf ? 2.0 : 3.0));
        all += part;
    }
    return sum / all;
}

bool Patches::covers(std::uint32_t patch, const glm::dvec3& point) const {
    constexpr double slack = 1e-6;
    for (std::uint32_t i = first_piece_[patch]; i < first_piece_[patch + 1]; ++i) {
        const glm::dvec3 first(pieces_[i].first), second(pieces_[i].second);
        const glm::dvec3 way = point - glm::dvec3(pieces_[i].corner);
        const glm::dvec3 across = glm::cross(first, second);
        const double square = glm::dot(across, across);
        const double a = glm::dot(glm::cross(way, second), across) / square;
        const double b = glm::dot(glm::cross(first, way), across) / square;
        if (a >= -slack && b >= -slack && (pieces_[i].is_leaf ? std::max(a, b) : a + b) <= 1 + slack)
            return true;
    }
    return false;
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
        const glm::dvec3 at = glm::dvec3(position) - face.origin;
        return grid.empty() ? blend
                            : blend_on(face, grid, glm::dot(at, face.across), glm::dot(at, face.upward));
    }
    const std::uint32_t patch = patch_at(hit, position, -facing);
    if (patch != none && area[patch] > 0) {
        blend.patch[0] = patch;
        blend.weight[0] = 1;
    }
    return blend;
}

} // namespace duskcast
