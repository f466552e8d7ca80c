#include "duskcast/light/form_factor.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <glm/glm.hpp>

#include "duskcast/base/units.hpp"

namespace duskcast {

FactorTrend sample_factor(const PlaneReceiver& receiver, const PlaneRectangle& rectangle) {
    const double node = std::sqrt(1.0 / 3);
    const double half_u = rectangle.width() / 2, half_v = rectangle.height() / 2;
    std::array<double, 4> part{};
    for (int i = 0; i < 4; ++i) {
        const double u = rectangle.middle_u() + (i % 2 ? node : -node) * half_u;
        const double v = rectangle.middle_v() + (i / 2 ? node : -node) * half_v;
        const double away_u = u - receiver.u, away_v = v - receiver.v;
        const double square = away_u * away_u + away_v * away_v + receiver.height * receiver.height;
        part[i] = receiver.above_horizon(u, v) * receiver.height / (square * square);
    }
    const double sum = part[0] + part[1] + part[2] + part[3];
    if (!(sum > 0))
        return {};
    return {half_u * half_v * sum / pi, (part[1] + part[3] - part[0] - part[2]) / (node * sum),
            (part[2] + part[3] - part[0] - part[1]) / (node * sum)};
}

FactorTrend measure_cut_factor(const PlaneReceiver& receiver, const PlaneRectangle& rectangle) {
    constexpr int side = 6;
    constexpr std::array<double, side> places{-5.0 / side, -3.0 / side, -1.0 / side,
                                              1.0 / side,  3.0 / side,  5.0 / side};
    constexpr double mean_square = (1 - 1.0 / (side * side)) / 3; // of the places
    const double half_u = rectangle.width() / 2, half_v = rectangle.height() / 2;
    // Column by column, so that the sums of a row's spots wait for none of their neighbours.
    std::array<double, side> sum_of{}, along_v_of{};
    for (const double place_v : places)
        for (int i = 0; i < side; ++i) {
            const double u = rectangle.middle_u() + places[i] * half_u;
            const double v = rectangle.middle_v() + place_v * half_v;
            const double away_u = u - receiver.u, away_v = v - receiver.v;
            const double square = away_u * away_u + away_v * away_v + receiver.height * receiver.height;
            const double weight = std::max(0.0, receiver.above_horizon(u, v)) / (square * square);
            sum_of[i] += weight;
            along_v_of[i] += weight * place_v;
        }
    double sum = 0, along_u = 0, along_v = 0;
    for (int i = 0; i < side; ++i) {
        sum += sum_of[i];
        along_u += sum_of[i] * places[i];
        along_v += along_v_of[i];
    }
    FactorTrend found{.factor = measure_factor(receiver, rectangle)};
    if (sum > 0) {
        found.trend_u = along_u / (sum * mean_square);
        found.trend_v = along_v / (sum * mean_square);
    }
    return found;
}

double measure_factor(const PlaneReceiver& receiver, const PlaneRectangle& rectangle) {
    const std::array<glm::dvec2, 4> corners{glm::dvec2(rectangle.u0, rectangle.v0),
                                            {rectangle.u1, rectangle.v0},
                                            {rectangle.u1, rectangle.v1},
                                            {rectangle.u0, rectangle.v1}};
    // What lies above the horizon, as seen from the receiver.
    std::array<glm::dvec3, 5> seen;
    int count = 0;
    for (int i = 0; i < 4; ++i) {
        const glm::dvec2& from = corners[i];
        const glm::dvec2& to = corners[(i + 1) % 4];
        const double a = receiver.above_horizon(from.x, from.y), b = receiver.above_horizon(to.x, to.y);
        if (a >= 0)
            seen[count++] = {from.x - receiver.u, from.y - receiver.v, -receiver.height};
        if ((a > 0 && b < 0) || (a < 0 && b > 0)) {
            const glm::dvec2 at = from + a / (a - b) * (to - from);
            seen[count++] = {at.x - receiver.u, at.y - receiver.v, -receiver.height};
        }
    }
    const glm::dvec3 normal(receiver.normal_u, receiver.normal_v, receiver.normal_up);
    double sum = 0;
    for (int i = 0; i < count; ++i) {
        const glm::dvec3& from = seen[i];
        const glm::dvec3& to = seen[(i + 1) % count];
        const glm::dvec3 across = glm::cross(from, to);
        const double size = glm::length(across);
        if (size > 0)
            sum += std::atan2(size, glm::dot(from, to)) * glm::dot(normal, across) / size;
    }
    return std::abs(sum) / (2 * pi);
}

} // namespace duskcast
