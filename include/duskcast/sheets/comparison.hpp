#pragma once
// The same plate of several variants of a site side by side, and what changes from one to another.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/sheets/plate.hpp"

namespace duskcast {

/// A variant as it is shown.
struct ComparedPlate {
    PlateSource source;
    std::string name;
    std::vector<std::string> lines; ///< figures below the name, a sentence or row each
};

inline constexpr std::size_t most_compared = 4;

struct Comparison {
    std::string title;
    std::string detail; ///< below the title
    std::string plate;  ///< the plate's id as list_plates gives it: a surface's, or "ground"
    std::vector<ComparedPlate> variants;
    /// Indices of the variants between which the change is drawn, first from, then to; none: of two variants
    /// from the first to the second, of more no change.
    std::optional<std::array<std::size_t, 2>> change;
    std::vector<std::string> answers; ///< sentences at the foot
};

/// Draws two to `most_compared` variants on one page, all on the fixed scale of light and to the same scale
/// of length; units are the first variant's site's. The bytes of a PNG or SVG, 1600 pixels wide. The change
/// is drawn twice: as a difference in lux (or foot-candles) on a scale even about zero whose ends are the
/// round figure that takes in 95 % of it, and as a ratio from 1/4 to 4, for which light below the scale's
/// lower end counts as that. Throws InputError when there are too few or too many variants, when one has no
/// such plate, and when `change` names a variant that is not there.
std::string draw_comparison(const Comparison& comparison, PictureFormat format);

} // namespace duskcast
