#include "duskcast/stage/surface.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace duskcast {

void Sensors::add(const glm::vec3& position, const glm::vec3& normal, float area_m2) {
    x.push_back(position.x);
    y.push_back(position.y);
    z.push_back(position.z);
    nx.push_back(normal.x);
    ny.push_back(normal.y);
    nz.push_back(normal.z);
    area.push_back(area_m2);
}

const char* name_of(SurfaceKind kind) {
    switch (kind) {
    case SurfaceKind::wall:
        return "wall";
    case SurfaceKind::projection:
        return "projection";
    case SurfaceKind::soffit:
        return "soffit";
    case SurfaceKind::opening:
        return "opening";
    case SurfaceKind::ground:
        return "ground";
    case SurfaceKind::tree:
        return "tree";
    case SurfaceKind::shrub:
        return "shrub";
    case SurfaceKind::lantern:
        return "lantern";
    case SurfaceKind::mesh:
        return "mesh";
    case SurfaceKind::roof:
        return "roof";
    case SurfaceKind::steps:
        return "steps";
    case SurfaceKind::railing:
        return "railing";
    case SurfaceKind::fountain:
        return "fountain";
    case SurfaceKind::water:
        return "water";
    }
    return "surface";
}

glm::dvec2 unfold(const std::vector<RunSegment>& run, double foot, const glm::dvec3& point) {
    const glm::dvec2 plan(point.x, point.y);
    double nearest = std::numeric_limits<double>::max();
    double along = 0;
    for (const RunSegment& segment : run) {
        const glm::dvec2 offset = plan - segment.start;
        const double on = std::clamp(glm::dot(offset, segment.direction), 0.0, segment.length);
        const double distance = glm::length(offset - on * segment.direction);
        if (distance < nearest) {
            nearest = distance;
            along = segment.along + on;
        }
    }
    return {along, point.z - foot};
}

std::optional<double> Surface::upper_edge(double u) const {
    std::optional<double> highest;
    for (const OutlineShape& shape : outline) {
        if (shape.role != OutlineShape::Role::edge)
            continue;
        const std::size_t edges = shape.points.size() - (shape.is_closed ? 0 : 1);
        for (std::size_t i = 0; i < edges; ++i) {
            const glm::dvec2& a = shape.points[i];
            const glm::dvec2& b = shape.points[(i + 1) % shape.points.size()];
            if (a.x == b.x || u < std::min(a.x, b.x) || u > std::max(a.x, b.x))
                continue;
            const double v = a.y + (u - a.x) / (b.x - a.x) * (b.y - a.y);
            highest = std::max(highest.value_or(v), v);
        }
    }
    return highest;
}

} // namespace duskcast
