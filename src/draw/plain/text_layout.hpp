#pragma once
// How wide a text is and where its lines end, without a library that knows fonts. Letters are as wide as
// those of DejaVu Sans; that pairs of letters are set closer is left out, so a text comes out up to about a
// twentieth wider than Pango makes it. Signs that few plates hold are taken for a typical one of their
// script.

#include <string>
#include <vector>

#include "duskcast/draw/canvas.hpp"

namespace duskcast {

/// Width of a sign (a Unicode code point) in ems.
double advance_of(char32_t sign, bool is_bold);

inline constexpr double ascent = 1901.0 / 2048, descent = 483.0 / 2048; ///< of DejaVu Sans, in ems
inline constexpr double wrapped_line_step = 1.15; ///< of wrapped text, in heights of a line

/// The code points of UTF-8 text; what is not UTF-8 becomes U+FFFD.
std::u32string decode_utf8(const std::string& text);

struct TextLine {
    std::u32string signs;
    double width = 0; ///< pixels
    double top = 0;   ///< pixels below the first line's
};

/// The lines of a text: at its line ends and, with `wrap` above 0, after the last space or hyphen that keeps
/// a line within it, or inside a word that is longer. Spaces that end a broken line do not count.
std::vector<TextLine> lay_out_text(const std::string& text, const TextStyle& style, double wrap);

} // namespace duskcast
