#include "duskcast/photo/shrink_photo.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/colour.hpp"

namespace duskcast {

Camera shrink_camera(const Camera& camera, int factor) {
    Camera small = camera;
    small.width = std::max(1, camera.width / factor);
    small.height = std::max(1, camera.height / factor);
    small.pixels_per_tangent /= factor;
    small.axis_offset = (camera.axis_offset + 0.5 * glm::dvec2(camera.width - factor * small.width,
                                                               camera.height - factor * small.height)) /
                        static_cast<double>(factor);
    return small;
}

PhotoPixels shrink_pixels(const PhotoPixels& picture, int factor) {
    if (factor == 1)
        return picture;
    PhotoPixels small{.size = glm::max(glm::ivec2(1), picture.size / factor), .rgb = {}};
    const glm::ivec2 covered = glm::min(glm::ivec2(factor), picture.size);
    const float one = 1 / static_cast<float>(covered.x * covered.y);
    const auto width = static_cast<std::size_t>(picture.size.x);
    small.rgb.reserve(3 * static_cast<std::size_t>(small.size.x) * static_cast<std::size_t>(small.size.y));
    for (int y = 0; y < small.size.y; ++y)
        for (int x = 0; x < small.size.x; ++x) {
            glm::vec3 sum(0);
            for (int j = 0; j < covered.y; ++j)
                for (int i = 0; i < covered.x; ++i)
                    sum += picture.linear_at(static_cast<std::size_t>(factor * y + j) * width +
                                             static_cast<std::size_t>(factor * x + i));
            for (int channel = 0; channel < 3; ++channel)
                small.rgb.push_back(static_cast<std::uint8_t>(
                    std::lround(255 * encode_srgb(static_cast<double>(one * sum[channel])))));
        }
    return small;
}

Photo shrink_places(Photo photo, int factor) {
    const auto shrink = [&](std::vector<double>& pixels) {
        for (double& pixel : pixels)
            pixel /= factor;
    };
    for (PhotoMark& mark : photo.marks)
        shrink(mark.pixel);
    for (PhotoLength& length : photo.lengths) {
        shrink(length.from);
        shrink(length.to);
    }
    for (PhotoMask& mask : photo.masks)
        shrink(mask.outline);
    if (photo.white)
        shrink(photo.white->pixel);
    return photo;
}

} // namespace duskcast
