#pragma once

#include "duskcast/site/network.hpp"
#include "object_reader.hpp"

namespace duskcast {

void read_network(ObjectReader& reader, Network& network);

} // namespace duskcast
