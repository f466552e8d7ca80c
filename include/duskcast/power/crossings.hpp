#pragma once
// Cables where none should lie.

#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/power/load.hpp"

namespace duskcast {

/// A warning for every run whose buried cable passes through a house or water for more than half a metre,
/// such as one drawn straight or to a fixture that no way leads to. Leads are left out: they may hang.
std::vector<Problem> find_crossings(const Site& site, const LoadReport& report);

} // namespace duskcast
