// Fountains, which are closed bodies turned about their axis.

#include <algorithm>
#include <cmath>

#include "builder.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/fountain_plan.hpp"
#include "mesh_sensors.hpp"
#include "turned.hpp"

namespace duskcast {
namespace {

constexpr int fountain_sides = 32;
/// Water full of air, as the foam of a jet: white and matt (an estimate, no source).
constexpr double foam_reflectance = 0.5;

/// Level, looking up: a circle's outline and, where it has a hole, back along that.
GlowFace make_ring_face(const glm::dvec2& middle, double z, double outer, double inner) {
    std::vector<glm::dvec3> outline = ring_about({middle, 0}, outer, z, fountain_sides);
    if (inner > 0) {
        outline.push_back(outline[0]);
        const std::vector<glm::dvec3> hole = ring_about({middle, 0}, inner, z, fountain_sides);
        outline.push_back(hole[0]);
        outline.insert(outline.end(), hole.rbegin(), hole.rend());
    }
    return GlowFace(outline);
}

/// Those of a surface that are not in the ground. `first`: none of it are before.
std::vector<MeshFacet> list_facets_above(const Stage& stage, std::uint16_t surface, std::size_t first,
                                         double foot) {
    const Triangles& triangles = stage.opaque;
    std::vector<MeshFacet> facets;
    for (std::size_t i = first; i < triangles.size(); ++i) {
        if (triangles.surface[i] != surface)
            continue;
        const MeshFacet facet = make_facet(triangles.facet(i));
        const double highest = std::max({facet.corner[0].z, facet.corner[1].z, facet.corner[2].z});
        if (highest > foot + 1e-4) // corners are floats
            facets.push_back(facet);
    }
    return facets;
}

} // namespace

void StageBuilder::build_fountains() {
    for (const Fountain& fountain : site.fountains) {
        const FountainProfile plan = plan_fountain(site, fountain);
        const std::uint16_t body = add_surface(fountain.id, SurfaceKind::fountain, fountain.id),
                            water = add_surface(fountain.id + ".water", SurfaceKind::water, fountain.id);
        const std::size_t first_facet = stage.opaque.size();
        const std::uint16_t stone = add_material(fountain.finish), dark = add_material(make_finish("water"));
        TurnedLine outline; // of one part after the other
        for (std::size_t i = 0; i + 1 < plan.points.size(); ++i) {
            const FountainProfile::Point &from = plan.points[i], &to = plan.points[i + 1];
            outline.emplace_back(from.radius, from.z);
            if (i + 2 < plan.points.size() && to.part == from.part)
                continue;
            outline.emplace_back(to.radius, to.z);
            std::uint16_t material = stone;
            if (from.part == FountainPart::bowl_water)
                material = dark;
            if (from.part == FountainPart::jet)
                material = add_material(Finish{.reflectance = glm::dvec3(foam_reflectance)});
            if (from.part == FountainPart::basin_water) {
                std::vector<GlowFace> faces{make_ring_face(fountain.at, from.z, from.radius, to.radius)};
                material = add_material(make_finish("water"), fountain.glow, faces[0].area);
                add_glow_source(water, material, std::move(faces));
            }
            const bool is_water =
                from.part == FountainPart::basin_water || from.part == FountainPart::bowl_water;
            for (const TurnedLine& line : part_at_corners(outline))
                add_turned(line, fountain.at, fountain_sides, material, is_water ? water : body,
                           stage.opaque);
            outline.clear();
        }
        sensor_jobs.emplace_back(
            [this, body, facets = list_facets_above(stage, body, first_facet, plan.foot)] {
                strew_sensors(*this, body, facets);
            });
    }
}

} // namespace duskcast
