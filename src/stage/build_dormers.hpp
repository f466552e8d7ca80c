#pragma once
// What stands on the slope of a roof with a window.

#include "builder.hpp"
#include "duskcast/site/dormer_plan.hpp"
#include "roof_body.hpp"

namespace duskcast {

/// The roof that a dormer stands on.
struct DormerSite {
    const Roof& roof;
    const RoofPlan& plan;
    BodyMaker& bodies;       ///< of the roof: its covering and its edges
    std::uint16_t cover = 0; ///< materials
    std::uint16_t trim = 0;
    Finish end_finish;         ///< of the roof's upright ends
    glm::dvec2 course_size{1}; ///< of the covering, metres of a repeat
};

void build_dormer(StageBuilder& builder, const DormerSite& at, const Dormer& dormer);

} // namespace duskcast
