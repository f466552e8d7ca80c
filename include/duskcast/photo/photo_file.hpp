#pragma once
// A photo's file: how large the picture is, which way up it is held and what it tells of the lens.

#include <filesystem>
#include <glm/glm.hpp>
#include <optional>
#include <string_view>
#include <vector>

#include "duskcast/site/site.hpp"

namespace duskcast {

struct PhotoInfo {
    glm::ivec2 size{0};               ///< pixels, held upright
    std::optional<double> focal_35mm; ///< as the file tells it
    int turn = 1;                     ///< how the picture lies in the file: 1..8 of Exif's Orientation
};

/// A photo's pixels, held upright: 8-bit sRGB, three bytes each, row 0 at the top.
struct PhotoPixels {
    glm::ivec2 size{0};
    std::vector<std::uint8_t> rgb;

    glm::vec3 linear_at(std::size_t pixel) const; ///< linear sRGB, 0..1 (IEC 61966-2-1)
    bool is_blown_out(std::size_t pixel) const;   ///< a channel is at its end
};

/// Reads a JPEG or a PNG of at most 100 megapixels, with Exif's Orientation and FocalLengthIn35mmFilm (CIPA
/// DC-008). Throws InputError for what is no such picture, is cut off,
/// has four inks, more than 8 bits a colour or several frames.
PhotoInfo read_photo_info(const std::filesystem::path& file);

/// The same from a file's bytes; `file` names it in messages.
PhotoInfo read_photo_info(std::string_view bytes, const std::filesystem::path& file);

/// The same with the pixels; what is see-through is taken as black. Throws also for a picture that is damaged
/// inside.
PhotoPixels read_photo(const std::filesystem::path& file);

/// The same from a file's bytes; `file` names it in messages.
PhotoPixels read_photo(std::string_view bytes, const std::filesystem::path& file);

/// Focal length in pixels of a picture: 35-mm film is 36 mm wide, as is the picture's longer side.
double focal_in_pixels(glm::ivec2 size, double focal_35mm);

} // namespace duskcast
