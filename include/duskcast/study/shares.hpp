#pragma once
// Which fixture does what.

#include <string>
#include <vector>

#include "duskcast/measure/report.hpp"

namespace duskcast {

struct FixtureShare {
    std::string fixture;
    double of_light = 0;      ///< of the target's direct light
    double without = 0;       ///< share of the target at its level with this fixture off
    bool is_decisive = false; ///< the target meets its aim only with it
};

struct TargetShares {
    std::string target;
    double level_lx = 0;
    double wanted_share = 0;
    double share = 0;                   ///< with every fixture on, all light
    std::vector<FixtureShare> fixtures; ///< in the site's order
};

/// A fixture that nothing would miss: switched off, it takes less than this share off every target.
inline constexpr double unmissed = 0.01;

struct Shares {
    std::vector<TargetShares> targets;
    std::vector<std::string> unmissed; ///< each alone
};

/// Takes each fixture's direct light off the whole; the little it adds by way of other surfaces stays.
Shares measure_shares(const Site& site, const Stage& stage, const Lighting& lighting, const Report& report);

std::vector<std::string> print_shares(const Site& site, const Shares& shares);
std::string print_shares_json(const Site& site, const Shares& shares);

} // namespace duskcast
