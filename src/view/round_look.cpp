#include "round_look.hpp"

#include <algorithm>
#include <cmath>

#include "noise.hpp"

namespace duskcast {
namespace {

glm::vec3 unit_of(const glm::vec3& way) {
    return way / std::max(glm::length(way), 1e-12f);
}

/// Along its normal, as long as twice the facet's area.
glm::vec3 doubled_area(const Triangles& facets, std::size_t facet) {
    const glm::uvec3& corner = facets.corners[facet];
    const glm::vec3& a = facets.vertices[corner.x];
    return glm::cross(facets.vertices[corner.y] - a, facets.vertices[corner.z] - a);
}

SurfaceKind kind_of(const Stage& stage, std::size_t facet) {
    return stage.surfaces[stage.opaque.surface[facet]].kind;
}

bool is_round(SurfaceKind kind) {
    return kind == SurfaceKind::tree || kind == SurfaceKind::fountain;
}

} // namespace

float bark_height(const glm::vec3& at) {
    // Plates a hand wide and a foot long between deep furrows, cracks across them, and grain (all by eye).
    // Furrows wander: straight ones look like sawn wood.
    const glm::vec3 slow = at / glm::vec3(0.16f, 0.16f, 0.3f);
    const glm::vec3 bent = at + 0.03f * glm::vec3(solid_noise(slow, 3), solid_noise(slow, 4), 0);
    const float plate = solid_noise(bent / glm::vec3(0.06f, 0.06f, 0.42f), 0);
    const float crack = solid_noise(bent / glm::vec3(0.03f, 0.03f, 0.11f), 2);
    const float grain = solid_noise(at / glm::vec3(0.012f, 0.012f, 0.05f), 1);
    const float furrow = std::max(0.0f, 1 - 3.2f * std::abs(plate)),
                cleft = std::max(0.0f, 1 - 4.5f * std::abs(crack));
    return -bark_depth * std::min(1.0f, 0.75f * furrow + 0.3f * cleft + 0.1f * (1 + grain));
}

RoundLook::RoundLook(const Stage& stage) : stage_(stage) {
    const Triangles& facets = stage.opaque;
    if (std::none_of(stage.surfaces.begin(), stage.surfaces.end(),
                     [](const Surface& one) { return is_round(one.kind); }))
        return;
    std::vector<glm::vec3> by_area(facets.vertices.size(), glm::vec3(0));
    normals_ = by_area;
    for (std::size_t facet = 0; facet < facets.size(); ++facet) {
        if (!is_round(kind_of(stage, facet)))
            continue;
        const glm::uvec3& corner = facets.corners[facet];
        for (int i = 0; i < 3; ++i)
            by_area[corner[i]] += doubled_area(facets, facet);
    }
    // Each facet by its angle at the vertex, so that how a side is cut in triangles turns nothing; without
    // the ends of limbs, which are cut square.
    for (std::size_t facet = 0; facet < facets.size(); ++facet) {
        if (!is_round(kind_of(stage, facet)))
            continue;
        const glm::uvec3& corner = facets.corners[facet];
        const glm::vec3 normal = unit_of(doubled_area(facets, facet));
        for (int i = 0; i < 3; ++i) {
            const glm::vec3& at = facets.vertices[corner[i]];
            const glm::vec3 one = unit_of(facets.vertices[corner[(i + 1) % 3]] - at),
                            other = unit_of(facets.vertices[corner[(i + 2) % 3]] - at);
            if (glm::dot(normal, unit_of(by_area[corner[i]])) > 0.75f)
                normals_[corner[i]] += std::acos(std::clamp(glm::dot(one, other), -1.0f, 1.0f)) * normal;
        }
    }
}

std::optional<RoundLook::Spot> RoundLook::find(const Hit& hit, const glm::vec3& position,
                                               const glm::vec3& facing, float width) const {
    if (normals_.empty() || hit.kind != FacetKind::opaque || !is_round(kind_of(stage_, hit.facet)))
        return std::nullopt;
    const glm::uvec3& corner = stage_.opaque.corners[hit.facet];
    glm::vec3 round = (1 - hit.u - hit.v) * unit_of(normals_[corner.x]) +
                      hit.u * unit_of(normals_[corner.y]) + hit.v * unit_of(normals_[corner.z]);
    if (glm::dot(round, facing) < 0)
        round = -round;
    // Where a limb ends facets meet at any angle, and a round of them means nothing.
    if (!(glm::dot(round, facing) > 0.5f * glm::length(round)) || !(glm::length(round) > 0.2f))
        return std::nullopt;
    Spot spot{.normal = unit_of(round)};
    if (kind_of(stage_, hit.facet) != SurfaceKind::tree)
        return spot;
    const float shown = std::clamp(1.6f - width / 0.03f, 0.0f, 1.0f);
    if (!(shown > 0))
        return spot;
    const float step = std::max(0.003f, 0.5f * width);
    const float height = bark_height(position);
    glm::vec3 slope(0);
    for (int axis = 0; axis < 3; ++axis) {
        glm::vec3 aside = position;
        aside[axis] += step;
        slope[axis] = (bark_height(aside) - height) / step;
    }
    slope -= glm::dot(slope, spot.normal) * spot.normal;
    spot.normal -= shown * slope;
    // Furrows see less of what is round them.
    constexpr float mean_height = -0.391f * bark_depth;
    spot.level = 1 + shown * 0.7f * (height - mean_height) / bark_depth;
    return spot;
}

RoundBounce::RoundBounce(const Stage& stage, const BouncedLight& bounced) : facets_(&stage.opaque) {
    struct Known {
        glm::uvec3 corners;
        float weight;
        glm::vec3 lux;
    };
    std::vector<Known> known;
    for (std::size_t facet = 0; facet < facets_->size(); ++facet) {
        if (!is_round(kind_of(stage, facet)))
            continue;
        const glm::uvec3& corners = facets_->corners[facet];
        const glm::vec3 along = doubled_area(*facets_, facet), normal = unit_of(along);
        const glm::vec3 middle =
            (facets_->vertices[corners.x] + facets_->vertices[corners.y] + facets_->vertices[corners.z]) /
            3.0f;
        const Hit hit{.kind = FacetKind::opaque,
                      .facet = static_cast<std::uint32_t>(facet),
                      .u = 1.0f / 3,
                      .v = 1.0f / 3,
                      .normal = normal};
        const glm::vec3 lux(bounced(hit, middle, normal));
        if (lux != glm::vec3(0)) // not underground or within a fork
            known.push_back({corners, glm::length(along), lux});
    }
    if (known.empty())
        return;
    // Twice, as the light of neighbouring facets also differs by chance.
    std::vector<float> weights(facets_->vertices.size());
    for (int pass = 0; pass < 2; ++pass) {
        lux_.assign(facets_->vertices.size(), glm::vec3(0));
        std::fill(weights.begin(), weights.end(), 0.0f);
        for (const Known& one : known)
            for (int i = 0; i < 3; ++i)
                lux_[one.corners[i]] += one.weight * one.lux, weights[one.corners[i]] += one.weight;
        for (std::size_t i = 0; i < lux_.size(); ++i)
            if (weights[i] > 0)
                lux_[i] /= weights[i];
        for (Known& one : known)
            one.lux = (lux_[one.corners.x] + lux_[one.corners.y] + lux_[one.corners.z]) / 3.0f;
    }
}

glm::vec3 RoundBounce::at(const Hit& hit) const {
    const glm::uvec3& corner = facets_->corners[hit.facet];
    return (1 - hit.u - hit.v) * lux_[corner.x] + hit.u * lux_[corner.y] + hit.v * lux_[corner.z];
}

} // namespace duskcast
