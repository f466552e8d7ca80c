#pragma once
// The three sorts of plate as pure drawings: everything they show is handed to them.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/sheets/plate.hpp"
#include "duskcast/view/elevation.hpp"
#include "fixture_marks.hpp"
#include "light_scale.hpp"

namespace duskcast {

inline constexpr double ruler_width = 128; ///< left of what a plate shows; holds "peak 21 ft 6 in"

/// A lens above that hangs on something, metres; one below stands in the ground.
inline constexpr double hung_height = 1;

/// A fixture before a wall.
struct WallFixture {
    FixtureText text;
    double along = 0;            ///< u on the surface
    double height = 0;           ///< of its lens above the foot
    glm::dvec2 stem{0, 1};       ///< way it points, along and up
    std::optional<double> reach; ///< how high the main level carries on its line
    std::string reach_text;      ///< "13 ft"
};

/// An upright surface unfolded.
struct WallSheet {
    PlateText text;
    const Surface& surface;
    const std::vector<double>& lux; ///< one a sensor of the stage
    std::vector<WallFixture> fixtures;
    std::string reach_key;          ///< what the reach marks say
    std::vector<RulerMark> heights; ///< peaks, eaves
};

DrawnPage draw_wall_sheet(const WallSheet& sheet, PictureFormat format);

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

/// What stands on the ground, in plan coordinates.
struct PlanLine {
    std::string id;
    std::vector<glm::dvec2> points;
    bool is_closed = false;
    double width = 0; ///< of a hedge
};
struct PlanCircle {
    std::string id;
    glm::dvec2 middle{0};
    double radius = 0;
    double trunk_radius = 0;
};
struct PlanFixture {
    std::string id;
    glm::dvec2 at{0};
    glm::dvec2 stem{0}; ///< horizontal part of the beam axis
};

/// The ground from above, north up.
struct GroundSheet {
    PlateText text;
    std::vector<const Surface*> grounds; ///< later ones lie on earlier ones
    const std::vector<double>& lux;
    std::vector<PlanLine> areas, walls, shrubs, meshes;
    std::vector<PlanCircle> trees;
    std::vector<PlanFixture> fixtures;
};

DrawnPage draw_ground_sheet(const GroundSheet& sheet, PictureFormat format);

/// The whole page of a plate, whichever sort it is.
DrawnPage make_plate_page(const PlateSource& source, const Plate& plate, PictureFormat format);

} // namespace duskcast
