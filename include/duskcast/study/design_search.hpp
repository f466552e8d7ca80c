#pragma once
// The search for lamps, aims and places that meet the targets.

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/study/workbench.hpp"

namespace duskcast {

/// A setting that may lie anywhere between two values (SI).
struct FreeKnob {
    Knob knob = Knob::tilt;
    double low = 0, high = 0;
};
/// "tilt=0..30", "setback=12in..24in". Throws InputError, its place left empty: reversed, empty, a lamp.
FreeKnob read_free_knob(const std::string& text, const Site& site);

/// Names of the trade's rules for a first design: "setback", "upright", "brighter", "two-sides".
std::vector<std::string> list_rules();
/// Throws InputError, its place left empty, where a name is none of them.
void check_rules(const std::vector<std::string>& names);

/// What may change. The fixtures go together: one lamp, tilt and setback for all, evenly spaced along their
/// wall (or evenly round their tree), the middle of the row staying where it is.
struct Freedom {
    std::vector<std::string> fixtures; ///< ids
    std::vector<FreeKnob> knobs;
    std::vector<std::string> lamps;  ///< ids; empty: the one they have
    std::size_t least = 0, most = 0; ///< how many fixtures; 0: as many as are named
    bool may_stand_in_lawn =
        false; ///< spiked ones are kept to beds and mulch where the site has any, and off paving always
    bool is_each_by_itself = false;                ///< in the end tilt and turn of each fixture alone
    std::vector<std::string> rules = list_rules(); ///< names of those it also starts from
};

/// How many fixtures, "3" or "1..3". Throws InputError, its place left empty.
void read_count(const std::string& text, Freedom& freedom);

/// What is wanted beyond the targets' own levels and shares.
struct Wish {
    Focus focus;
    Quantity prefer = Quantity::coverage; ///< of the designs that meet everything, the one best by this
    std::optional<double> most_spill, most_watts, most_price, most_hot_spot, most_uniformity;
    std::optional<double> most_candela; ///< towards the site's eyes and views, as if nothing hid the lenses
    /// Installations tried of each design found, to name the most robust; 0: none.
    std::size_t tolerance_samples = 0;
};

struct Design {
    std::size_t count = 0;
    std::string lamp;
    std::vector<double> values; ///< one a free knob
    Site site;
    Figures figures; ///< with fresh rays, bounced light included unless left out
    /// What nine installations in ten keep of the preferred figure, by direct light under the usual
    /// tolerances; none: not asked for.
    std::optional<double> kept;
    double shortfall = 0; ///< sum of what is missing: of targets' shares, and over caps as a share of the cap
    std::vector<std::string> off_beds; ///< ids of those on a spike in paving or, unless allowed, in the lawn
};

/// What a rule of the trade costs here: the preferred figure of the best design that keeps it.
struct RuleFinding {
    std::string name;
    std::string rule;                   ///< in words
    bool is_kept = false;               ///< by the best design
    std::optional<double> best_keeping; ///< none: nothing that was tried keeps it
};

struct DesignSearch {
    Design best;
    std::vector<Design> front; ///< none is beaten by another in every respect; the best is one of them
    std::vector<RuleFinding> rules;
    std::size_t tried = 0;
    bool is_met = false;
    std::vector<std::string>
        targets; ///< ids of those that are to be met: the focus's, and what is met as drawn
    std::optional<std::size_t> most_robust; ///< of the front
};

/// The focus's target is to be met, and those that are met as drawn must stay so.
/// Lamps and counts are gone through one by one (when over 64 pairs, the 16 best by a coarse grid are
/// followed up); settings by a grid and then by Subplex (Rowan 1990) as NLopt has it, from the best of the
/// grid and from where the trade's rules would begin, on direct light by the cached transport. What is
/// returned is lit anew. Throws InputError: nothing free, no such fixture, target, lamp or rule, fixtures of
/// different hosts, caps that no lamp and number can keep or that leave too few lumens for the targets.
DesignSearch search_designs(const Site& site, const std::filesystem::path& folder, const Freedom& freedom,
                            const Wish& wish, const WorkbenchOptions& options, const Progress& progress = {});

/// The preferred figure of a design as it is compared: larger is better.
double preference(const Figures& figures, const Wish& wish);

} // namespace duskcast
