#pragma once
// Which pixel of a photo shows what: the site as the camera sees it, masks, sky.

#include <cstdint>
#include <span>
#include <vector>

#include "duskcast/photo/photo_file.hpp"
#include "duskcast/stage/stage.hpp"
#include "duskcast/view/camera.hpp"

namespace duskcast {

/// A surface and the way it faces there, by which neighbours are told to lie on the same face: above 15 bits
/// of the normal the surface's index.
using FaceKey = std::uint32_t;
inline constexpr FaceKey no_face = 0xffffffff;
inline int surface_of(FaceKey face) {
    return face == no_face ? -1 : static_cast<int>(face >> 15);
}

/// What the camera's rays meet, one a pixel.
struct CameraLook {
    std::vector<FaceKey> face;
    std::vector<float> distance; ///< metres; infinite where nothing is met
};

/// Called with each hit, from any thread; may be empty where all pixels are looked at.
using VisitHit = std::function<void(std::size_t pixel, const Hit& hit, const glm::vec3& position,
                                    const glm::vec3& facing)>;

/// Rays through the middles of some pixels: `visit` is called with the place in `pixels` of each that meets
/// something, in no particular order.
void look_at_pixels(const RayKernel& seen, const Camera& camera, const std::vector<std::uint32_t>& pixels,
                    const VisitHit& visit);

/// The same of all pixels. `seen` has the stage's numbers.
CameraLook look_at_stage(const Stage& stage, const RayKernel& seen, const Camera& camera,
                         const VisitHit& visit = {});

/// The faces alone, with rays `step` pixels apart and between: where those about a square of pixels meet one
/// and the same face, it is all of that face; elsewhere every pixel has its ray. What is narrower than `step`
/// may be missed. 1: as look_at_stage.
std::vector<FaceKey> find_faces(const Stage& stage, const RayKernel& seen, const Camera& camera, int step);

/// One a pixel: 1 + the index of the mask on top there, or 0.
std::vector<std::uint16_t> fill_masks(std::span<const PhotoMask> masks, glm::ivec2 size);

/// What the sky of a photo looks like; nothing is sky where `luminance` is 0.
struct SkyLook {
    double luminance = 0;      ///< linear, of the file's white
    glm::dvec3 share{1.0 / 3}; ///< of the three channels in their sum

    bool is_like(const glm::vec3& linear) const;
};

/// The pixels that show sky: what looks like it, joined to the upper edge or to a mask of the sky, where the
/// site has nothing or ends within `slack` pixels.
std::vector<bool> find_sky(const PhotoPixels& picture, const std::vector<FaceKey>& faces,
                           const std::vector<std::uint16_t>& masks, std::span<const PhotoMask> kinds,
                           int slack, SkyLook& sky);

} // namespace duskcast
