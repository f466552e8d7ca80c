#pragma once
// The cables of a site when fixtures come and go.

#include <optional>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// The network of `site` for `variant`, a site whose fixtures are others: cables lie where they lay, the
/// leads of fixtures that are gone are left out, and a new fixture is joined to the run that passes nearest,
/// where it passes. None where the site has no network, or one that `variant` cannot have.
std::optional<Network> rewire(const Site& site, const Site& variant);

} // namespace duskcast
