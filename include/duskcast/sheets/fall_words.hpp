#pragma once
// How ground falls, in words.

#include <string>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// How much a terrace falls, such as "falls 2 ft 6 in, 12.5 %"; of one that is level nothing.
std::string print_fall(const GroundArea& area, LengthUnit unit);

} // namespace duskcast
