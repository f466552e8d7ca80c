#pragma once
// Takes an object of a file apart by its description.

#include "described.hpp"
#include "object_reader.hpp"

namespace duskcast {

void read_object(ObjectReader& reader, const Fields& fields, void* object);

} // namespace duskcast
