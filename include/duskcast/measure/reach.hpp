#pragma once
// How high a level of light carries on an upright surface.

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "duskcast/measure/report.hpp"

namespace duskcast {

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
