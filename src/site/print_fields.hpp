#pragma once
// Lays an object out as text by its description.

#include "described.hpp"
#include "site_text.hpp"

namespace duskcast {

/// `catalogue` is the one that fixtures' models are in.
Text make_object_text(const Fields& fields, const void* object, const Catalogue& catalogue, LengthUnit unit,
                      LightUnit light);

/// JSON of what leaving the key out means, the same in every unit; empty: nothing, or it depends.
std::string print_usual(const Fields& fields, const Field& field);

} // namespace duskcast
