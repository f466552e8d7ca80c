#pragma once
// Where the treads of a flight of steps lie, and the railings beside it.

#include <glm/glm.hpp>
#include <vector>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// The most steps that a flight may have.
inline constexpr int most_steps = 100;

/// A step, solid from the flight's foot up.
struct Tread {
    std::vector<glm::dvec2> outline; ///< four corners, counter-clockwise, the front edge first
    double top = 0;                  ///< z
};

struct StepsPlan {
    glm::dvec2 head{0};        ///< the middle of its highest edge
    glm::dvec2 down{0, -1};    ///< unit: the way it goes down
    double foot = 0;           ///< z
    double rise = 0;           ///< of one step
    std::vector<Tread> treads; ///< the highest first
    /// Along the noses, at their height, on each side that has a railing: from above downwards.
    std::vector<std::vector<glm::dvec3>> railings;
};

/// How many steps make up the flight's height, none higher than its riser.
int count_steps(const Steps& steps);

/// Throws InputError when the wall named does not exist.
StepsPlan plan_steps(const Site& site, const Steps& steps);

/// The line that a railing stands on, with heights that change evenly along it.
std::vector<glm::dvec3> line_of(const Railing& railing);

} // namespace duskcast
