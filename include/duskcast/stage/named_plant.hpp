#pragma once
// Plants that are known by their words: wood that grows to the leaves, leaves on twigs, blossoms.

#include <cstdint>

#include "duskcast/site/site.hpp"
#include "duskcast/stage/geometry.hpp"

namespace duskcast {

struct PlantMaterials {
    std::uint16_t bark = 0;
    std::uint16_t leaf = 0;
    std::uint16_t blossom = 0;
};

/// At most so many facets of wood a tree, or a bed or hedge.
inline constexpr std::size_t most_wood_facets = 6000;

/// Adds a tree's wood and round(density x volume / leaf area) leaves in Morton order, seeded by the foliage's
/// seed and `salt`. Leaves lie in the crown's outline. Their gaps follow P = exp(-G Omega u s) with the
/// kind's clumping index Omega, within what tests/stage/test_named_plants.cpp states.
void build_named_tree(const Tree& tree, std::uint32_t salt, const PlantMaterials& materials,
                      std::uint16_t surface, Triangles& triangles, Leaves& leaves);

/// The same of a bed, which is filled with single plants, and of a hedge, which is one body on many stems
/// where its kind has branches, and else a row.
void build_named_shrub(const Shrub& shrub, std::uint32_t salt, const PlantMaterials& materials,
                       std::uint16_t surface, Triangles& triangles, Leaves& leaves);

} // namespace duskcast
