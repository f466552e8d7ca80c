#pragma once
// Where the inside of closed bodies is.

#include <glm/glm.hpp>
#include <vector>

#include "duskcast/stage/geometry.hpp"

namespace duskcast {

/// The convex bodies of a stage (Triangles::bodies). Where two of them touch, two faces lie in one place, and
/// rays from within cannot tell which of them they meet; half-spaces can.
class SolidBodies {
public:
    explicit SolidBodies(const Triangles& triangles);

    /// Whether a point is inside one of them or within ten micrometres of it, which joins bodies that touch.
    /// Of a body that is not quite convex only what lies behind all of its faces counts.
    bool contain(const glm::vec3& point) const;

private:
    struct HalfSpace {
        glm::dvec3 normal; ///< unit, outwards
        double offset;
    };
    struct Body {
        glm::vec3 low, high;
        std::size_t first, last; ///< half-spaces
    };

    std::vector<Body> bodies_;
    std::vector<HalfSpace> faces_;
    glm::vec3 low_, high_; ///< of all
};

} // namespace duskcast
