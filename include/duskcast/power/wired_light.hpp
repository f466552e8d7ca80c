#pragma once
// What the voltage at a lamp does to its light.

#include <vector>

#include "duskcast/power/load.hpp"

namespace duskcast {

/// A fixture's light beside that of its lamp at rated voltage.
struct WiredLight {
    double lumens_share = 1;
    double watts = 0;
    double cct = 2700; ///< kelvin
};

/// One a fixture of the site, in its order. Filaments (halogen, constant resistance) follow halogen_law.
/// Lamps of constant power or current are taken to keep their light, which holds within their operating
/// range. Without an operating point a run's lamps are dark.
std::vector<WiredLight> find_wired_light(const Site& site, const LoadReport& report);

} // namespace duskcast
