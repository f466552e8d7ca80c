#pragma once
// Crowns by height.

#include "duskcast/measure/report.hpp"

namespace duskcast {

/// The crown as a whole, then as each view of the site sees it (without views: from the south and the
/// north, 50 m off at eye height).
std::vector<TreeReport> measure_trees(const Site& site, const Stage& stage, const std::vector<double>& lux,
                                      const std::vector<double>& levels_lx);

} // namespace duskcast
