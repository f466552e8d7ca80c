#pragma once
// What a PNG says of its own length.

#include <string_view>

namespace duskcast {

/// Whether a PNG, as far as it can be followed, holds all that its chunks say they hold (PNG specification,
/// third edition, 5.3). True of other formats. A decoder may ask for as much memory as a chunk promises, up
/// to 2 GB, before it finds that the file has less.
bool has_whole_chunks(std::string_view bytes);

} // namespace duskcast
