#pragma once
// The light on a plant as the camera sees it: by how much its leaves are brighter or darker by night.

#include <string>
#include <vector>

#include "duskcast/view/view_trace.hpp"
#include "photo_parts.hpp"

namespace duskcast {

/// Where the camera sees a plant of the site, in a small picture of the plants alone.
struct PlantSight {
    std::string id;
    int surface = -1;
    glm::dvec2 at{0};                     ///< of its stem or middle
    double trunk_top = 0;                 ///< z below which no leaves are; a shrub's: its foot
    double trunk_radius = 0;              ///< 0: a shrub
    double leaf_blur = 1, trunk_blur = 1; ///< standard deviations, pixels of the small picture
    std::vector<std::uint32_t> leaf_pixels, trunk_pixels;
};

PlantSight find_plant(const Site& site, const Stage& stage, const std::string& id, const Camera& camera,
                      const CameraLook& look);

/// Night by day, smoothed as far as the plant's own leaves let tell: G * night / G * day.
class PlantRatio {
public:
    /// `night`, `day`: of the small picture, black where no plant is.
    PlantRatio(const Camera& camera, const std::vector<std::uint32_t>& pixels, double blur,
               const std::vector<glm::vec3>& night, const std::vector<glm::vec3>& day);

    bool is_known() const { return !ratio_.empty(); }
    glm::vec3 at(const glm::dvec2& place) const; ///< place: on the small picture

private:
    int left_ = 0, top_ = 0, width_ = 0, height_ = 0;
    std::vector<glm::vec3> ratio_;
};

} // namespace duskcast
