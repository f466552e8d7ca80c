#pragma once
// From a site and its report to the words and marks of a sheet.

#include "body_sheet.hpp"
#include "duskcast/sheets/plate.hpp"
#include "ground_sheet.hpp"
#include "wall_sheet.hpp"

namespace duskcast {

/// `face`: of which piece of its run; negative: all of it.
WallSheet make_wall_sheet(const PlateSource& source, const Surface& surface, int face = -1);

/// Traces the elevations as well: so many pixels high, from one side or two.
BodySheet make_body_sheet(const PlateSource& source, const Surface& surface,
                          int pixels = static_cast<int>(body_height), std::size_t sides = 2);

GroundSheet make_ground_sheet(const PlateSource& source);

} // namespace duskcast
