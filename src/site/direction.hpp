#pragma once
// Bearings in the plan.

#include <cmath>
#include <glm/glm.hpp>

namespace duskcast {

/// Plan direction of a compass angle, clockwise from north.
inline glm::dvec2 direction_of(double azimuth) {
    return {std::sin(azimuth), std::cos(azimuth)};
}

} // namespace duskcast
