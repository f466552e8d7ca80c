#pragma once
// Which fixture does what.

#include <string>
#include <vector>

#include "duskcast/measure/report.hpp"

namespace duskcast {

struct FixtureContribution {
    std::string fixture;
    double of_light = 0;      ///< of the target's direct light
    double without = 0;       ///< share of the target at its level with this fixture off
    bool is_decisive = false; ///< the target is met only with it
};

struct TargetContributions {
    std::string target;
    double level_lx = 0;
    double wanted_share = 0;
    double share = 0;                          ///< with every fixture on, all light
    std::vector<FixtureContribution> fixtures; ///< in the site's order
};

/// A fixture is needless when every target loses less than this share with it off.
inline constexpr double needless_share = 0.01;

struct Contributions {
    std::vector<TargetContributions> targets;
    std::vector<std::string> needless; ///< each by itself
};

/// Takes each fixture's direct light off the whole; the little that it adds by way of other surfaces stays.
Contributions measure_contributions(const Site& site, const Stage& stage, const Lighting& lighting,
                                    const Report& report);

} // namespace duskcast
