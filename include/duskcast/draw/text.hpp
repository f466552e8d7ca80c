#pragma once
// Words made to fit their room: cut, broken into lines, written below each other.

#include <string>
#include <vector>

#include "duskcast/draw/canvas.hpp"

namespace duskcast {

inline constexpr double line_step = 18; ///< between the lines of `write_lines`

/// The text with spaces that do not break between a number and its unit.
std::string keep_units(const std::string& text);

/// The lines of a text; an empty one has none.
std::vector<std::string> split_lines(const std::string& text);

/// As much of the text as fits the width, ending in "…" when cut.
std::string cut_text(const std::string& text, const TextStyle& style, double width);

/// Words broken into at most `most` lines; what does not fit ends in "…".
std::string break_words(const std::string& text, const TextStyle& style, double width, int most);

/// Lines below each other, in the middle of a row.
void write_lines(Canvas& canvas, const std::string& text, const glm::dvec2& at, Anchor anchor,
                 const TextStyle& style);

} // namespace duskcast
