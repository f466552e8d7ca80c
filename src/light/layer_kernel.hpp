#pragma once
// The innermost loop of all: one lamp and aim over all sensors.

#include <cmath>
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
    glm::vec3 c0{1, 0, 0}; ///< columns of the world_from_fixture rotation
    glm::vec3 c90{0, 1, 0};
    glm::vec3 zenith{0, 0, 1};
    const float* table = nullptr; ///< IntensityTable::values
    int rows = 0;
    int columns = 0;
    float scale = 1;
};

/// The direction (x, y) as a share 0..1 of the full turn from +x towards +y. Minimax polynomial for atan on
/// 0..1, odd, degree 11 (Abramowitz and Stegun 4.4.47 is the like with degree 9); largest error 4e-7 of a
/// turn.
inline float turn_share(float y, float x) {
    const float ax = std::fabs(x);
    const float ay = std::fabs(y);
    const float large = ax > ay ? ax : ay;
    const float small = ax > ay ? ay : ax;
    const float q = small / (large + 1e-30f);
    const float q2 = q * q;
    float angle =
        ((((((-0.0117212f * q2 + 0.05265332f) * q2 - 0.11643287f) * q2 + 0.19354346f) * q2 - 0.33262347f) *
              q2 +
          0.99997726f) *
         q) *
        0.15915494f;
    angle = ay > ax ? 0.25f - angle : angle;
    angle = x < 0 ? 0.5f - angle : angle;
    angle = y < 0 ? 1.0f - angle : angle;
    return angle;
}

/// Lux into `out`, one a sensor. Rotationally symmetric table.
void evaluate_symmetric(const LayerInput& input, float* out);

/// Lux into `out`, one a sensor. Full C-gamma table, bilinear.
void evaluate_table(const LayerInput& input, float* out);

} // namespace duskcast
