#pragma once
// The triangles of a stage under one numbering, opaque ones first, then cut-outs.

#include <cstddef>
#include <cstdint>
#include <glm/glm.hpp>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

struct FacetCorners {
    glm::dvec3 a, b, c;
    glm::dvec3 normal() const { return glm::cross(b - a, c - a); } ///< as long as twice the area
};

class StageFacets {
public:
    explicit StageFacets(const Stage& stage) : stage_(stage) {}

    std::size_t size() const { return stage_.opaque.size() + stage_.cutouts.size(); }
    const Triangles& triangles(std::size_t facet) const {
        return facet < stage_.opaque.size() ? stage_.opaque : stage_.cutouts;
    }
    /// Within `triangles`.
    std::size_t index(std::size_t facet) const {
        return facet < stage_.opaque.size() ? facet : facet - stage_.opaque.size();
    }
    bool is_ground(std::size_t facet) const {
        return stage_.surfaces[triangles(facet).surface[index(facet)]].kind == SurfaceKind::ground;
    }
    bool has_back(std::size_t facet) const {
        return stage_.is_two_sided(facet < stage_.opaque.size() ? FacetKind::opaque : FacetKind::cutout,
                                   static_cast<std::uint32_t>(index(facet)));
    }
    FacetCorners corners(std::size_t facet) const {
        const Triangles& from = triangles(facet);
        const glm::uvec3& corner = from.corners[index(facet)];
        return {glm::dvec3(from.vertices[corner.x]), glm::dvec3(from.vertices[corner.y]),
                glm::dvec3(from.vertices[corner.z])};
    }

private:
    const Stage& stage_;
};

} // namespace duskcast
