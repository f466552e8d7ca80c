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

/// A fixture is not missed when with it off what is met stays met, every target loses less than this share,
/// and no target that is missed anyway owes it as much of its light as `needed_light`.
inline constexpr double needless_share = 0.01;
inline constexpr double needed_light = 0.05;

/// A fixture serves a target when this share of its lumens lands on targets.
inline constexpr double serving_share = 0.05;

struct Contributions {
    std::vector<TargetContributions> targets;
    std::vector<std::string> needless;       ///< each by itself
    std::vector<std::string> without_target; ///< serve none, so that nothing can be said of them
};

/// Takes each fixture's direct light off the whole; the little that it adds by way of other surfaces stays.
Contributions measure_contributions(const Site& site, const Stage& stage, const Lighting& lighting,
                                    const Report& report);

} // namespace duskcast
