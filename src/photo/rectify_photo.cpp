#include "duskcast/photo/rectify_photo.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {
namespace {

/// Blended between the middles of the four pixels round a place.
glm::vec3 blend_at(const PhotoPixels& photo, const glm::dvec2& place) {
    const glm::dvec2 at = glm::clamp(place - 0.5, glm::dvec2(0), glm::dvec2(photo.size) - 1.0);
    const glm::ivec2 low(at), high = glm::min(low + 1, photo.size - 1);
    const glm::vec2 part(at - glm::dvec2(low));
    const auto pixel = [&](int x, int y) {
        return photo.linear_at(static_cast<std::size_t>(y) * static_cast<std::size_t>(photo.size.x) +
                               static_cast<std::size_t>(x));
    };
    return glm::mix(glm::mix(pixel(low.x, low.y), pixel(high.x, low.y), part.x),
                    glm::mix(pixel(low.x, high.y), pixel(high.x, high.y), part.x), part.y);
}

bool is_within(const PhotoPixels& photo, const glm::dvec2& place) {
    return place.x >= 0 && place.y >= 0 && place.x <= photo.size.x && place.y <= photo.size.y;
}

} // namespace

std::optional<glm::vec3> find_on_plane(const PhotoPixels& photo, const Camera& camera,
                                       const PlaneSpot& spot) {
    const auto middle = camera.project(spot.middle);
    if (!middle || !is_within(photo, *middle))
        return std::nullopt;
    // As many samples a side as the spot covers pixels.
    double widest = 1;
    for (const glm::dvec3& way : {spot.along, spot.up})
        if (const auto end = camera.project(spot.middle + spot.side * way))
            widest = std::max(widest, glm::distance(*middle, *end));
    constexpr double most = 8;
    const int samples = static_cast<int>(std::ceil(std::min(widest, most)));
    glm::vec3 sum{0};
    float count = 0;
    for (int j = 0; j < samples; ++j)
        for (int i = 0; i < samples; ++i) {
            const double right = (i + 0.5) / samples - 0.5, above = (j + 0.5) / samples - 0.5;
            const auto place =
                camera.project(spot.middle + spot.side * (right * spot.along + above * spot.up));
            if (!place || !is_within(photo, *place))
                continue;
            sum += blend_at(photo, *place);
            count += 1;
        }
    if (count == 0)
        return std::nullopt;
    return sum / count;
}

} // namespace duskcast
