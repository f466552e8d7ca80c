#pragma once
// A lamp's sheet in words, and as JSON.

#include <string>
#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/lamp_sheet.hpp"

namespace duskcast {

/// A lamp with its figures.
struct LampEntry {
    LampDescription lamp;
    LampSheet sheet; ///< made of `lamp`
};

/// The sheet as lines of text. `options` are those it was made with.
std::vector<std::string> print_lamp_sheet(const LampEntry& entry, const SheetOptions& options,
                                          LengthUnit length, LightUnit light);

/// JSON text of several lamps, a list in their order; SI units and degrees.
std::string print_lamp_json(const std::vector<LampEntry>& entries);

} // namespace duskcast
