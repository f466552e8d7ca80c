#pragma once
// The facets of a body.

#include <glm/glm.hpp>
#include <string>
#include <vector>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// Round everything of the surfaces whose part_of is `part_of`; both corners 0 when there is nothing.
struct BodyBounds {
    glm::dvec3 low{0};
    glm::dvec3 high{0};

    glm::dvec3 middle() const { return (low + high) / 2.0; }
    bool is_empty() const { return low == high; }
};

BodyBounds find_body_bounds(const Stage& stage, const std::string& part_of);

/// The convex outline of the body in the plan, counter-clockwise.
std::vector<glm::dvec2> find_footprint(const Stage& stage, const std::string& part_of);

} // namespace duskcast
