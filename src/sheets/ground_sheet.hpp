#pragma once
// The ground plan as a pure drawing: everything it shows is handed to it.

#include <string>
#include <vector>

#include "duskcast/stage/stage.hpp"
#include "fixture_marks.hpp"
#include "light_scale.hpp"

namespace duskcast {

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

/// Which way ground falls, and how much in words.
struct PlanFall {
    glm::dvec2 high{0}, low{0};
    std::string words;
    std::string area; ///< id
};

/// The ground from above, north up.
struct GroundSheet {
    PlateText text;
    std::vector<const Surface*> grounds; ///< later ones lie on earlier ones
    const std::vector<double>& lux;
    std::vector<PlanLine> areas, walls, shrubs, meshes;
    std::vector<PlanLine> steps;                 ///< and railings; those without a name are treads
    std::vector<std::vector<glm::dvec2>> houses; ///< behind walls that are not closed
    std::vector<PlanCircle> trees;
    std::vector<PlanFall> falls;
    std::vector<PlanFixture> fixtures;
};

DrawnPage draw_ground_sheet(const GroundSheet& sheet, PictureFormat format);

} // namespace duskcast
