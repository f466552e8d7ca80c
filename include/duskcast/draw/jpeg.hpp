#pragma once
// Pictures as JPEG: a tenth of the size of a PNG where a picture is full of shades.

#include <string>

#include "duskcast/draw/canvas.hpp"

namespace duskcast {

/// The bytes of a JPEG file (ISO 10918-1) with full colour resolution; opacity is left out. `quality`:
/// 1..100. Throws std::runtime_error for a raster without pixels.
std::string print_jpeg(const Raster& raster, int quality = 92);

} // namespace duskcast
