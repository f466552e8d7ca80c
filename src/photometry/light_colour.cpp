#include "duskcast/photometry/light_colour.hpp"

#include <algorithm>

namespace duskcast {

glm::dvec3 light_colour(double cct) {
    const double t = std::clamp(cct, 1667.0, 25000.0);
    const double s = 1e3 / t;
    const double x = t < 4000 ? ((-0.2661239 * s - 0.2343589) * s + 0.8776956) * s + 0.179910
                              : ((-3.0258469 * s + 2.1070379) * s + 0.2226347) * s + 0.240390;
    const double y = t < 2222   ? ((-1.1063814 * x - 1.34811020) * x + 2.18555832) * x - 0.20219683
                     : t < 4000 ? ((-0.9549476 * x - 1.37418593) * x + 2.09137015) * x - 0.16748867
                                : ((3.0817580 * x - 5.87338670) * x + 3.75112997) * x - 0.37001483;
    const glm::dvec3 xyz(x / y, 1, (1 - x - y) / y);
    // IEC 61966-2-1.
    const glm::dvec3 rgb(3.2404542 * xyz.x - 1.5371385 * xyz.y - 0.4985314 * xyz.z,
                         -0.9692660 * xyz.x + 1.8760108 * xyz.y + 0.0415560 * xyz.z,
                         0.0556434 * xyz.x - 0.2040259 * xyz.y + 1.0572252 * xyz.z);
    const glm::dvec3 inside = glm::max(rgb, glm::dvec3(0));
    return inside / luminance_of(inside);
}

} // namespace duskcast
