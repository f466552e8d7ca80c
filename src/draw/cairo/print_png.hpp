#pragma once
// Pixels as PNG.

#include <cstddef>
#include <cstdint>
#include <string>

namespace duskcast {

/// What is in a picture: in it lies what is worth trying to make its file small.
enum class PngKind {
    /// Even areas, lines and text, which repeat. Differences between pixels would repeat less, and to try
    /// them
    /// for each row, as libpng does unless told otherwise, takes longer than all the rest.
    drawing,
    /// Photos and pictures like them. Nothing repeats in them but even areas; a search for repetitions would
    /// take most of the time and save a few percent.
    grainy
};

/// `pixels`: 0x00RRGGBB each, row by row from the top, `stride` of them from one row to the next. Throws
/// std::runtime_error where libpng gives up.
std::string print_png(int width, int height, const std::uint32_t* pixels, std::size_t stride, PngKind kind);

} // namespace duskcast
