#pragma once
// Where the walls and the covering of a dormer lie on its roof.

#include "duskcast/site/roof_plan.hpp"

namespace duskcast {

struct DormerPlan {
    const RoofSide* side = nullptr; ///< of the roof; along it and inwards from it the figures count
    double left = 0, right = 0;     ///< along
    double face = 0;                ///< inwards: of its front
    double back = 0;                ///< where its highest line meets the roof's covering
    double foot = 0;                ///< z of the covering at its face
    double eave = 0;                ///< z of its walls' top, of a shed's at its face
    double slope = 0;               ///< rise over run: of a gable's halves, of a shed's covering
    double top = 0;                 ///< z of its highest line
    Opening window;                 ///< its own, or as large as fits
};

/// The roof must have the side that the dormer names. `back` is infinite where a shed's covering is as steep
/// as the roof.
DormerPlan plan_dormer(const RoofPlan& roof, const Dormer& dormer);

} // namespace duskcast
