#pragma once
// Crowns by height.

#include "duskcast/measure/report.hpp"
#include "duskcast/measure/stats.hpp"

namespace duskcast {

/// A crown's bands and how high it reads as lit, of samples on its leaves.
TreeReport measure_crown(const Site& site, const Stage& stage, const Tree& tree,
                         const std::vector<Sample>& samples, const std::vector<double>& levels_lx);

/// The crown as a whole, then as each view of the site sees it (without views: from the south and the
/// north, 50 m off at eye height).
std::vector<TreeReport> measure_trees(const Site& site, const Stage& stage, const std::vector<double>& lux,
                                      const std::vector<double>& levels_lx);

} // namespace duskcast
