#pragma once
// Facets and rays for the tests of the search tree, and a slow loop in double precision that judges them.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "duskcast/stage/facet_tree.hpp"
#include "stage_test.hpp"

namespace duskcast::test {

/// Facets without a site.
struct FacetSoup {
    Triangles opaque, cutouts;
    Leaves leaves;
    std::vector<Material> materials{Material{}};
    std::vector<Texture> textures;

    void add_triangle(const glm::vec3& a, const glm::vec3& b, const glm::vec3& c) {
        const auto first = static_cast<unsigned>(opaque.vertices.size());
        opaque.vertices.insert(opaque.vertices.end(), {a, b, c});
        opaque.add({first, first + 1, first + 2}, 0, 0, false);
    }
    /// See-through where the texture is, which must exist.
    void add_cutout(const glm::vec3& a, const glm::vec3& b, const glm::vec3& c) {
        const auto first = static_cast<unsigned>(cutouts.vertices.size());
        cutouts.vertices.insert(cutouts.vertices.end(), {a, b, c});
        cutouts.uv.insert(cutouts.uv.end(), {{0, 0}, {1, 0}, {0, 1}});
        cutouts.add({first, first + 1, first + 2}, 1, 0, false);
    }
    void add_leaf(const glm::vec3& centre, const glm::vec3& along, const glm::vec3& across) {
        leaves.corners.insert(leaves.corners.end(),
                              {centre - along, centre + across, centre + along, centre - across});
        leaves.material.push_back(0);
        leaves.surface.push_back(0);
    }
    /// A quarter of the texels, in squares of two by two, let light through.
    void add_chequered_material() {
        Texture texture{16, 16, {}};
        for (int y = 0; y < 16; ++y)
            for (int x = 0; x < 16; ++x)
                texture.rgba.insert(
                    texture.rgba.end(),
                    {200, 200, 200, static_cast<std::uint8_t>(x / 2 % 2 && y / 2 % 2 ? 0 : 255)});
        textures.push_back(texture);
        Material material;
        material.texture = 0;
        materials.push_back(material);
    }
};

/// What the slow loop says about a ray.
struct RefereeVerdict {
    bool is_hit = false;
    double distance = std::numeric_limits<double>::infinity(); ///< in lengths of the direction
    double from_edge =
        std::numeric_limits<double>::infinity(); ///< metres to the nearest edge that could matter
    double from_end = std::numeric_limits<double>::infinity(); ///< metres from a facet to an end of the ray

    /// Whether another answer may be right: within 2 micrometres of an edge, or 10 of a ray's end.
    bool is_doubtful() const { return from_edge < 2e-6 || from_end < 1e-5; }
};

/// Every facet by Moeller and Trumbore 1997; a leaf as two triangles. Takes all texels of cut-outs for solid
/// within a thousandth of a texel's edge.
class FacetReferee {
public:
    FacetReferee(const Triangles& opaque, const Triangles& cutouts, const Leaves& leaves,
                 const std::vector<Material>& materials, const std::vector<Texture>& textures)
        : cutouts_(cutouts), materials_(materials), textures_(textures) {
        for (const Triangles* triangles : {&opaque, &cutouts})
            for (std::size_t i = 0; i < triangles->size(); ++i) {
                const glm::uvec3& corner = triangles->corners[i];
                corners_.push_back({glm::dvec3(triangles->vertices[corner.x]),
                                    glm::dvec3(triangles->vertices[corner.y]),
                                    glm::dvec3(triangles->vertices[corner.z])});
                outer_.push_back({true, true, true});
                cutout_.push_back(triangles == &cutouts ? static_cast<int>(i) : -1);
            }
        for (std::size_t i = 0; i < leaves.size(); ++i) {
            const glm::vec3* corner = leaves.corners.data() + 4 * i;
            for (const int third : {1, 2}) {
                corners_.push_back(
                    {glm::dvec3(corner[0]), glm::dvec3(corner[third]), glm::dvec3(corner[third + 1])});
                outer_.push_back({third == 1, true, third == 2}); // not the diagonal
                cutout_.push_back(-1);
            }
        }
    }

    RefereeVerdict judge(const glm::dvec3& origin, const glm::dvec3& way, double near_end,
                         double far_end) const {
        RefereeVerdict verdict;
        const double length = glm::length(way);
        for (std::size_t i = 0; i < corners_.size(); ++i) {
            const std::array<glm::dvec3, 3>& corner = corners_[i];
            const glm::dvec3 e1 = corner[1] - corner[0], e2 = corner[2] - corner[0];
            const glm::dvec3 p = glm::cross(way, e2);
            const double determinant = glm::dot(e1, p);
            if (determinant == 0)
                continue;
            const glm::dvec3 s = origin - corner[0];
            const glm::dvec3 q = glm::cross(s, e1);
            const double u = glm::dot(s, p) / determinant, v = glm::dot(way, q) / determinant;
            const double distance = glm::dot(e2, q) / determinant;
            const double end = 1e-4 / length;
            if (distance < near_end - end || distance > far_end + end)
                continue;
            double outside = 0, edge = std::numeric_limits<double>::infinity();
            const std::array<double, 3> weight{v, 1 - u - v, u}; // of the corner opposite to each edge
            for (int k = 0; k < 3; ++k) {
                const glm::dvec3 along = corner[(k + 1) % 3] - corner[k];
                const glm::dvec3 across = glm::cross(along, way);
                const double off = std::abs(glm::dot(corner[k] - origin, across)) / glm::length(across);
                if (weight[k] < 0)
                    outside = std::max(outside, off);
                if (outer_[i][k])
                    edge = std::min(edge, off);
            }
            const bool is_inside = outside == 0;
            if (outside > 1e-4)
                continue;
            bool is_solid = true;
            if (cutout_[i] >= 0) {
                double texel = 0;
                is_solid = is_solid_texel(cutout_[i], u, v, texel);
                edge = std::min(edge, texel);
            }
            verdict.from_edge = std::min(verdict.from_edge, is_inside ? edge : outside);
            verdict.from_end = std::min({verdict.from_end, std::abs(distance - near_end) * length,
                                         std::abs(distance - far_end) * length});
            if (is_inside && is_solid && distance >= near_end && distance <= far_end) {
                verdict.is_hit = true;
                verdict.distance = std::min(verdict.distance, distance);
            }
        }
        return verdict;
    }

private:
    /// `edge`: distance to a texel's edge, where a thousandth of a texel counts as a micrometre.
    bool is_solid_texel(int cutout, double u, double v, double& edge) const {
        const glm::uvec3& corner = cutouts_.corners[cutout];
        const Texture& texture = textures_[materials_[cutouts_.material[cutout]].texture];
        const glm::dvec2 at = (1 - u - v) * glm::dvec2(cutouts_.uv[corner.x]) +
                              u * glm::dvec2(cutouts_.uv[corner.y]) + v * glm::dvec2(cutouts_.uv[corner.z]);
        const glm::dvec2 texel = at * glm::dvec2(texture.width, texture.height);
        edge =
            1e-3 * std::min(std::abs(texel.x - std::round(texel.x)), std::abs(texel.y - std::round(texel.y)));
        return texture.alpha(static_cast<float>(at.x), static_cast<float>(at.y)) >= 0.5f;
    }

    const Triangles& cutouts_;
    const std::vector<Material>& materials_;
    const std::vector<Texture>& textures_;
    std::vector<std::array<glm::dvec3, 3>> corners_;
    std::vector<std::array<bool, 3>> outer_; ///< which edges are the facet's own
    std::vector<int> cutout_;                ///< -1: solid
};

} // namespace duskcast::test
