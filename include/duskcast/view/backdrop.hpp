#pragma once
// What night pictures show behind a property: the sky of the hour, far trees, ground that fades towards them.
// It is in pictures only. Figures, luminance plates and PFM files hold no light of it.

#include <glm/glm.hpp>

#include "duskcast/site/site.hpp"
#include "duskcast/view/view_trace.hpp"

namespace duskcast {

class Backdrop {
public:
    /// Where the site's own ambient light is more than the hour's, all of it is brighter in proportion.
    explicit Backdrop(NightSky sky, double ambient_lx = 0);

    /// Light of the sky on open level ground, lux, that the picture shows beyond the site's own, so that a
    /// dark gable stands out.
    double fill_lx() const { return fill_; }

    /// cd/m2 per channel from beyond all that is built, in a unit direction: the sky, brighter towards the
    /// horizon without a step, before it far trees.
    glm::dvec3 light_from(const glm::dvec3& direction) const;

    /// What is added to a pixel: that, on the share of it that is open, and before far ground a veil of the
    /// trees' light, which dims nothing. None where the image does not know what is open.
    glm::dvec3 light_on(const ViewImage& image, std::size_t pixel) const;

private:
    glm::dvec3 sky_at(double sine) const;
    glm::dvec3 trees() const;

    glm::dvec3 zenith_{0}, horizon_{0}, glow_{0}; ///< cd/m2; `glow_` is added low above the horizon
    double fill_ = 0;
};

/// The height of far trees above the horizon, radians, in a direction of the compass. The same on every site.
double far_trees_height(double azimuth);

/// Of a pixel's light, what comes from open sky and from ground beyond the stage.
struct OpenLight {
    glm::dvec3 luminance{0};
    glm::dvec3 sky_return{0};
};
OpenLight find_open_light(const ViewImage& image, double ambient_lx, std::size_t pixel);

} // namespace duskcast
