#pragma once
// Ranges as people type them: "tilt=0..30:1", "tilt=0..30", "lamp=led-4w-24,led-5w-24".

#include <string>

#include "duskcast/site/variant.hpp"

namespace duskcast {

struct RangeText {
    Knob knob = Knob::tilt;
    std::string values;   ///< all that stands behind the "="
    std::string from, to; ///< empty where there are no dots
    std::string step;     ///< empty where there is no colon behind the dots

    bool has_ends() const { return !from.empty(); }
};

/// `form`: how it is to be written. Throws InputError, its place left empty.
RangeText split_range(const std::string& text, const std::string& form);

} // namespace duskcast
