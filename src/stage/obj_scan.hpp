#pragma once
// A first look at an OBJ's lines, so that faults are named with their line before anything is built.

#include <string>
#include <string_view>

namespace duskcast {

/// Throws InputError at the first line with a number that is missing or not finite, an index that
/// points nowhere, or a face that cannot be one, and where there are more triangles than are allowed.
void scan_obj(std::string_view text, const std::string& name, std::size_t most_triangles);

/// The next word of a line, which is taken from `rest`; empty: there is none.
std::string_view take_word(std::string_view& rest);

} // namespace duskcast
