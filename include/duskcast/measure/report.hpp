#pragma once
// What the light does, in figures: coverage, uniformity, hot spots, reach, targets, trees by height, spill.
// How they are said to people is for whoever prints them.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/measure/lit.hpp"
#include "duskcast/measure/reach.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/measure/spill.hpp"
#include "duskcast/measure/stats.hpp"
#include "duskcast/measure/stray.hpp"
#include "duskcast/measure/trees.hpp"
#include "duskcast/site/season.hpp"

namespace duskcast {

struct SurfaceReport {
    int surface = 0;               ///< index into Stage::surfaces
    Stats stats;                   ///< of all light
    Stats direct;                  ///< of light straight from fixtures
    double bounced_lx = 0;         ///< mean of the rest
    std::vector<Reach> best_reach; ///< upright surfaces: of the column where the level carries highest
};

/// What a fixture is for: of an uplight at a tree, the tree; of others the thing that gets most of its light,
/// open ground only where it gets three times as much. Of the targets on it the one that gets most; where it
/// is no plant, also a target elsewhere that gets at least half as much, of a path light a quarter.
struct FixturePurpose {
    std::string fixture;
    std::string on;     ///< wall, plant, mesh or ground area as a whole; empty: nothing gets 2 %
    std::string target; ///< empty: there is none on it, or none that gets any
    double share = 0;   ///< of the fixture's lumens that land there: on the target, else on the thing
    double mean_lx = 0; ///< of its own light there
};

struct Report {
    std::vector<double> levels_lx;        ///< ascending
    std::vector<double> total_lx;         ///< direct and bounced, one a sensor
    std::vector<SurfaceReport> surfaces;  ///< those with sensors, in the stage's order
    std::vector<FixturePurpose> purposes; ///< one a fixture
    std::vector<FixtureReach> reaches;
    std::vector<TreeReport> trees;
    std::vector<TargetReport> targets;
    Spill spill;
    std::vector<SeenFeature> seen;    ///< from the site's views; the caller, who looks, fills it in
    double lit_luminance = 0;         ///< cd/m2 that `seen` was judged by
    std::vector<GlowReport> glows;    ///< what glows, apart from the fixtures
    std::optional<StrayReport> stray; ///< only where the site asks for it (asks_for_stray)
    SeasonChoice season;              ///< of the plants; the caller, who chose it, fills it in
};

/// Where the light of a lens lands, as find_places has it for the site's targets.
using PlacesOf = std::function<const LandingPlaces&(const Lens&)>;

/// Levels must be ascending; empty takes the site's own. `places_of` empty: they are found anew, by rays.
Report measure_report(const Site& site, const Stage& stage, const Lighting& lighting,
                      std::vector<double> levels_lx = {}, const PlacesOf& places_of = {});

/// The levels asked for (empty: the site's own) and those of the targets, ascending, none twice.
std::vector<double> join_levels(std::vector<double> levels_lx, const Site& site);

/// The level people ask about on a surface: its first target's own, else the lowest reported from 1 fc up,
/// else the highest reported.
double find_main_level(const Site& site, const std::vector<double>& levels_lx, const std::string& surface);

} // namespace duskcast
