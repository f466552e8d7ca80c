#include "facet_meeting.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <glm/glm.hpp>

namespace duskcast {

bool meet_facet(const float* corners, int corner_count, const float* origin, const float* direction,
                double near_end, double far_end, FacetMeeting& meeting) {
    constexpr double rounding = 1e-15; // of a triple product, as a share of its factors' lengths
    const glm::dvec3 start(origin[0], origin[1], origin[2]);
    const glm::dvec3 way(direction[0], direction[1], direction[2]);
    std::array<glm::dvec3, 4> p;
    double greatest_square = 0;
    for (int k = 0; k < corner_count; ++k) {
        p[k] = glm::dvec3(corners[3 * k], corners[3 * k + 1], corners[3 * k + 2]) - start;
        greatest_square = std::max(greatest_square, glm::dot(p[k], p[k]));
    }
    const double length = glm::length(way);
    // Volumes spanned by an edge and the ray: both facets at a shared edge find the same number, but for its
    // sign.
    std::array<double, 4> volume;
    double least = 0;
    double most = 0;
    for (int k = 0; k < corner_count; ++k) {
        volume[k] = glm::dot(glm::cross(p[k], p[k + 1 < corner_count ? k + 1 : 0]), way);
        least = k == 0 ? volume[k] : std::min(least, volume[k]);
        most = k == 0 ? volume[k] : std::max(most, volume[k]);
    }
    const double slack = rounding * greatest_square * length;
    if (least < -slack && most > slack)
        return false;
    const bool is_triangle = corner_count == 3;
    const glm::dvec3 one = is_triangle ? p[1] - p[0] : p[2] - p[0];
    const glm::dvec3 other = is_triangle ? p[2] - p[0] : p[3] - p[1];
    const glm::dvec3 normal = glm::cross(one, other);
    const double along = glm::dot(normal, way);
    if (std::abs(along) <= rounding * glm::length(one) * glm::length(other) * length)
        return false;
    meeting.distance = glm::dot(normal, p[0]) / along;
    if (!(meeting.distance >= near_end && meeting.distance <= far_end))
        return false;
    meeting.u = meeting.v = 0;
    if (is_triangle) {
        const double sum = volume[0] + volume[1] + volume[2];
        meeting.u = volume[2] / sum;
        meeting.v = volume[0] / sum;
    }
    return true;
}

} // namespace duskcast
