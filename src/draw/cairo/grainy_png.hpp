#pragma once
// Photos and pictures like them as PNG.

#include <cstddef>
#include <cstdint>
#include <string>

namespace duskcast {

/// A PNG of pixels that are grainy, as photos are. Nothing repeats in such pixels but even areas, so that a
/// search for repetitions, as zlib makes it unless told otherwise, would take most of the time and save a few
/// percent. `pixels`: 0x00RRGGBB each, row by row from the top, `stride` of them from one row to the next.
/// Throws std::runtime_error where libpng gives up.
std::string print_grainy_png(int width, int height, const std::uint32_t* pixels, std::size_t stride);

} // namespace duskcast
