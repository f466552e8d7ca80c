#pragma once
// Where no runs are given: a proposal of transformer, runs and the ways of their cables.

#include <filesystem>

#include "duskcast/power/load.hpp"

namespace duskcast {

/// A network for the site's fixtures, whatever network it may have; of that only the first transformer's
/// place and taps are kept. The cables keep out of houses and water, cross paving only where the way round is
/// much longer, and rather follow beds and edges. One run goes round the house either way, shared out by
/// load; more where a run would carry more than 80 % of 25 A. Thicker cable and higher taps where 12 AWG from
/// 12 V leaves lamps below their windows. Deterministic. Throws InputError: no fixtures, a lamp without
/// watts.
Network propose_network(const Site& site, const std::filesystem::path& folder, const LoadChoice& choice);

} // namespace duskcast
