#pragma once
// Light that reaches a spot by way of other surfaces.

#include <functional>
#include <glm/glm.hpp>

#include "duskcast/stage/ray_kernel.hpp"

namespace duskcast {

/// Lux per channel (linear sRGB) at a spot on the facet that was hit, reflected by other surfaces or from
/// the ambient sky; light straight from a fixture is not in it. `facing` is the facet's unit normal turned to
/// the side that is asked for. Thread-safe.
using BouncedLight =
    std::function<glm::dvec3(const Hit& hit, const glm::vec3& position, const glm::vec3& facing)>;

} // namespace duskcast
