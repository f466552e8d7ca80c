#pragma once
// The part of a surface that a target is about, and the light that it gets.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/measure/stats.hpp"

namespace duskcast {

/// A target resolved against a stage.
struct Region {
    std::vector<int> surfaces;          ///< indices into Stage::surfaces
    std::vector<std::uint32_t> sensors; ///< ascending
    const Site* site = nullptr;
    const Target* target = nullptr;
    const Stage* stage = nullptr;
    const Wall* wall = nullptr;   ///< of the gable that it is kept to
    const Gable* gable = nullptr; ///< null: to none, or to one that is not there

    /// Whether a point of the given surface belongs to it.
    bool contains(int surface, const glm::dvec3& point) const;

    /// How high it goes on the upright line at `along` of a surface that ends at `upper_edge`, above the
    /// foot; none: the line does not meet it.
    std::optional<double> top_on_line(int surface, double along, double upper_edge) const;
};

/// A lamp that fits one of the fixtures and lights more of a target.
struct MoreCoverage {
    std::string fixture, lamp; ///< ids
    double share = 0;          ///< of the target at its level with this lamp in that fixture
    bool is_reached = false;
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
    std::optional<MoreCoverage> better; ///< of a target that is missed: find_better_lamps
};

/// Throws InputError, with a path such as `targets[1].on`, when the stage has no such surface.
Region find_region(const Site& site, const Stage& stage, const Target& target);

/// One a target; throws InputError with every target that has no surface.
std::vector<Region> find_regions(const Site& site, const Stage& stage);

/// Throws what find_regions would throw, without looking at the sensors.
void check_targets(const Site& site, const Stage& stage);

/// Lux: one a sensor of the stage, of all light and of light straight from fixtures. Levels ascending.
TargetReport measure_target(const Region& region, const std::vector<double>& total_lx,
                            const std::vector<double>& direct_lx, const std::vector<double>& levels_lx);

} // namespace duskcast
