#pragma once
// What a RelightPlan holds.

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "duskcast/photo/relight.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "photo_parts.hpp"
#include "plant_light.hpp"
#include "seen_part.hpp"
#include "short_colour.hpp"

namespace duskcast {

inline float y_of(const glm::vec3& linear) {
    return static_cast<float>(luminance_of(glm::dvec3(linear)));
}
double median_of(std::vector<float>& values); ///< which it sorts in part

/// The place of one camera's picture on another's that differs by its size alone.
class PlaceOn {
public:
    PlaceOn(const Camera& from, const Camera& to)
        : step_(from.pixels_per_tangent / to.pixels_per_tangent), from_(0.5 * from.width, 0.5 * from.height),
          to_(0.5 * to.width, 0.5 * to.height) {}
    double step() const { return step_; }
    glm::dvec2 operator()(const glm::dvec2& place) const { return (place - from_) / step_ + to_; }
    glm::dvec2 back(const glm::dvec2& place) const { return (place - to_) * step_ + from_; }

private:
    double step_;
    glm::dvec2 from_, to_;
};

inline constexpr std::uint16_t no_plant = 0xffff;

struct RelightPlan::State {
    const Stage& stage;
    Camera camera, coarse, small;
    PlaceOn on_coarse, on_small;
    SeenPart solid, plants;
    std::set<int> panes;
    PhotoScan scan;

    // One a pixel of the photo.
    std::vector<PhotoPart> part;
    std::vector<FaceKey> face;
    std::vector<std::uint8_t> share;  ///< of the pixel that is not sky, of 255
    std::vector<std::uint16_t> plant; ///< index into `sights` where a plant is masked, or no_plant
    std::vector<ShortColour> day;     ///< cd/m2 per lux of daylight, of the share that is not sky

    // One a pixel of the coarse picture without plants, and of the small one of the plants.
    CameraLook coarse_look;
    std::vector<float> reflectance;                ///< luminance of it
    std::vector<std::uint8_t> is_pure;             ///< all neighbours lie on the same face
    std::vector<glm::vec3> coarse_day, plants_day; ///< cd/m2 per lux
    std::vector<PlantSight> sights;

    State(const Stage& stage, const Camera& camera);

    std::size_t count() const { return face.size(); }
    glm::dvec2 middle_of(std::size_t pixel) const {
        const auto width = static_cast<std::size_t>(camera.width);
        return {static_cast<double>(pixel % width) + 0.5, static_cast<double>(pixel / width) + 0.5};
    }

    /// The coarse pixels round a place of the photo that lie on a face, with weights: call(pixel, weight).
    template <class Call> bool visit_coarse(std::size_t pixel, const Call& call) const;
    glm::vec3 coarse_at(const std::vector<glm::vec3>& values, std::size_t pixel) const;

    /// A solid pixel's surroundings on the coarse picture: means of a night, of the day, and metres from the
    /// eye.
    struct Coarse {
        glm::vec3 night{0}, day{0};
        float distance = std::numeric_limits<float>::infinity();
    };
    Coarse mix_coarse(const std::vector<glm::vec3>& night, std::size_t pixel) const;
    glm::dvec3 place_at(const PlantSight& sight, std::size_t pixel) const;

    void look(const Site& site, const Photo& photo, const BounceSetup& setup, const Progress& progress);
    glm::dvec3 find_scale(const Photo& photo, const PhotoPixels& picture,
                          const std::vector<std::uint16_t>& masks);
    std::optional<glm::dvec3> scale_by_white(const PhotoWhite& white, const PhotoPixels& picture);
    double scale_by_faces(bool only_walls, const PhotoPixels& picture,
                          const std::vector<std::uint16_t>& masks) const;
    void sort_parts(const Photo& photo, const std::vector<std::uint16_t>& masks,
                    const std::vector<bool>& is_sky);
    void part_plants(const SkyLook& sky, const std::vector<bool>& is_sky, const PhotoPixels& picture,
                     const glm::vec3& scale);
    void part_sky_edges(const std::vector<bool>& is_sky);
};

template <class Call> bool RelightPlan::State::visit_coarse(std::size_t pixel, const Call& call) const {
    const glm::dvec2 place = on_coarse(middle_of(pixel)) - 0.5;
    const int x0 = static_cast<int>(std::floor(place.x)), y0 = static_cast<int>(std::floor(place.y));
    const FaceKey wanted = face[pixel];
    bool is_met = false;
    const auto visit = [&](int x, int y, double weight, bool is_any_of_surface) {
        if (x < 0 || y < 0 || x >= coarse.width || y >= coarse.height || !(weight > 0))
            return;
        const std::size_t at = static_cast<std::size_t>(y) * static_cast<std::size_t>(coarse.width) +
                               static_cast<std::size_t>(x);
        const FaceKey met = coarse_look.face[at];
        if (met == wanted)
            call(at, static_cast<float>(weight * (is_pure[at] ? 1 : 0.01)));
        else if (is_any_of_surface && surface_of(met) == surface_of(wanted) && met != no_face)
            call(at, static_cast<float>(1e-4 * weight));
        else
            return;
        is_met = true;
    };
    for (int y = y0; y <= y0 + 1; ++y)
        for (int x = x0; x <= x0 + 1; ++x)
            visit(x, y, (1 - std::abs(place.x - x)) * (1 - std::abs(place.y - y)), false);
    for (int reach = 2; !is_met && reach <= 8; reach *= 2)
        for (int y = y0 - reach; y <= y0 + reach + 1; ++y)
            for (int x = x0 - reach; x <= x0 + reach + 1; ++x)
                visit(x, y, 1 / (0.5 + glm::length(place - glm::dvec2(x, y))), true);
    return is_met;
}

} // namespace duskcast
