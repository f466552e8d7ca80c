#pragma once
// A view for tests that need no tracing.

#include "duskcast/view/view_trace.hpp"

namespace duskcast::test {

/// The same luminance everywhere, on a surface 10 m away.
inline ViewImage make_image(int width, int height, double field_deg, const glm::vec3& luminance) {
    ViewImage image{.camera = make_camera({"test", {0, 0, 1}, {0, 1, 1}, radians_from_degrees(field_deg)},
                                          width, height)};
    const std::size_t count = static_cast<std::size_t>(width) * height;
    image.luminance.assign(count, luminance);
    image.sky_return.assign(count, glm::vec3(0));
    image.sun_return.assign(count, glm::vec3(0));
    image.distance.assign(count, 10.0f);
    image.surface.assign(count, 0);
    return image;
}

} // namespace duskcast::test
