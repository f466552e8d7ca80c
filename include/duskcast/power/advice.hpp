#pragma once
// What can be done about a load that does not work, the cheapest first, each solved anew.

#include <filesystem>
#include <string>
#include <vector>

#include "duskcast/power/load.hpp"

namespace duskcast {

enum class Remedy { next_tap, centre_feed, split_run, larger_gauge, second_transformer };

/// What a remedy changes about one run; what it does not concern stays as it is here.
struct RunChange {
    std::string run;                  ///< its id now
    double old_tap = 0, new_tap = 0;  ///< volts, of `next_tap`
    std::string split_after;          ///< the last fixture of the first part, of `split_run`
    int old_gauge = 0, new_gauge = 0; ///< AWG, of `larger_gauge`
};

/// A run of the changed network and the tap that suits it best then.
struct TapChoice {
    std::string run;
    double volts = 0;
};

struct SecondTransformer {
    double rating = 0;        ///< volt-amperes
    std::string beside;       ///< the overloaded one; empty: it stands at the middle of the changed run
    double single_rating = 0; ///< volt-amperes of one that would do in place of both
};

struct Advice {
    Remedy remedy = Remedy::next_tap;
    std::vector<RunChange> changes; ///< of `second_transformer` the runs moved to it, or the one split
    std::vector<TapChoice> taps;    ///< moved besides
    double more_cable = 0;          ///< metres beyond what lies now, of `centre_feed` and `split_run`
    double relaid_cable = 0;        ///< metres laid anew, of `larger_gauge`
    SecondTransformer second;
    Network network; ///< the network so changed
    LoadReport report;
    bool helps = false;     ///< more runs or lamps work, or a transformer is relieved
    bool is_enough = false; ///< everything works
};

/// In order of cost, those that apply; none where `now` is good. `now` is what measure_load found for the
/// same choice. Each beyond the first comes with the tap that suits it best. Costs are ranked as the trade
/// ranks them (common practice, no source), not calculated.
std::vector<Advice> find_advice(const Site& site, const std::filesystem::path& folder, const LoadReport& now);

} // namespace duskcast
