#pragma once
// What a study compares variants by.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/measure/report.hpp"

namespace duskcast {

struct TargetFigures {
    std::string id;
    std::string on;
    double area = 0; ///< m2
    double level_lx = 0;
    double wanted_share = 0;
    double mean_lx = 0;
    double share = 0;      ///< of its area at or above its level
    double soft_share = 0; ///< the same with a gentle step, for searches: about 10 % of light wide; else 0
    std::optional<double> mean_to_min; ///< uniformity ratio of the lit part; none when nothing is lit
    double hot_lx = 0;
    double over_mean = 0; ///< of the hot spot: max : mean
    bool is_reached = false;
    std::optional<std::array<double, 2>> stretch; ///< of its wall's run, its gable's too; none: all of it

    bool operator==(const TargetFigures&) const = default;
};

/// How high the light of all fixtures carries: on the line that a fixture throws up a wall, or in a crown.
struct ReachFigures {
    std::string fixture; ///< empty for a crown
    std::string on;      ///< surface or tree
    double level_lx = 0;
    std::optional<double> height; ///< above the foot; none: reached nowhere
    double top = 0;               ///< upper edge there
    bool is_to_top = false;
    double along = 0; ///< of the line, on the surface's run

    bool operator==(const ReachFigures&) const = default;
};

struct Figures {
    std::vector<TargetFigures> targets;
    std::vector<ReachFigures> reaches;
    Spill spill;
    double watts = 0;
    double candela_to_eyes = 0;  ///< of searches: the most towards an eye or view, as if nothing hid the lens
    std::optional<double> price; ///< of fixtures and lamps; none where one has no price
};

/// The figures of a single run.
Figures figures_of(const Site& site, const Report& report, const Lighting& lighting);

/// What fixtures and lamps cost by the catalogue and the site's lamps; none where a price is missing.
std::optional<double> measure_price(const Site& site);

/// One figure of many variants, for curves and the choice of the best.
enum class Quantity { reach, coverage, mean, uniformity, hot_spot, spill, lumens, watts, price };
inline constexpr std::size_t quantity_count = 9;

enum class QuantityUnit { length, share, light, ratio, lumens, watts, money };

struct QuantityFacts {
    Quantity quantity;
    const char* key;   ///< in files: "evenness", "hot_spot"
    const char* word;  ///< on the command line: "uniformity", "hot_spot"
    const char* title; ///< of charts, without its unit
    QuantityUnit unit;
    bool is_more_better; ///< of lumens, watts and price neither is by itself; less is thrift
};
const std::array<QuantityFacts, quantity_count>& list_quantities();
const QuantityFacts& facts_of(Quantity quantity);
/// By its word on the command line. Throws InputError, its place left empty, with the nearest when unknown.
Quantity read_quantity(const std::string& word);

/// A key as people say it: "lens height".
std::string spoken(std::string key);
inline std::string spoken(Quantity quantity) {
    return spoken(facts_of(quantity).word);
}

/// Whose figures count: one target, and of the reaches on what it is on those of the fixtures; with none
/// named, those whose line meets the target's stretch.
struct Focus {
    std::string target;
    std::vector<std::string> fixtures;
    bool is_target_alone = false; ///< of the fixtures' reaches, too, those whose line meets the target
};

/// SI: metres, shares, lux, ratios, lumens, watts; the price in the catalogue's currency. A level that is
/// reached nowhere has a reach of 0. None where there is no such figure.
std::optional<double> value_of(const Figures& figures, Quantity quantity, const Focus& focus);

/// The reach that value_of gives: the highest on what the target is on; null where there is none.
const ReachFigures* find_reach(const Figures& figures, const Focus& focus);
/// Whether a line that meets the target is among those that the focus asks about.
bool has_own_line(const Figures& figures, Focus focus);
const TargetFigures* find_target(const Figures& figures, const std::string& id);

} // namespace duskcast
