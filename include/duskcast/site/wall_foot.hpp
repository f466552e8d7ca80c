#pragma once
// Walls with a raised foot on ground that falls along them.

#include <optional>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// Height of the lowest ground along a wall whose foot is above the level ground, metres, where it stands on
/// ground that is lower than its foot elsewhere along it: the wall goes down to that. None where it is built as
/// it is given, as what stands below it is another wall's.
std::optional<double> find_lower_ground(const Wall& wall, const Ground& ground);

} // namespace duskcast
