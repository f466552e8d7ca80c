#pragma once
// Sensors on OBJ meshes.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
#include <vector>

#include "builder.hpp"

namespace duskcast {

/// A triangle of a mesh in the site's axes.
struct MeshFacet {
    std::array<glm::dvec3, 3> corner;
    glm::dvec3 normal{0};
    double area = 0;
    bool is_cutout = false;
    int texture = -1;
    std::array<glm::vec2, 3> uv{};
};

/// A triangle that is not a cut-out, with its area and its normal.
MeshFacet make_facet(const std::array<glm::dvec3, 3>& corner);

/// Of all of them, m2.
double area_of(const std::vector<MeshFacet>& facets);

/// Lays a grid of sensors on surface `index`, over the facets of an upright plane n . x = offset, between the
/// heights `low` and `high`; cells cut by the facets' edges keep what is left of their area.
void place_plane_sensors(StageBuilder& builder, std::uint16_t index, const std::vector<MeshFacet>& facets,
                         const glm::dvec3& normal, double offset, double low, double high);

/// Lays one sensor on surface `index` for every spacing squared of area, evenly along the running sum of
/// area and over each facet. Cut-outs are leaves and the like: both their sides count, and nothing is laid
/// where they are see-through.
void strew_sensors(StageBuilder& builder, std::uint16_t index, const std::vector<MeshFacet>& facets);

/// Where those stand, one for every `per_sensor`, m2, by random numbers that follow from the surface's id.
std::vector<SensorSpot> strew_spots(const Stage& stage, const std::string& id,
                                    const std::vector<MeshFacet>& facets, double per_sensor);

} // namespace duskcast
