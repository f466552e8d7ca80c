#pragma once
// What an eye sees: a perspective image of luminance.

#include <cstdint>
#include <filesystem>
#include <glm/glm.hpp>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/light/lighting.hpp"

namespace duskcast {

/// A pinhole camera, upright unless it looks straight up or down (then north is up). Pixels count from the
/// upper left corner; pixel (0, 0) covers 0..1 both ways.
struct Camera {
    int width = 0;
    int height = 0;
    glm::dvec3 eye{0};
    glm::dvec3 forward{0, 1, 0}; ///< unit, as are `right` and `up`
    glm::dvec3 right{1, 0, 0};
    glm::dvec3 up{0, 0, 1};
    double pixels_per_tangent = 1; ///< pixels from the middle per tangent of the angle off `forward`

    /// Unit direction through a place on the image.
    glm::dvec3 direction_at(const glm::dvec2& place) const;

    /// Place on the image, which may lie beside it; none for what is not before the eye.
    std::optional<glm::dvec2> project(const glm::dvec3& point) const;

    /// Steradians of a pixel whose middle is at `place`.
    double solid_angle_at(const glm::dvec2& place) const;
};

/// Throws InputError when the eye is at look_at, the field of view is not above 0 and below 180 degrees or
/// the image has no pixels.
Camera make_camera(const View& view, int width, int height);

/// Throws InputError when the eye lies below the ground, touches something, is inside a body or a house, or
/// sees little but backs of walls.
void check_eye(const Stage& stage, const View& view);

/// A lens that the eye sees.
struct SeenLens {
    std::size_t fixture = 0;
    glm::dvec2 place{0};     ///< of its middle on the image
    double radius = 0;       ///< pixels
    glm::dvec3 eye_lx{0};    ///< what it sends to the eye, per channel: I V / d2
    glm::dvec3 luminance{0}; ///< cd/m2 per channel: I / projected area of the lens
};

/// Row 0 is the top. Channels are linear sRGB whose luminance is cd/m2.
struct ViewImage {
    Camera camera;
    std::vector<glm::vec3> luminance;  ///< of surfaces and sky; lenses are in `lenses`
    std::vector<glm::vec3> sky_return; ///< cd/m2 per lux of a uniform sky on open level ground, unshadowed
    std::vector<glm::vec3> sun_return; ///< cd/m2 per lux of sun on a face square to it, shadows included
    std::vector<float> distance;       ///< metres from the eye at the pixel's middle; infinite: sky
    std::vector<std::int32_t> surface; ///< index into Stage::surfaces at the pixel's middle; -1: sky
    std::vector<SeenLens> lenses;

    std::size_t pixel_at(int x, int y) const { return static_cast<std::size_t>(y) * camera.width + x; }
};

/// Traces the light of every fixture to what the camera sees: L = (reflectance x E before + transmittance x
/// E behind) / pi (Lambert). Four rays a pixel with one spot of each lens each, sixteen where these or
/// neighbours differ. `bounced` empty: none, and the ambient sky reaches surfaces unshadowed; otherwise the
/// ambient light is in `bounced`. `ambient_lx` as Site::ambient. Same bytes for any number of threads.
ViewImage trace_view(const Stage& stage, const std::vector<LitFixture>& fixtures, const Camera& camera,
                     double ambient_lx, const BouncedLight& bounced = {}, const Progress& progress = {});

/// Unit direction towards the sun of the day picture: from the eye's back, left, 40 degrees high.
glm::dvec3 sun_direction(const Camera& camera);

} // namespace duskcast
