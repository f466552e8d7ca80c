#pragma once
// The part of a surface that a target speaks of.

#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// A target resolved against a stage.
struct Region {
    std::vector<int> surfaces;          ///< indices into Stage::surfaces
    std::vector<std::uint32_t> sensors; ///< ascending
    const Site* site = nullptr;
    const Target* target = nullptr;
    const Stage* stage = nullptr;

    /// Whether a point of the given surface belongs to it.
    bool contains(int surface, const glm::dvec3& point) const;
};

/// Throws InputError, with a path such as `targets[1].on`, when the stage has no such surface.
Region find_region(const Site& site, const Stage& stage, const Target& target);

/// One a target; throws InputError with every target that has no surface.
std::vector<Region> find_regions(const Site& site, const Stage& stage);

} // namespace duskcast
