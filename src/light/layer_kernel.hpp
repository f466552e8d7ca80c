#pragma once
// The innermost loop of all: one lamp and aim over all sensors.

#include <cstddef>

#include <glm/glm.hpp>

namespace duskcast {

/// What the loop needs, as bare pointers into structures of arrays.
struct LayerInput {
    const float* x = nullptr; ///< sensor positions, metres
    const float* y = nullptr;
    const float* z = nullptr;
    const float* transfer = nullptr; ///< V cos / d^2 a sensor
    std::size_t count = 0;
    glm::vec3 lens{0};
    glm::vec3 c0{1, 0, 0};   ///< columns of the world_from_fixture rotation
    glm::vec3 c90{0, 1, 0};
    glm::vec3 zenith{0, 0, 1};
    const float* table = nullptr; ///< IntensityTable::values
    int rows = 0;
    int columns = 0;
    float scale = 1;
};

/// Lux into `out`, one a sensor. Rotationally symmetric table.
void evaluate_symmetric(const LayerInput& input, float* out);

/// Lux into `out`, one a sensor. Full C-gamma table, bilinear.
void evaluate_table(const LayerInput& input, float* out);

} // namespace duskcast
