#pragma once
// A photo in fewer pixels, with all that is said of it in pixels: for a screen, and for a first look.

#include "duskcast/photo/photo_file.hpp"
#include "duskcast/view/camera.hpp"

namespace duskcast {

/// Pixels `factor` times as large, means of the light of what they cover; a rest at the right and below is
/// left out.
PhotoPixels shrink_pixels(const PhotoPixels& picture, int factor);

/// The camera of that picture.
Camera shrink_camera(const Camera& camera, int factor);

/// Marks, lengths, masks and the white place on it.
Photo shrink_places(Photo photo, int factor);

} // namespace duskcast
