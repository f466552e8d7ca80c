#include "facet_meeting.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <glm/glm.hpp>

namespace duskcast {

namespace {

constexpr double rounding = 1e-15; // of a triple product, as a share of its factors' lengths

struct FacetCorners {
    std::array<glm::dvec3, 4> p; ///< less the ray's start
    int count;

    FacetCorners(const float* corners, int corner_count, const float* origin) : count(corner_count) {
        const glm::dvec3 start(origin[0], origin[1], origin[2]);
        for (int k = 0; k < count; ++k)
            p[k] = glm::dvec3(corners[3 * k], corners[3 * k + 1], corners[3 * k + 2]) - start;
    }
};

glm::dvec3 vector_of(const double* of) {
    return {of[0], of[1], of[2]};
}

void put(const glm::dvec3& from, double* to) {
    for (int axis = 0; axis < 3; ++axis)
        to[axis] = from[axis];
}

void see_edges(const FacetCorners& corners, SeenFacet& seen) {
    seen.corner_count = corners.count;
    double greatest_square = 0;
    for (int k = 0; k < corners.count; ++k) {
        greatest_square = std::max(greatest_square, glm::dot(corners.p[k], corners.p[k]));
        put(glm::cross(corners.p[k], corners.p[k + 1 < corners.count ? k + 1 : 0]), seen.edge[k]);
    }
    seen.edge_slack = rounding * greatest_square;
}

void see_plane(const FacetCorners& corners, SeenFacet& seen) {
    const std::array<glm::dvec3, 4>& p = corners.p;
    const bool is_triangle = corners.count == 3;
    const glm::dvec3 one = is_triangle ? p[1] - p[0] : p[2] - p[0];
    const glm::dvec3 other = is_triangle ? p[2] - p[0] : p[3] - p[1];
    const glm::dvec3 normal = glm::cross(one, other);
    put(normal, seen.normal);
    seen.offset = glm::dot(normal, p[0]);
    seen.along_slack = rounding * glm::length(one) * glm::length(other);
}

/// The volumes spanned by each edge and the ray: both facets at a shared edge find the same number, but for
/// its sign.
std::array<double, 4> find_volumes(const SeenFacet& seen, const glm::dvec3& way) {
    std::array<double, 4> volume{};
    for (int k = 0; k < seen.corner_count; ++k)
        volume[k] = glm::dot(vector_of(seen.edge[k]), way);
    return volume;
}

bool is_within_edges(const SeenFacet& seen, const std::array<double, 4>& volume, double length) {
    double least = volume[0], most = volume[0];
    for (int k = 1; k < seen.corner_count; ++k) {
        least = std::min(least, volume[k]);
        most = std::max(most, volume[k]);
    }
    const double slack = seen.edge_slack * length;
    return !(least < -slack && most > slack);
}

FacetMeeting meeting_at(const SeenFacet& seen, const std::array<double, 4>& volume, double along) {
    FacetMeeting meeting{seen.offset / along, 0, 0};
    if (seen.corner_count == 3) {
        const double sum = volume[0] + volume[1] + volume[2];
        meeting.u = volume[2] / sum;
        meeting.v = volume[0] / sum;
    }
    return meeting;
}

bool meet_plane(const SeenFacet& seen, const glm::dvec3& way, double length,
                const std::array<double, 4>& volume, double near_end, double far_end, FacetMeeting& meeting) {
    const double along = glm::dot(vector_of(seen.normal), way);
    if (std::abs(along) <= seen.along_slack * length)
        return false;
    meeting = meeting_at(seen, volume, along);
    return meeting.distance >= near_end && meeting.distance <= far_end;
}

} // namespace

void see_facet(const float* corners, int corner_count, const float* origin, SeenFacet& seen) {
    const FacetCorners from_origin(corners, corner_count, origin);
    see_edges(from_origin, seen);
    see_plane(from_origin, seen);
}

bool meet_facet(const SeenFacet& seen, const float* direction, double near_end, double far_end,
                FacetMeeting& meeting) {
    const glm::dvec3 way(direction[0], direction[1], direction[2]);
    const double length = glm::length(way);
    const std::array<double, 4> volume = find_volumes(seen, way);
    return is_within_edges(seen, volume, length) &&
           meet_plane(seen, way, length, volume, near_end, far_end, meeting);
}

bool meet_facet(const float* corners, int corner_count, const float* origin, const float* direction,
                double near_end, double far_end, FacetMeeting& meeting) {
    const glm::dvec3 way(direction[0], direction[1], direction[2]);
    const double length = glm::length(way);
    const FacetCorners from_origin(corners, corner_count, origin);
    SeenFacet seen;
    see_edges(from_origin, seen);
    const std::array<double, 4> volume = find_volumes(seen, way);
    if (!is_within_edges(seen, volume, length))
        return false;
    see_plane(from_origin, seen);
    return meet_plane(seen, way, length, volume, near_end, far_end, meeting);
}

double find_distance(const SeenFacet& seen, const float* direction) {
    const glm::dvec3 way(direction[0], direction[1], direction[2]);
    return seen.offset / glm::dot(vector_of(seen.normal), way);
}

void find_meeting(const SeenFacet& seen, const float* direction, float& distance, float& u, float& v) {
    const glm::dvec3 way(direction[0], direction[1], direction[2]);
    const FacetMeeting meeting =
        meeting_at(seen, find_volumes(seen, way), glm::dot(vector_of(seen.normal), way));
    distance = static_cast<float>(meeting.distance);
    u = static_cast<float>(meeting.u);
    v = static_cast<float>(meeting.v);
}

} // namespace duskcast
