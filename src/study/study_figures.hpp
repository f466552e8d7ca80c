#pragma once
// Parts of figures that a single run and a workbench make alike.

#include "duskcast/measure/report.hpp"
#include "duskcast/study/figures.hpp"

namespace duskcast {

ReachFigures make_reach(const std::string& fixture, const std::string& on, const Reach& reach);
TargetFigures make_target_figures(const Target& target, const Stats& stats, double share);

} // namespace duskcast
