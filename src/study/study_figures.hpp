#pragma once
// Parts of figures that a single run and a workbench make alike.

#include "duskcast/measure/report.hpp"
#include "duskcast/study/figures.hpp"

namespace duskcast {

/// `along` of a line on a surface's run; a crown has none.
ReachFigures make_reach(const std::string& fixture, const std::string& on, const Reach& reach,
                        double along = 0);
TargetFigures make_target_figures(const Site& site, const Target& target, const Stats& stats, double share);

} // namespace duskcast
