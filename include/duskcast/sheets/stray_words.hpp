#pragma once
// Stray light in words: watch points, eyes and sky beside the limits of the site's zone.

#include <string>
#include <vector>

#include "duskcast/measure/stray.hpp"

namespace duskcast {

/// Printed with every result that is compared with limits.
inline constexpr const char* stray_note =
    "Limits are given for comparison; whether they apply, and whether they are met, is for local rules and "
    "a measurement to say.";

/// "CIE 150:2003 / EN 12193:2008, as quoted by a secondary source"
const char* name_of(LimitSource source);

/// Lines in the site's units.
std::vector<std::string> print_stray(const Site& site, const StrayReport& report);

} // namespace duskcast
