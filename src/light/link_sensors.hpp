#pragma once
// Which sensors get links of their own, and between which of those the others lie.

#include <vector>

#include "duskcast/light/bounce.hpp"
#include "patch_tracer.hpp"

namespace duskcast {

/// Fills the source tree and the links of sensors. `found` says what the rays of each patch met; the patches'
/// areas are still those of their outlines. `rays`: a sensor; 0: as BounceOptions.
void link_sensors(const std::vector<Gathered>& found, int rays, BounceUse use, Bounce& bounce);

} // namespace duskcast
