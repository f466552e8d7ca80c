#pragma once
// What can be done about a load that does not work, the cheapest first, each solved anew.

#include <filesystem>
#include <string>
#include <vector>

#include "duskcast/power/load.hpp"

namespace duskcast {

enum class Remedy { next_tap, centre_feed, split_run, larger_gauge, second_transformer };
std::string name_of(Remedy remedy); ///< "next tap", ...

struct Advice {
    Remedy remedy = Remedy::next_tap;
    std::string what; ///< a sentence, lengths in the site's units
    Network network;  ///< the network so changed
    LoadReport report;
    bool helps = false;     ///< more runs or lamps work, or a transformer is relieved
    bool is_enough = false; ///< everything works
};

/// In order of cost, those that apply; none where `now` is good. `now` is what measure_load found for the
/// same choice. Each beyond the first comes with the tap that suits it best. Costs are ranked as the trade
/// ranks them (common practice, no source), not reckoned.
std::vector<Advice> find_advice(const Site& site, const std::filesystem::path& folder, const LoadReport& now);

} // namespace duskcast
