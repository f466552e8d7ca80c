#pragma once
// A photo laid on a plane of the property: what a face of a wall looks like seen square-on.

#include <optional>

#include "duskcast/photo/photo_file.hpp"
#include "duskcast/view/camera.hpp"

namespace duskcast {

/// A square on a plane.
struct PlaneSpot {
    glm::dvec3 middle{0};      ///< metres
    glm::dvec3 along{1, 0, 0}; ///< unit, one side of it
    glm::dvec3 up{0, 0, 1};    ///< unit, the other
    double side = 0.01;        ///< metres
};

/// The mean of the photo over a spot, linear sRGB, its pixels blended; none where the middle is not on the
/// picture. `camera`: of the photo.
std::optional<glm::vec3> find_on_plane(const PhotoPixels& photo, const Camera& camera, const PlaneSpot& spot);

} // namespace duskcast
