#include "duskcast/photometry/aim.hpp"

#include <cmath>

namespace duskcast {

glm::dvec3 beam_axis(const Aim& aim) {
    return {std::sin(aim.tilt) * std::sin(aim.azimuth), std::sin(aim.tilt) * std::cos(aim.azimuth),
            std::cos(aim.tilt)};
}

glm::dmat3 world_from_fixture(const Aim& aim) {
    const double sin_azimuth = std::sin(aim.azimuth), cos_azimuth = std::cos(aim.azimuth);
    // C0 is d(beam axis)/d(tilt); C90 = zenith x C0, horizontal whatever the tilt.
    const glm::dvec3 c0{std::cos(aim.tilt) * sin_azimuth, std::cos(aim.tilt) * cos_azimuth,
                        -std::sin(aim.tilt)};
    const glm::dvec3 c90{cos_azimuth, -sin_azimuth, 0};
    const double sin_spin = std::sin(aim.spin), cos_spin = std::cos(aim.spin);
    return {cos_spin * c0 + sin_spin * c90, cos_spin * c90 - sin_spin * c0, -beam_axis(aim)};
}

} // namespace duskcast
