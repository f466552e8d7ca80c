#pragma once
// The plan as a client reads it: what stands where, and the fixtures by their numbers.

#include <string>

#include "duskcast/base/colour.hpp"
#include "duskcast/draw/canvas.hpp"
#include "duskcast/site/site.hpp"

namespace duskcast {

/// North up; fixtures carry the numbers 1, 2, ... of their order in the site, with a stem the way they point.
/// The bytes of a PNG or SVG, at most 1500 by 1002 pixels. `accent`: of the fixtures' marks.
std::string draw_client_plan(const Site& site, const Colour& accent, PictureFormat format);

} // namespace duskcast
