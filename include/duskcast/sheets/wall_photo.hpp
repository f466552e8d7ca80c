#pragma once
// What a client's photo shows of a wall, laid flat for its plate.

#include <memory>
#include <string>
#include <vector>

#include "duskcast/photo/photo_file.hpp"
#include "duskcast/stage/stage.hpp"
#include "duskcast/view/camera.hpp"

namespace duskcast {

/// A photo of the site whose camera is known.
struct CameraPhoto {
    std::string id;
    Camera camera;
    PhotoPixels pixels;
    std::vector<PhotoMask> masks;
};

/// Finds the camera and reads the pixels. Throws InputError as measure_photo and read_photo do.
CameraPhoto read_camera_photo(const Site& site, const Photo& photo, const std::filesystem::path& folder);

/// An upright surface, or one face of it, on the photo that shows most of it.
class WallPhoto {
public:
    /// Stage and photos must outlive it.
    WallPhoto(const Stage& stage, const Surface& surface, const std::vector<CameraPhoto>& photos);

    bool is_any() const { return photo_ != nullptr; }    ///< a twentieth of it is seen at the least
    const std::string& id() const { return photo_->id; } ///< of the photo

    /// Whether the photo shows the surface itself there: nothing of the site stands before it, it is in no
    /// mask and its face turns to the camera. A plant with a mask is where its mask is.
    bool is_seen(const glm::dvec2& uv) const;

    /// Linear sRGB, the mean over a square of that side, metres; none where it is not seen.
    std::optional<glm::vec3> linear_at(const glm::dvec2& uv, double side) const;

private:
    bool is_seen_on(const CameraPhoto& photo, const glm::dvec2& uv) const;
    glm::dvec3 place_at(const glm::dvec2& uv) const;

    const Stage& stage_;
    Surface surface_;
    const CameraPhoto* photo_ = nullptr;
};

} // namespace duskcast
