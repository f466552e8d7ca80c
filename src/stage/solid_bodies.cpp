#include "duskcast/stage/solid_bodies.hpp"

#include <algorithm>
#include <array>
#include <glm/vector_relational.hpp>
#include <limits>

namespace duskcast {

namespace {

constexpr double skin = 1e-5;         // metres round a body that count as inside
constexpr double known_height = 1e-3; // metres of a triangle: the plane of a lower one is not known well
constexpr float beyond_all = std::numeric_limits<float>::infinity();

bool is_in_box(const glm::vec3& point, const glm::vec3& low, const glm::vec3& high) {
    return glm::all(glm::greaterThan(point, low)) && glm::all(glm::lessThan(point, high));
}

} // namespace

SolidBodies::SolidBodies(const Triangles& triangles) : low_(beyond_all), high_(-beyond_all) {
    for (const glm::uvec2& range : triangles.bodies) {
        Body body{glm::vec3(beyond_all), glm::vec3(-beyond_all), faces_.size(), 0};
        for (unsigned i = range.x; i < range.y; ++i) {
            std::array<glm::dvec3, 3> corner;
            for (int k = 0; k < 3; ++k) {
                const glm::vec3& vertex = triangles.vertices[triangles.corners[i][k]];
                body.low = glm::min(body.low, vertex - static_cast<float>(skin));
                body.high = glm::max(body.high, vertex + static_cast<float>(skin));
                corner[k] = glm::dvec3(vertex);
            }
            const glm::dvec3 across = glm::cross(corner[1] - corner[0], corner[2] - corner[0]);
            const double length = glm::length(across);
            const double longest =
                std::max({glm::distance(corner[0], corner[1]), glm::distance(corner[1], corner[2]),
                          glm::distance(corner[2], corner[0])});
            if (length > known_height * longest)
                faces_.push_back({across / length, glm::dot(across, corner[0]) / length});
        }
        body.last = faces_.size();
        low_ = glm::min(low_, body.low);
        high_ = glm::max(high_, body.high);
        bodies_.push_back(body);
    }
}

bool SolidBodies::contain(const glm::vec3& point) const {
    if (!is_in_box(point, low_, high_))
        return false;
    const glm::dvec3 at(point);
    return std::any_of(bodies_.begin(), bodies_.end(), [&](const Body& body) {
        return is_in_box(point, body.low, body.high) &&
               std::all_of(
                   faces_.begin() + static_cast<std::ptrdiff_t>(body.first),
                   faces_.begin() + static_cast<std::ptrdiff_t>(body.last),
                   [&](const HalfSpace& face) { return glm::dot(face.normal, at) < face.offset + skin; });
    });
}

} // namespace duskcast
