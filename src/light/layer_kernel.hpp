#pragma once
// The innermost loop of all: one lamp and aim over all sensors.

#include <cmath>
#include <cstddef>

#include <glm/glm.hpp>

#include "duskcast/photometry/aim.hpp"
#include "duskcast/photometry/intensity_table.hpp"

namespace duskcast {

/// What the loop needs, as bare pointers into structures of arrays.
struct LayerInput {
    const float* x = nullptr; ///< sensor positions, metres
    const float* y = nullptr;
    const float* z = nullptr;
    const float* transfer = nullptr; ///< V cos / d^2 a sensor
    std::size_t count = 0;
    glm::vec3 lens{0};
    glm::vec3 c0{1, 0, 0}; ///< columns of the world_from_fixture rotation
    glm::vec3 c90{0, 1, 0};
    glm::vec3 zenith{0, 0, 1};
    const float* table = nullptr; ///< IntensityTable::values
    int rows = 0;
    int columns = 0;
    float scale = 1;
};

/// A lamp and its aim; where the sensors are is left to the caller.
inline LayerInput make_layer_input(const Aim& aim, const IntensityTable& table) {
    const glm::dmat3 world_from_lamp = world_from_fixture(aim);
    LayerInput input;
    input.c0 = world_from_lamp[0];
    input.c90 = world_from_lamp[1];
    input.zenith = world_from_lamp[2];
    input.table = table.values().data();
    input.rows = table.rows();
    input.columns = table.columns();
    return input;
}

/// The direction (x, y) as a share 0..1 of the full turn from +x towards +y, given `q`, the smaller of |x|
/// and |y| over the larger. Abramowitz and Stegun 4.4.49; largest error 2e-6 of a turn.
inline float turn_share(float y, float x, float q) {
    const float q2 = q * q;
    float angle = ((((0.0208351f * q2 - 0.0851330f) * q2 + 0.1801410f) * q2 - 0.3302995f) * q2 + 0.9998660f) *
                  q * 0.15915494f;
    angle = std::fabs(y) > std::fabs(x) ? 0.25f - angle : angle;
    angle = x < 0 ? 0.5f - angle : angle;
    angle = y < 0 ? 1.0f - angle : angle;
    return angle;
}

/// Lux into `out`, one a sensor. Rotationally symmetric table.
void evaluate_symmetric(const LayerInput& input, float* out);

/// sums[i] += values[i]
void add_values(const float* values, std::size_t count, double* sums);

/// Lux into `out`, one a sensor. Full C-gamma table, bilinear.
void evaluate_table(const LayerInput& input, float* out);

} // namespace duskcast
