#pragma once
// One lamp, or a few side by side, on one page: candela, beam, wall and figures.

#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/sheets/lamp_words.hpp"
#include "duskcast/sheets/plate.hpp"

namespace duskcast {

/// More would not be told apart on the same plots.
inline constexpr std::size_t most_chart_lamps = 6;

/// Draws the sheet of one lamp, or several lamps over each other: the bytes of a PNG or SVG,
/// 1600 pixels wide. Every sheet is made with `options`; one lamp is shown in front of the wall at
/// each setback, several at the middle one. Throws InputError when there is no lamp or more than
/// `most_chart_lamps` and when a sheet was made with other options.
std::string draw_lamp_chart(const std::vector<LampEntry>& lamps, const SheetOptions& options,
                            LengthUnit length, LightUnit light, PictureFormat format);

} // namespace duskcast
