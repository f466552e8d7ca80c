#pragma once
// How high a level of light carries on an upright surface.

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/light/lighting.hpp"
#include "duskcast/measure/lit.hpp"

namespace duskcast {

/// A part of a column that is not the surface: an opening.
struct Gap {
    double from = 0, to = 0; ///< heights above the foot
    std::string opening;     ///< id; empty where it is not known
};

/// How high a level carries: from the hot spot of a column upward without a break.
struct Reach {
    double level_lx = 0;
    std::optional<double> height;   ///< above the foot; none: the level is reached nowhere in the column
    double wall_height = 0;         ///< the surface's upper edge there, above the foot
    bool is_to_top = false;         ///< still at the level at the upper edge
    std::string sill_of;            ///< id of the opening at whose lower edge it ends; empty: at none
    std::vector<Stretch> stretches; ///< all parts of the column at the level, from the lowest up
};

/// A lamp that fits the fixture and carries a level higher.
struct HigherReach {
    std::string lamp; ///< id
    Reach reach;      ///< by the light of all fixtures with this lamp in the fixture, bounced light as before
};

/// Reach on the line of a wall that a fixture stands before.
struct FixtureReach {
    std::string fixture;
    std::string surface;
    double along = 0;                  ///< u of the line
    std::string gable;                 ///< the gable the line runs into, if any
    std::vector<Reach> levels;         ///< by the fixture's own light
    std::vector<Reach> together;       ///< by the light of all fixtures, bounced light included
    double level_lx = 0;               ///< asked about here: of `target`, else the wall's main level
    double goal = 0;                   ///< how high it should carry: the top of `target`, else of the surface
    std::string target;                ///< the highest of the targets on the line; empty: none
    std::optional<HigherReach> better; ///< where it falls short of `goal` and a lamp at hand does more
    int lamps_tried = 0;               ///< for `better`
};

/// Where a fixture's line of aim, seen in the plan, first meets an upright surface.
struct AimLine {
    int surface = -1;
    double along = 0; ///< u on the surface

    bool operator==(const AimLine&) const = default;
};

/// Whether the fixture throws its light up a wall; the others have no line.
bool has_line(const Fixture& fixture);

/// None when the fixture faces no upright surface within 15 m.
std::optional<AimLine> find_aim_line(const Stage& stage, const LitFixture& fixture);

/// Reach in one column given lux from the lowest sensor up. `heights` and `lux` have one entry a
/// sensor; between sensors the height is found on a straight line of log lux, but never inside of a gap:
/// light that fails across one ends at its edge. `top` is the upper edge.
Reach measure_reach(const std::vector<double>& heights, const std::vector<double>& lux, double top,
                    double level_lx, const std::vector<Gap>& gaps = {});

/// Lux of a sensor of the stage.
using LuxAt = std::function<double(std::uint32_t sensor)>;

/// The sensors whose light measure_line_reach asks for, ascending.
std::vector<std::uint32_t> list_line_sensors(const Surface& surface, double along);

/// Reach on the upright line at `along`, light interpolated between the neighbouring columns of sensors.
std::vector<Reach> measure_line_reach(const Site& site, const Surface& surface, const LuxAt& lux,
                                      double along, const std::vector<double>& levels_lx);
std::vector<Reach> measure_line_reach(const Site& site, const Surface& surface,
                                      const std::vector<double>& lux, double along,
                                      const std::vector<double>& levels_lx);

/// For each level the reach of the column in which it carries highest.
std::vector<Reach> measure_best_reach(const Surface& surface, const std::vector<double>& lux,
                                      const std::vector<double>& levels_lx);

} // namespace duskcast
