#include "exif.hpp"

#include <algorithm>
#include <cstdint>

namespace duskcast {
namespace {

constexpr std::size_t short_type = 3, long_type = 4; ///< of an entry: 2 and 4 bytes

/// The TIFF file within an Exif segment. What lies past its end reads as 0.
class TiffView {
public:
    explicit TiffView(std::string_view bytes)
        : bytes_(bytes), is_little_(bytes.starts_with(std::string_view("II\x2a\0", 4))),
          is_tiff_(is_little_ || bytes.starts_with(std::string_view("MM\0\x2a", 4))) {}

    std::size_t first_directory() const { return is_tiff_ ? number(4, 4) : 0; }

    /// The whole number of a tag in the directory at `at`; none where it has none of that type.
    std::optional<std::size_t> find(std::size_t at, std::size_t tag, std::size_t type) const {
        if (at == 0)
            return std::nullopt;
        const std::size_t count = number(at, 2);
        for (std::size_t i = 0; i < count; ++i) {
            const std::size_t entry = at + 2 + 12 * i;
            if (entry + 12 > bytes_.size())
                break;
            if (number(entry, 2) == tag && number(entry + 2, 2) == type)
                return number(entry + 8, type == short_type ? 2 : 4);
        }
        return std::nullopt;
    }

private:
    std::size_t number(std::size_t at, std::size_t width) const {
        std::size_t value = 0;
        for (std::size_t i = 0; i < width; ++i) {
            const std::size_t place = at + (is_little_ ? width - 1 - i : i);
            value = value << 8 | (place < bytes_.size() ? static_cast<std::uint8_t>(bytes_[place]) : 0u);
        }
        return value;
    }

    std::string_view bytes_;
    bool is_little_, is_tiff_;
};

std::string_view find_tiff(std::string_view jpeg) {
    constexpr std::string_view head("Exif\0\0", 6);
    const auto byte_at = [&](std::size_t i) {
        return i < jpeg.size() ? static_cast<std::uint8_t>(jpeg[i]) : 0u;
    };
    // Segments from the start of the picture (0xffd8) to its first scan (0xffda): ITU-T T.81, annex B.
    for (std::size_t at = 2; byte_at(at) == 0xff && byte_at(at + 1) != 0xda;) {
        const std::size_t length = byte_at(at + 2) << 8 | byte_at(at + 3);
        if (length < 2)
            break;
        const std::string_view body = jpeg.substr(std::min(jpeg.size(), at + 4), length - 2);
        if (byte_at(at + 1) == 0xe1 && body.starts_with(head))
            return body.substr(head.size());
        at += 2 + length;
    }
    return {};
}

} // namespace

ExifFigures read_exif_figures(std::string_view jpeg) {
    const TiffView tiff(find_tiff(jpeg));
    const std::size_t first = tiff.first_directory();
    ExifFigures figures;
    if (const auto turn = tiff.find(first, 0x0112, short_type); turn && *turn >= 1 && *turn <= 8)
        figures.turn = static_cast<int>(*turn);
    const auto own = tiff.find(first, 0x8769, long_type); // where the camera's own directory lies
    if (const auto focal = own ? tiff.find(*own, 0xa405, short_type) : std::nullopt; focal && *focal > 0)
        figures.focal_35mm = static_cast<int>(*focal);
    return figures;
}

} // namespace duskcast
