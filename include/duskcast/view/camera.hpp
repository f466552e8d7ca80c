#pragma once
// The eye of a view and where things fall on its image.

#include <glm/glm.hpp>
#include <optional>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// A pinhole camera. Pixels count from the upper left corner; pixel (0, 0) covers 0..1 both ways.
struct Camera {
    int width = 0;
    int height = 0;
    glm::dvec3 eye{0};
    glm::dvec3 forward{0, 1, 0}; ///< unit, as are `right` and `up`
    glm::dvec3 right{1, 0, 0};
    glm::dvec3 up{0, 0, 1};
    double pixels_per_tangent = 1; ///< pixels from the axis per tangent of the angle off `forward`
    glm::dvec2 axis_offset{0};     ///< where `forward` meets the image, from its middle: pixels right, down
    double distortion =
        0; ///< of a photo's lens: tangents t fall where t (1 + distortion t^2) would (Brown 1971)

    /// Unit direction through a place on the image.
    glm::dvec3 direction_at(const glm::dvec2& place) const;

    /// Place on the image, which may lie beside it; none for what is not before the eye.
    std::optional<glm::dvec2> project(const glm::dvec3& point) const;

    /// Steradians of a pixel whose middle is at `place`.
    double solid_angle_at(const glm::dvec2& place) const;
};

/// Upright, unless it looks straight up or down: then north is up.
/// Throws InputError when the eye is at look_at, the field of view is not above 0 and below 180 degrees or
/// the image has no pixels.
Camera make_camera(const View& view, int width, int height);

/// Throws InputError when the eye lies below the ground, touches something, is inside a body or a house, or
/// sees little but backs of walls.
void check_eye(const Stage& stage, const View& view);

/// Unit direction towards the sun of the day picture: behind the eye, to its left, 40 degrees above the
/// horizon.
glm::dvec3 sun_direction(const Camera& camera);

} // namespace duskcast
