#pragma once
// Which sensor's light stands for a spot that has none of its own.

#include <cstdint>
#include <glm/glm.hpp>
#include <vector>

#include "duskcast/stage/surface.hpp"

namespace duskcast {

/// Finds the nearest of some sensors that faces about the same way, by cubes of space.
class SensorFinder {
public:
    /// `sensors` must outlive it; `indices` are those to be found.
    SensorFinder(const Sensors& sensors, std::vector<std::uint32_t> indices);

    /// -1: none within `farthest` metres whose normal is within 70 degrees of the given one.
    std::int32_t find(const glm::vec3& position, const glm::vec3& normal, float farthest) const;

    struct Share {
        std::uint32_t sensor;
        float share;
    };

    /// Sensors within `reach` metres whose normal is within 70 degrees of the given one, with shares that
    /// sum to one and fall to nothing at both bounds: light mixed by them runs evenly from spot to spot.
    /// Empty: there are none.
    std::vector<Share> mix(const glm::vec3& position, const glm::vec3& normal, float reach) const;

private:
    glm::ivec3 cube_of(const glm::vec3& position) const;
    std::size_t index_of(const glm::ivec3& cube) const;

    const Sensors& sensors_;
    glm::vec3 low_{0};
    float side_ = 1; ///< of a cube, metres
    glm::ivec3 count_{1};
    std::vector<std::uint32_t> first_; ///< of each cube, in found_; one more closes the last
    std::vector<std::uint32_t> found_;
};

} // namespace duskcast
