#pragma once
// Which way a fixture points.

#include <glm/glm.hpp>

namespace duskcast {

/// Tilt from straight up (0 upright, pi straight down), azimuth clockwise from north (+y) seen from
/// above, spin of the lamp about its own axis. Radians.
struct Aim {
    double tilt = 0;
    double azimuth = 0;
    double spin = 0;

    bool operator==(const Aim&) const = default;
};

/// The fixture's own frame in the world: LM-63's type C frame, a rotation (determinant +1).
/// Columns: x = C0, y = C90, z = the photometric zenith, so the beam axis (gamma = 0) is -z and
/// a direction in the frame is (sin g cos C, sin g sin C, -cos g).
/// At spin 0, C0 is where the beam moves as the tilt grows: an upright fixture has C0 pointing
/// horizontally along its azimuth, towards the target, and C90 to the right of somebody who stands
/// behind it facing the target. Spin turns C0 towards C90.
glm::dmat3 world_from_fixture(const Aim& aim);

/// The beam axis in the world, a unit vector: (sin t sin a, sin t cos a, cos t).
glm::dvec3 beam_axis(const Aim& aim);

} // namespace duskcast
