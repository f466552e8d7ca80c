#pragma once
// Posts, rails and what fills the bays between them.

#include <cstdint>
#include <glm/glm.hpp>
#include <vector>

#include "duskcast/stage/stage.hpp"

namespace duskcast {

struct RailingLook {
    double height = 0; ///< of the handrail's top above the line
    RailingForm form = RailingForm::balusters;
    double post_spacing = 1.8; ///< at most
    double post_below = 0;     ///< how far posts reach down below the line, such as to the next tread
};

/// Along a line on what it stands on, which may slope.
void build_railing(const std::vector<glm::dvec3>& line, const RailingLook& look, std::uint16_t material,
                   std::uint16_t surface, Triangles& triangles);

} // namespace duskcast
