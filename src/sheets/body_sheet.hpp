#pragma once
// The plate of a crown, shrub or mesh as a pure drawing: everything it shows is handed to it.

#include <string>
#include <vector>

#include "duskcast/view/elevation.hpp"
#include "fixture_marks.hpp"
#include "light_scale.hpp"

namespace duskcast {

/// A fixture at the foot of a body.
struct BodyFixture {
    FixtureText text;
    glm::dvec2 plan{0}; ///< from the body's middle, x east, y north
    double height = 0;  ///< above z = 0
    glm::dvec3 axis{0, 0, 1};
};

/// One row of the table beside a crown.
struct BandRow {
    double from = 0, to = 0; ///< above the foot
    std::string band, mean, share;
    double part = 0; ///< the share as a number, for its bar
    double mean_lx = 0;
};

/// Height the tallest body takes on its sheet, pixels.
inline constexpr double body_height = 580;

/// A crown, shrub or mesh from its sides.
struct BodySheet {
    PlateText text;
    std::vector<Elevation> elevations;
    std::vector<BodyFixture> fixtures;
    double foot = 0;                ///< height of the ground there
    double top = 0;                 ///< highest point above z = 0
    std::vector<RulerMark> heights; ///< above the foot
    std::vector<BandRow> bands;
    std::string share_heading; ///< "1 fc or more"
};

DrawnPage draw_body_sheet(const BodySheet& sheet, PictureFormat format);

} // namespace duskcast
