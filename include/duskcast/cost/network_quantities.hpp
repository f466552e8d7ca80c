#pragma once
// What of the take-off comes from the network.

#include "duskcast/cost/take_off.hpp"
#include "duskcast/power/load.hpp"

namespace duskcast {

/// Fixtures, lamps and mounts of the site; cable by gauge, leads and slack included; transformers by rating;
/// hubs; and a connector for each lead that is joined to a cable (leads that meet at a hub need none).
TakeOffQuantities find_network_quantities(const Site& site, const LoadReport& report);

/// What the meter counts while the lights are on: lamps and what the cable loses, watts. Of runs without an
/// operating point what their lamps ask for; the transformers' own losses are not in it.
double measure_drawn_watts(const LoadReport& report);

} // namespace duskcast
