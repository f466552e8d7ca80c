#pragma once
// Facets as they come, and what solid geometry says of them.

#include "stage_test.hpp"

namespace duskcast::test {

using Facet = std::array<glm::vec3, 3>;

/// All triangles by corner positions.
inline std::vector<Facet> list_facets(const Triangles& triangles) {
    std::vector<Facet> facets;
    for (const glm::uvec3& corner : triangles.corners)
        facets.push_back(
            {triangles.vertices[corner.x], triangles.vertices[corner.y], triangles.vertices[corner.z]});
    return facets;
}

inline std::vector<Facet> facets_of(const Stage& stage, const std::string& id) {
    return pick_triangles(stage, [&](const Surface& surface) { return surface.id == id; });
}

/// Half the cross product of two edges: the facet's area along its normal.
inline glm::dvec3 area_vector(const Facet& facet) {
    const glm::dvec3 a(facet[0]), b(facet[1]), c(facet[2]);
    return glm::cross(b - a, c - a) / 2.0;
}

struct SolidSums {
    double area = 0, volume = 0; ///< m2; m3 by the divergence theorem, positive where facets look outwards
    glm::dvec3 normals{0};       ///< sum of the area vectors: nothing where bodies are closed
    glm::dvec3 low{1e9}, high{-1e9};
};

inline SolidSums sum_solid(const std::vector<Facet>& facets) {
    SolidSums sums;
    for (const Facet& facet : facets) {
        const glm::dvec3 across = area_vector(facet);
        sums.area += glm::length(across);
        sums.normals += across;
        sums.volume += glm::dot(glm::dvec3(facet[0]), across) / 3;
        for (const glm::vec3& corner : facet) {
            sums.low = glm::min(sums.low, glm::dvec3(corner));
            sums.high = glm::max(sums.high, glm::dvec3(corner));
        }
    }
    return sums;
}

/// How many edges are not walked as often one way as the other: none of a closed body, wherever its faces
/// are split alike.
inline int count_open_edges(const std::vector<Facet>& facets) {
    const auto edges = count_edges(facets);
    int open = 0;
    for (const auto& [edge, count] : edges) {
        const auto back = edges.find({edge.second, edge.first});
        open += back == edges.end() || back->second != count ? 1 : 0;
    }
    return open;
}

/// How many bodies are round a point: the solid angles of all facets over 4 pi (van Oosterom and Strackee
/// 1983). Whole numbers away from the facets, whatever overlaps.
inline double count_bodies_round(const std::vector<Facet>& facets, const glm::dvec3& point) {
    double sum = 0;
    for (const Facet& facet : facets) {
        const glm::dvec3 a = glm::dvec3(facet[0]) - point, b = glm::dvec3(facet[1]) - point,
                         c = glm::dvec3(facet[2]) - point;
        const double la = glm::length(a), lb = glm::length(b), lc = glm::length(c);
        sum += 2 * std::atan2(glm::dot(a, glm::cross(b, c)),
                              la * lb * lc + glm::dot(a, b) * lc + glm::dot(b, c) * la + glm::dot(c, a) * lb);
    }
    return sum / (4 * pi);
}

/// Checks at points in and about the facets' box that a whole number of bodies is round each, and none less
/// than nothing, which a body turned inside out would be. Returns how many of the points lie inside.
inline int check_bodies(const std::vector<Facet>& facets, int points, std::uint64_t seed) {
    const SolidSums sums = sum_solid(facets);
    Dice dice(seed);
    int inside = 0;
    for (int i = 0; i < points; ++i) {
        glm::dvec3 point;
        for (int axis = 0; axis < 3; ++axis)
            point[axis] = dice.uniform(sums.low[axis] - 0.05, sums.high[axis] + 0.05);
        const double round = count_bodies_round(facets, point);
        CHECK(std::abs(round - std::round(round)) < 1e-3);
        CHECK(round > -0.5);
        inside += round > 0.5 ? 1 : 0;
    }
    return inside;
}

/// A regular polygon's area over that of its circle's square on the radius: n / 2 sin(2 pi / n).
inline double polygon_share(int sides) {
    return sides / 2.0 * std::sin(2 * pi / sides);
}

/// Of a frustum between two like cross-sections: h / 3 (A + sqrt(A B) + B).
inline double frustum_volume(double height, double below, double above) {
    return height / 3 * (below + std::sqrt(below * above) + above);
}

} // namespace duskcast::test
