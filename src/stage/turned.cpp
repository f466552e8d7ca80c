#include "turned.hpp"

#include <cmath>

#include "duskcast/site/fountain_plan.hpp"

namespace duskcast {
namespace {

/// Of the angle that an outline turns by at a point.
double cosine_at(const TurnedLine& outline, std::size_t i) {
    return glm::dot(glm::normalize(outline[i] - outline[i - 1]), glm::normalize(outline[i + 1] - outline[i]));
}

} // namespace

std::vector<glm::dvec3> ring_about(const glm::dvec3& centre, double radius, double z, int count) {
    std::vector<glm::dvec3> ring;
    for (const glm::dvec2& point : circle_round(glm::dvec2(centre), radius, count))
        ring.emplace_back(point, centre.z + z);
    return ring;
}

std::vector<TurnedLine> part_at_corners(const TurnedLine& outline) {
    static const double least_cosine = std::cos(radians_from_degrees(48));
    std::vector<TurnedLine> lines;
    for (std::size_t i = 0; i + 1 < outline.size(); ++i) {
        if (i == 0 || cosine_at(outline, i) < least_cosine)
            lines.push_back({outline[i]});
        lines.back().push_back(outline[i + 1]);
    }
    // Bends cut off twice, which nears a quadratic spline (Chaikin 1974).
    for (TurnedLine& line : lines)
        for (int round = 0; round < 2; ++round) {
            TurnedLine finer{line.front()};
            for (std::size_t i = 1; i + 1 < line.size(); ++i) {
                if (cosine_at(line, i) > 1 - 1e-9) {
                    finer.push_back(line[i]);
                    continue;
                }
                finer.push_back(glm::mix(line[i - 1], line[i], 0.75));
                finer.push_back(glm::mix(line[i], line[i + 1], 0.25));
            }
            finer.push_back(line.back());
            line = std::move(finer);
        }
    return lines;
}

void add_turned(const TurnedLine& line, const glm::dvec2& axis, int count, std::uint16_t material,
                std::uint16_t surface, Triangles& triangles) {
    const auto sides = static_cast<unsigned>(count);
    const auto is_pole = [&](std::size_t i) { return !(line[i].x > 0); };
    std::vector<unsigned> firsts;
    for (std::size_t i = 0; i < line.size(); ++i) {
        firsts.push_back(static_cast<unsigned>(triangles.vertices.size()));
        for (const glm::dvec3& point : ring_about({axis, 0}, line[i].x, line[i].y, is_pole(i) ? 1 : count))
            triangles.vertices.emplace_back(point);
    }
    for (std::size_t i = 0; i + 1 < line.size(); ++i)
        for (unsigned side = 0; side < sides; ++side) {
            const auto at = [&](std::size_t ring, unsigned turn) {
                return firsts[ring] + (is_pole(ring) ? 0 : turn % sides);
            };
            if (!is_pole(i))
                triangles.add({at(i, side), at(i, side + 1), at(i + 1, side + 1)}, material, surface, true);
            if (!is_pole(i + 1))
                triangles.add({at(i, side), at(i + 1, side + 1), at(i + 1, side)}, material, surface, true);
        }
}

} // namespace duskcast
