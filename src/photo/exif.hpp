#pragma once
// What a JPEG's Exif says of the camera, where the build has no libexif, as in browsers.

#include <optional>
#include <string_view>

namespace duskcast {

struct ExifFigures {
    std::optional<int> turn;       ///< Orientation, tag 0x0112
    std::optional<int> focal_35mm; ///< FocalLengthIn35mmFilm, tag 0xA405
};

/// Of the first Exif segment (CIPA DC-008 4.5; TIFF 6.0 section 2). Empty where there is none or it is
/// broken.
ExifFigures read_exif_figures(std::string_view jpeg);

} // namespace duskcast
