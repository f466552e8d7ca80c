#pragma once
// Lamps and fixtures, which both a site and a catalogue hold.

#include <initializer_list>

#include "duskcast/site/equipment.hpp"
#include "object_reader.hpp"

namespace duskcast {

void require_all(ObjectReader& reader, std::initializer_list<const char*> keys);
void read_id(ObjectReader& reader, std::string& id);
void read_lamp(ObjectReader& reader, Lamp& lamp);
void read_fixture(ObjectReader& reader, const Catalogue& catalogue, Fixture& fixture);

/// Lens and shielding.
void read_fixture_body(ObjectReader& reader, Fixture& fixture);

} // namespace duskcast
