#include "duskcast/photometry/shield.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/units.hpp"

namespace duskcast {

namespace {

/// Share of a circle of radius `own` that lies within one of radius `other`, their centres `apart`.
double overlap(double own, double other, double apart) {
    if (apart <= other - own)
        return 1;
    if (apart >= other + own)
        return 0;
    if (apart <= own - other)
        return other * other / (own * own);
    const auto half_angle = [&](double near, double far) {
        return std::acos(
            std::clamp((apart * apart + near * near - far * far) / (2 * apart * near), -1.0, 1.0));
    };
    const double kite =
        (own + other - apart) * (apart + own - other) * (apart - own + other) * (apart + own + other);
    const double area = own * own * half_angle(own, other) + other * other * half_angle(other, own) -
                        std::sqrt(std::max(kite, 0.0)) / 2;
    return area / (pi * own * own);
}

/// Share of the lens that half a tube hides. A ray from a point of the lens leaves the cylinder at a point q
/// of its circle, at an angle phi from the ray's plan direction; it is stopped if q is on the hooded half and
/// nearer in plan than `shift`, the tube's length times tan(gamma). The points stopped at q fill a strip of
/// length min(shift, 2 R cos phi), so their area is the integral of that times R cos phi dphi.
double hidden_by_hood(double radius, double shift, double from_hood) {
    const double reach = std::min(shift / (2 * radius), 1.0);
    const double turning = std::acos(reach); // nearer than this to the direction, strips are cut at `shift`
    const auto integral = [&](double phi) {  // from 0
        const double size = std::abs(phi);
        double area = shift * radius * std::sin(std::min(size, turning));
        if (size > turning)
            area += radius * radius * (size - turning + (std::sin(2 * size) - std::sin(2 * turning)) / 2);
        return std::copysign(area, phi);
    };
    return (integral(pi / 2) - integral(from_hood - pi / 2)) / (pi * radius * radius);
}

} // namespace

double visible_share(const Rim& rim, double lens_diameter, double gamma) {
    if (rim.diameter <= 0)
        return 1;
    if (gamma >= pi / 2)
        return 0;
    const double apart = rim.distance * std::tan(gamma);
    if (lens_diameter <= 0)
        return apart <= rim.diameter / 2 ? 1 : 0;
    return overlap(lens_diameter / 2, rim.diameter / 2, apart);
}

double visible_share(const Louvre& louvre, double gamma) {
    if (louvre.cell <= 0 || louvre.depth <= 0)
        return 1;
    // A hexagon w across flats has the area sqrt(3)/2 w^2.
    const double diameter = louvre.cell * std::sqrt(2 * std::sqrt(3.0) / pi);
    return visible_share(Rim{diameter, louvre.depth}, diameter, gamma);
}

double visible_lens_share(const Shield& shield, double c, double gamma) {
    double share =
        visible_share(shield.rim, shield.lens_diameter, gamma) * visible_share(shield.louvre, gamma);
    if (shield.lens_diameter <= 0)
        return share;
    if (shield.shroud_length > 0)
        share *= visible_share(Rim{shield.lens_diameter, shield.shroud_length}, shield.lens_diameter, gamma);
    if (shield.hood_length > 0) {
        // Beyond 90 degrees light would go back past the tube: the lens is out of sight there anyway.
        const double shift = gamma < pi / 2 ? shield.hood_length * std::tan(gamma) : 1e9;
        const double from_hood = std::abs(std::remainder(c - pi, 2 * pi));
        share *= std::clamp(1 - hidden_by_hood(shield.lens_diameter / 2, shift, from_hood), 0.0, 1.0);
    }
    return share;
}

} // namespace duskcast
