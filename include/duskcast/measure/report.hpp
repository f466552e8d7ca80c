#pragma once
// What the light does, in figures: coverage, evenness, hot spots, reach, targets, trees by height, spill.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/measure/stray.hpp"
#include "duskcast/site/season.hpp"

namespace duskcast {

struct LevelShare {
    double level_lx = 0;
    double share = 0; ///< of the area
};

/// How high a level carries: from the hot spot of a column upward without a break.
struct Reach {
    double level_lx = 0;
    std::optional<double> height; ///< above the foot; none: the level is reached nowhere in the column
    double wall_height = 0;       ///< the surface's upper edge there, above the foot
    bool is_to_top = false;       ///< still at the level at the upper edge
};

/// Reach on the line of a wall that a fixture stands before.
struct FixtureReach {
    std::string fixture;
    std::string surface;
    double along = 0;            ///< u of the line
    std::string gable;           ///< the gable the line runs into, if any
    std::vector<Reach> levels;   ///< by the fixture's own light
    std::vector<Reach> together; ///< by the light of all fixtures, bounced light included
};

struct HotSpot {
    double lux = 0;
    glm::dvec3 position{0};
    glm::dvec2 unfolded{0}; ///< (u, v) where the surface has a grid
    double over_mean = 0;   ///< max : mean
};

/// Figures of a part of a surface (or the whole). Of leaves each counts once, at its brighter side.
struct Stats {
    double area = 0; ///< m2
    std::size_t sensors = 0;
    double min_lx = 0;
    double mean_lx = 0; ///< area-weighted
    double max_lx = 0;
    std::vector<LevelShare> coverage; ///< share of area at or above each level
    /// Evenness over the part at or above the lowest level: mean : min and max : min; none when nothing is.
    std::optional<double> mean_to_min;
    std::optional<double> max_to_min;
    HotSpot hot_spot;
};

/// A height band of a crown. Each leaf counts at its brighter side.
struct TreeBand {
    double from = 0; ///< above the foot
    double to = 0;
    double leaf_area = 0; ///< one side, m2
    double mean_lx = 0;
    std::vector<LevelShare> lit; ///< share of leaf area at or above each level
};

/// A band reads as lit when this share of its leaf area is at the level (working convention, no source).
inline constexpr double reads_as_lit = 1.0 / 3.0;

/// A crown as a whole, or as one eye sees it (only leaves it can see, on the side that faces it).
struct TreeReport {
    std::string tree;
    std::string from; ///< "" all leaves; otherwise the view's id or "from the north" and the like
    std::vector<TreeBand> bands;
    /// One a level: the top of the highest band that still reads as lit, that is, in which at least
    /// `reads_as_lit` of the leaf area is at or above the level; none when no band does.
    std::vector<Reach> lit_to;
};

struct SurfaceReport {
    int surface = 0;               ///< index into Stage::surfaces
    Stats stats;                   ///< of all light
    Stats direct;                  ///< of light straight from fixtures
    double bounced_lx = 0;         ///< mean of the rest
    std::vector<Reach> best_reach; ///< upright surfaces: of the column where the level carries highest
};

struct TargetReport {
    std::string id;
    std::string on;
    double level_lx = 0;
    double wanted_share = 0;
    Stats stats;             ///< of all light
    double share = 0;        ///< of its area at or above its level
    double direct_lx = 0;    ///< mean, straight from fixtures
    double direct_share = 0; ///< `share` without bounced light
    bool is_reached = false;
};

/// Where every lumen lands first. The parts add up to what the fixtures emit.
struct Spill {
    double emitted_lm = 0;
    double target_lm = 0;
    double other_lm = 0;
    double ground_lm = 0;
    double sky_lm = 0;
    double sky_bounced_lm = 0; ///< of what landed, thrown back to the sky
};

struct Report {
    std::vector<double> levels_lx;       ///< ascending
    std::vector<double> total_lx;        ///< direct and bounced, one a sensor
    std::vector<SurfaceReport> surfaces; ///< those with sensors, in the stage's order
    std::vector<FixtureReach> reaches;
    std::vector<TreeReport> trees;
    std::vector<TargetReport> targets;
    Spill spill;
    std::vector<std::string> answers; ///< sentences for people, in the site's units
    std::string light_loss;           ///< a sentence: what is taken off new lamps behind clean lenses
    std::optional<StrayReport> stray; ///< measured only where asked for (asks_for_stray)
    SeasonChoice season;              ///< how the plants were taken; left to whoever chose it
};

/// Levels must be ascending; empty takes the site's own.
Report measure_report(const Site& site, const Stage& stage, const Lighting& lighting,
                      std::vector<double> levels_lx = {});

/// The levels asked for (empty: the site's own) and those of the targets, ascending, none twice.
std::vector<double> join_levels(std::vector<double> levels_lx, const Site& site);

/// The level people ask about on a surface: its first target's own, else the lowest reported from 1 fc up,
/// else the highest reported.
double find_main_level(const Site& site, const std::vector<double>& levels_lx, const std::string& surface);

/// Reach in one column given lux from the lowest sensor up. `heights` and `lux` have one entry a
/// sensor; between sensors the height is found on a straight line of log lux. `top` is the upper edge.
Reach measure_reach(const std::vector<double>& heights, const std::vector<double>& lux, double top,
                    double level_lx);

} // namespace duskcast
