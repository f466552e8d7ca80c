#pragma once
// What an eye sees: a perspective image of luminance.

#include <cstdint>
#include <glm/glm.hpp>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/view/camera.hpp"

namespace duskcast {

/// A lens that the eye sees.
struct SeenLens {
    std::size_t fixture = 0;
    glm::dvec2 place{0};     ///< of its middle on the image
    double radius = 0;       ///< pixels
    glm::dvec3 eye_lx{0};    ///< what it sends to the eye, per channel: I V / d2
    glm::dvec3 luminance{0}; ///< cd/m2 per channel: I / projected area of the lens
};

/// What the rays of an image's pixels bring.
struct ViewPixels {
    std::vector<glm::vec3> luminance;  ///< of surfaces and sky
    std::vector<glm::vec3> sky_return; ///< cd/m2 per lux of a uniform sky on open level ground, unshadowed
    std::vector<glm::vec3> sun_return; ///< cd/m2 per lux of sun on a face square to it, shadows included
};

/// Row 0 is the top. Channels are linear sRGB whose luminance is cd/m2.
struct ViewImage {
    Camera camera;
    std::vector<glm::vec3> luminance;  ///< of surfaces and sky; lenses are in `lenses`
    std::vector<glm::vec3> sky_return; ///< cd/m2 per lux of a uniform sky on open level ground, unshadowed
    std::vector<glm::vec3> sun_return; ///< cd/m2 per lux of sun on a face square to it, shadows included
    std::vector<float> open_share;     ///< of the pixel's rays that met nothing; empty: not known
    std::vector<float> distance;       ///< metres from the eye at the pixel's middle; infinite: sky
    std::vector<std::int32_t> surface; ///< index into Stage::surfaces at the pixel's middle; -1: sky
    std::vector<SeenLens> lenses;

    /// The same with claddings, frames, glass, ripples, bark, leaves' outlines and grass; empty where they
    /// were not asked for. Pictures show it. Figures are the surfaces' own, whose means these are.
    ViewPixels fine;
    const std::vector<glm::vec3>& drawn_luminance() const { return drawn(luminance, fine.luminance); }
    const std::vector<glm::vec3>& drawn_sky() const { return drawn(sky_return, fine.sky_return); }
    const std::vector<glm::vec3>& drawn_sun() const { return drawn(sun_return, fine.sun_return); }

    std::size_t pixel_at(int x, int y) const { return static_cast<std::size_t>(y) * camera.width + x; }

private:
    static const std::vector<glm::vec3>& drawn(const std::vector<glm::vec3>& even,
                                               const std::vector<glm::vec3>& detailed) {
        return detailed.empty() ? even : detailed;
    }
};

/// Luminance per channel of the uniform sky that gives 1 lux on open level ground.
glm::vec3 open_sky_return();

/// The lenses that a camera's eye sees, on its picture or beside it.
std::vector<SeenLens> find_lenses(const Stage& stage, const std::vector<LitFixture>& fixtures,
                                  const Camera& camera);

/// What of an image is wanted.
enum class Detail {
    facets,
    fine,          ///< ViewImage::fine as well
    fine_by_night, ///< the same without the sun: `sun_return` is empty, and no day picture can be made
};

/// Traces the light of every fixture to what the camera sees: L = (reflectance x E before + transmittance x
/// E behind) / pi (Lambert). Four rays a pixel with one spot of each lens each, eight where these or
/// neighbours differ, sixteen where they differ much or where some meet the sky and some do not.
/// `bounced` empty: none, and the ambient sky reaches surfaces unshadowed; otherwise the ambient light is in
/// `bounced`. `ambient_lx` as Site::ambient. `seen`: what eye rays meet, with the stage's numbers, where not
/// all of the stage is looked at; what is left out still casts its shadows, and there is no sun and no
/// detail. Same bytes for any number of threads.
ViewImage trace_view(const Stage& stage, const std::vector<LitFixture>& fixtures, const Camera& camera,
                     double ambient_lx, const BouncedLight& bounced = {}, const Progress& progress = {},
                     const RayKernel* seen = nullptr, Detail detail = Detail::facets);

} // namespace duskcast
