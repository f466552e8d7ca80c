#pragma once
// The exchange areas between patches, joined from the rays of both patches of a pair and balanced.

#include <vector>

#include "duskcast/light/bounce.hpp"
#include "patch_tracer.hpp"

namespace duskcast {

/// Fills rows, links, balance, sky and lost of the operator. `found` says what the rays of each patch met;
/// its counts are freed on the way.
void build_exchange(std::vector<Gathered>& found, Bounce& bounce);

} // namespace duskcast
