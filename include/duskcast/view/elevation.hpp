#pragma once
// A body (crown, shrub, mesh) seen square-on from one side, with the light on what is seen.

#include <string>
#include <vector>

#include "duskcast/light/lighting.hpp"

namespace duskcast {

/// The box round all surfaces whose part_of is `part_of`; both corners 0 when there are none.
struct BodyBounds {
    glm::dvec3 low{0};
    glm::dvec3 high{0};

    glm::dvec3 middle() const { return (low + high) / 2.0; }
    bool is_empty() const { return low == high; }
};

BodyBounds find_body_bounds(const Stage& stage, const std::string& part_of);

/// The convex outline of the body in the plan, counter-clockwise.
std::vector<glm::dvec2> find_footprint(const Stage& stage, const std::string& part_of);

/// An orthographic picture. Row 0 is the top.
struct Elevation {
    std::string from;   ///< "from the south"
    double azimuth = 0; ///< from the body towards the viewer, clockwise from north
    double u0 = 0;      ///< left edge, metres from the body's middle, rightwards as seen
    double v0 = 0;      ///< lower edge above z = 0
    double step = 0;    ///< metres a pixel
    int width = 0;
    int height = 0;
    std::vector<float> lux;   ///< below 0: background, nothing of the body there
    std::vector<float> cover; ///< share of the pixel that the body fills, 0..1
};

/// Traces the surfaces whose part_of is `part_of` from the side `azimuth`, `pixels` high, or less when it
/// would be more than `most_columns` wide; other things in front of the body are looked through, but they
/// cast their shadows. Lux is the light on the side that faces the viewer, from every fixture and, where
/// the lighting has it, bounced.
Elevation trace_elevation(const Stage& stage, const Lighting& lighting, const std::string& part_of,
                          double azimuth, int pixels, int most_columns = 4000);

} // namespace duskcast
