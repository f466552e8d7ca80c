#pragma once
// A tree's wood.

#include <cstdint>

#include "duskcast/site/site.hpp"
#include "duskcast/stage/geometry.hpp"

namespace duskcast {

/// Adds trunk and branches up into the crown; `salt` and the foliage's seed turn the branches.
void build_trunk(const Tree& tree, std::uint32_t salt, std::uint16_t material, std::uint16_t surface,
                 Triangles& triangles);

} // namespace duskcast
