#pragma once
// Ways of cable: a proposal where no runs are given, and what drawn ones pass through.

#include <filesystem>

#include "duskcast/power/load.hpp"

namespace duskcast {

/// A network for the site's fixtures, whatever network it may have; of that only the first transformer's
/// place and taps are kept. The cables keep out of houses and water, cross paving only where the way round is
/// much longer, prefer beds and edges, and come no nearer to water than they must. One run, two,
/// three ... are tried, in 12 AWG or thicker, along all fixtures or fed at the middle; the one kept costs
/// least in trench and cable of those that give every lamp its operating range and the customary volts. Then
/// three to six lamps that stand round a place and not in a row, none more than 25 ft from where their leads
/// meet (common practice), go on a hub of their own where that costs less, or where it brings the lamps of a
/// run at least half a volt closer, counted beyond 1 V, and costs at most a tenth more. Leads pass no wall,
/// trunk, water or paving. With more than 60 fixtures no hub is looked for. No run carries more than 80 % of
/// 25 A. Runs across paving are marked as sleeved. Deterministic. Throws InputError: no fixtures, a lamp
/// without watts.
Network propose_network(const Site& site, const std::filesystem::path& folder, const LoadChoice& choice);

/// A run's buried cable inside a house or water, or under a porch floor, bay or steps, such as one drawn
/// straight.
struct Crossing {
    std::size_t run = 0;  ///< index into LoadReport::runs
    std::string obstacle; ///< id of the wall, projection, steps or water
    double length = 0;    ///< metres inside it
};

/// Those of more than half a metre, by run. Leads are left out: they may hang.
std::vector<Crossing> find_crossings(const Site& site, const LoadReport& report);

} // namespace duskcast
