#pragma once

#include "duskcast/site/network.hpp"
#include "site_text.hpp"

namespace duskcast {

Text make_network_text(const Network& network, LengthUnit unit);

} // namespace duskcast
