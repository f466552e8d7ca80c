#pragma once
// The load of a site's network: volts, amps and watts at every lamp, along every cable, at every transformer.

#include <array>
#include <filesystem>
#include <glm/glm.hpp>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/power/wire.hpp"
#include "duskcast/site/site.hpp"

namespace duskcast {

inline constexpr double customary_share = 0.8; ///< of a transformer's rating (common practice)

/// Volts that 12 V lamps are commonly given at least, and the share of the tap's volts that a run commonly
/// loses at most, whatever range a driver can bear (common practice, no source).
inline constexpr double customary_volts = 10.5;
inline constexpr double customary_drop = 0.1;

struct LoadChoice {
    WireChoice wire;
    std::optional<double> tap; ///< volts, for every run in place of its own
    bool is_share_asked = true; ///< of the load that a run without an operating point bears
};

/// A lamp's volts beside its operating range.
enum class VoltageState { low, good, high };

/// A lamp in its fixture. Where its run has no operating point, volts to volt_amperes and `state` say
/// nothing.
struct FixtureLoad {
    std::string id;
    std::string lamp;
    std::size_t run = 0;    ///< index into LoadReport::runs
    std::size_t joint = 0;  ///< of the run, at which its lead ends, or it hangs where it has none
    double named_watts = 0; ///< by its box, at rated voltage
    double asked_watts = 0; ///< as measured where that is known, at rated voltage
    double volts = 0;
    double amps = 0;
    double watts = 0;
    double volt_amperes = 0;
    std::array<double, 2> operating_volts{0, 0}; ///< between which it works well
    bool is_range_assumed = false;               ///< the lamp gives none; operating_volts_of's usual figures
    VoltageState state = VoltageState::good;
    double distance = 0; ///< metres of cable and lead from the transformer, slack included, one way round
    glm::dvec2 light{0}; ///< where it stands
};

enum class CablePart { home, cable, lead };

/// A stretch between two joints.
struct CableLoad {
    CablePart part = CablePart::cable;
    std::size_t from = 0, to = 0; ///< joints of the run, 0 being the transformer
    std::string fixture;          ///< of a lead
    int gauge = 12;
    std::vector<glm::dvec2> course;
    double length = 0; ///< metres, slack included
    double amps = 0;
    double drop = 0;      ///< volts from its one end to the other
    double lost = 0;      ///< watts
    double end_volts = 0; ///< at its far end
};

struct RunLoad {
    std::string id;
    std::string transformer;
    double tap = 0; ///< volts
    int secondary = 1;
    int gauge = 12;
    RunLayout layout = RunLayout::daisy_chain;
    std::vector<std::size_t> fixtures; ///< indices into LoadReport::fixtures

    // The certificate of the solution.
    bool is_found = false;
    double residual = 0;       ///< amps that the nodes' balance is off by, at most
    double bearable_share = 1; ///< of what the lamps ask for; 1 where that has an operating point

    double asked_watts = 0;
    double asked_volt_amperes = 0;
    double cable_length = 0; ///< metres of its own gauge, slack included
    double lead_length = 0;  ///< metres of leads
    int lead_gauge = 18;
    double watts = 0;        ///< of the lamps
    double lost = 0;         ///< watts in the cable
    double volt_amperes = 0; ///< at the tap
    double amps = 0;
    double least_volts = 0, most_volts = 0; ///< at its lamps
    std::size_t lowest = 0;                 ///< index into LoadReport::fixtures
    double trade_drop = 0; ///< watts x feet / the trade's constant, for comparison; 0: none known
    std::vector<CableLoad> cables;

    double drop() const { return tap - least_volts; }
};

struct TransformerLoad {
    std::string id;
    glm::dvec2 at{0};
    double rating = 0;
    double volt_amperes = 0; ///< of runs without operating point what their lamps ask for
    bool is_whole = true;    ///< every run has an operating point
    double secondary_limit = 25;
    std::vector<double> secondary_amps; ///< one a secondary circuit

    double share() const { return volt_amperes / rating; }
};

struct LoadReport {
    LoadChoice choice;
    std::vector<FixtureLoad> fixtures; ///< in the site's order
    std::vector<RunLoad> runs;
    std::vector<TransformerLoad> transformers;
};

/// Solves every run. Throws InputError: no network, a lamp without watts, a tap chosen that a transformer
/// does not have or a lamp does not bear. `folder` is the site file's.
LoadReport measure_load(const Site& site, const std::filesystem::path& folder, const LoadChoice& choice);

/// Whether a run has an operating point and all its lamps are within their operating range.
bool is_run_good(const LoadReport& report, const RunLoad& run);
/// Within the customary share of its rating, and each secondary within its limit.
bool is_transformer_good(const TransformerLoad& transformer);
bool is_all_good(const LoadReport& report);
std::size_t count_good_lamps(const LoadReport& report);

} // namespace duskcast
