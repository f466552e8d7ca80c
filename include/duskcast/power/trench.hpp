#pragma once
// What has to be dug for buried cables.

#include <glm/glm.hpp>
#include <vector>

#include "duskcast/site/site.hpp"

namespace duskcast {

struct TrenchPiece {
    glm::dvec2 from{0}, to{0};
};

/// The lines in short pieces, without those that lie in the trench of a line before them, or of the same one
/// on its way out (a foot or less beside it).
std::vector<TrenchPiece> list_trench_pieces(const std::vector<std::vector<glm::dvec2>>& lines);

struct TrenchPlan {
    double length = 0;                  ///< metres of ground, what several cables share counted once
    std::vector<GroundStretch> sleeves; ///< under paving, by area
};

/// Of all home runs and cables of a site that has a network, and of the leads of hubs.
TrenchPlan measure_trench(const Site& site);

} // namespace duskcast
