#pragma once
// What of a site can be pointed at on a photo, and where it falls there.

#include <string>
#include <vector>

#include "duskcast/photo/photo_report.hpp"

namespace duskcast {

/// A place of the site that is easily found on a picture.
struct PhotoPlace {
    std::string id;    ///< "left-window-lower-left": for the mark that is made of it
    std::string of;    ///< id of the wall, opening, gable or area that it belongs to
    std::string words; ///< what of it: "lower left corner"
    PhotoMark mark;    ///< without a pixel
};

/// Corners of walls, windows and doors, ends and peaks of gables, corners of areas on the ground: what
/// settles a camera best first, then in the site's order.
std::vector<PhotoPlace> list_places(const Site& site);

/// A line of a wall's grid, as the camera sees it.
struct GridLine {
    std::string wall;
    bool is_upright = false;
    int number = 0;                 ///< how many steps along or up it lies
    std::vector<glm::dvec2> points; ///< pixels
};

/// Lines `step` metres apart along and up the walls that turn to the camera, within their outlines. What is
/// not before the eye is left out.
std::vector<GridLine> project_wall_grid(const Site& site, const Camera& camera, double step);

/// A line of points on a camera's picture, bent as its lens bends it; cut where it is not before the eye.
std::vector<std::vector<glm::dvec2>> project_line(const Camera& camera, const std::vector<glm::dvec3>& line);

} // namespace duskcast
