#pragma once
// A frame of unit vectors about a direction.

#include <cmath>
#include <glm/glm.hpp>

namespace duskcast {

/// Two unit vectors square to the unit vector `normal` and to each other; first, second and normal are
/// right-handed. Steady but where the normal passes 26 degrees off the vertical.
template <class Number> struct TangentFrame {
    using Vector = glm::vec<3, Number>;
    Vector first, second;

    explicit TangentFrame(const Vector& normal) {
        const Vector aside = std::abs(normal.z) < Number(0.9) ? Vector(0, 0, 1) : Vector(1, 0, 0);
        first = glm::normalize(glm::cross(normal, aside));
        second = glm::cross(normal, first);
    }
};

} // namespace duskcast
