#include "duskcast/photo/photo_file.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <fmt/format.h>
#include <memory>
#include <stb_image.h>

#include "duskcast/base/colour.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/png_chunks.hpp"
#include "duskcast/base/problem.hpp"

#ifdef DUSKCAST_EXIF
#include <libexif/exif-data.h>
#else
#include "exif.hpp"
#endif

namespace duskcast {
namespace {

constexpr std::uintmax_t most_bytes = 250'000'000;
constexpr double most_pixels = 100e6;

[[noreturn]] void fail(const std::filesystem::path& file, std::string_view what, std::string_view remedy) {
    throw InputError(
        Problem{.place = {.file = text_of(file)}, .what = std::string(what), .remedy = std::string(remedy)});
}

#ifdef DUSKCAST_EXIF
/// A whole number that the file tells; none where it does not.
std::optional<int> exif_number(ExifData& data, ExifIfd part, ExifTag tag) {
    const ExifEntry* entry = exif_content_get_entry(data.ifd[part], tag);
    if (entry == nullptr || entry->format != EXIF_FORMAT_SHORT || entry->size < 2)
        return std::nullopt;
    return exif_get_short(entry->data, exif_data_get_byte_order(&data));
}

void read_exif(std::string_view bytes, PhotoInfo& info) {
    const std::unique_ptr<ExifData, decltype(&exif_data_unref)> data(
        exif_data_new_from_data(reinterpret_cast<const unsigned char*>(bytes.data()),
                                static_cast<unsigned>(bytes.size())),
        &exif_data_unref);
    if (!data)
        return;
    if (const auto turn = exif_number(*data, EXIF_IFD_0, EXIF_TAG_ORIENTATION);
        turn && *turn >= 1 && *turn <= 8)
        info.turn = *turn;
    if (const auto focal = exif_number(*data, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM);
        focal && *focal > 0)
        info.focal_35mm = *focal;
}
#else
void read_exif(std::string_view bytes, PhotoInfo& info) {
    const ExifFigures figures = read_exif_figures(bytes);
    info.turn = figures.turn.value_or(info.turn);
    if (figures.focal_35mm)
        info.focal_35mm = *figures.focal_35mm;
}
#endif

std::string read_bytes(const std::filesystem::path& file) {
    WholeFile whole = read_whole_file(file, most_bytes);
    if (whole.fault == FileFault::unreadable)
        fail(file, fmt::format("the photo cannot be read ({})", whole.reason),
             "check its name and that it may be read");
    if (whole.fault == FileFault::too_large)
        fail(file, "the photo is larger than 250 MB", "save it smaller, as JPEG");
    return std::move(whole.bytes);
}

/// What the markers of a JPEG say (ITU-T T.81, annex B).
struct JpegFrame {
    int bits = 8, channels = 0; ///< of its frame; 0: none was found
    bool is_whole = false;      ///< its end mark was found
};

JpegFrame scan_jpeg(std::string_view bytes) {
    JpegFrame frame;
    const auto byte_at = [&](std::size_t i) {
        return i < bytes.size() ? static_cast<unsigned char>(bytes[i]) : 0u;
    };
    std::size_t at = 2;
    while (at + 1 < bytes.size()) {
        const unsigned mark = byte_at(at + 1);
        // Within a scan anything may stand; only a mark that no scan holds ends it.
        if (byte_at(at) != 0xff || mark == 0 || mark == 0xff || (mark >= 0xd0 && mark <= 0xd7)) {
            ++at;
            continue;
        }
        if (mark == 0xd9) {
            frame.is_whole = true;
            break;
        }
        if (mark >= 0xc0 && mark <= 0xcf && mark != 0xc4 && mark != 0xc8 && mark != 0xcc) {
            frame.bits = static_cast<int>(byte_at(at + 4));
            frame.channels = static_cast<int>(byte_at(at + 9));
        }
        at += 2 + (byte_at(at + 2) << 8 | byte_at(at + 3));
    }
    return frame;
}

/// Where the pixel of the picture held upright lies in a file of that size: Exif's Orientation (CIPA DC-008),
/// of which 2, 4, 5 and 7 are mirrored, 3 stands on its head, 6 and 8 lie on a side.
glm::ivec2 place_in_file(int turn, glm::ivec2 size, glm::ivec2 upright) {
    const int x = upright.x, y = upright.y, right = size.x - 1, bottom = size.y - 1;
    switch (turn) {
    case 2:
        return {right - x, y};
    case 3:
        return {right - x, bottom - y};
    case 4:
        return {x, bottom - y};
    case 5:
        return {y, x};
    case 6:
        return {y, bottom - x};
    case 7:
        return {right - y, bottom - x};
    case 8:
        return {right - y, x};
    default:
        return {x, y};
    }
}

} // namespace

double focal_in_pixels(glm::ivec2 size, double focal_35mm) {
    return std::max(size.x, size.y) * focal_35mm / 36;
}

PhotoInfo read_photo_info(const std::filesystem::path& file) {
    return read_photo_info(read_bytes(file), file);
}

PhotoInfo read_photo_info(std::string_view bytes, const std::filesystem::path& file) {
    if (bytes.empty())
        fail(file, "the photo is empty: it was perhaps not copied to the end", "copy it again");
    const bool is_jpeg = bytes.starts_with("\xff\xd8"), is_png = bytes.starts_with("\x89PNG");
    if (!is_jpeg && !is_png)
        fail(file, "this is neither a JPEG nor a PNG picture",
             "save the photo as JPEG; pictures of other kinds, such as HEIC, are not read");
    if (is_jpeg) {
        const JpegFrame frame = scan_jpeg(bytes);
        if (frame.channels == 4)
            fail(file, "the photo is in four inks (CMYK)", "save it as an sRGB JPEG");
        if (frame.bits != 8)
            fail(file, fmt::format("the photo has {} bits a colour", frame.bits),
                 "save it with 8 bits a colour, as sRGB");
        // What follows the end mark are the phone's own additions.
        if (!frame.is_whole)
            fail(file, "the photo is cut off before its end", "copy it again");
    } else if (bytes.find("IEND") == std::string_view::npos || !has_whole_chunks(bytes))
        fail(file, "the photo is cut off before its end", "copy it again");
    const auto* data = reinterpret_cast<const stbi_uc*>(bytes.data());
    const auto count = static_cast<int>(bytes.size());
    PhotoInfo info;
    int channels = 0;
    if (!stbi_info_from_memory(data, count, &info.size.x, &info.size.y, &channels))
        fail(file, fmt::format("the photo is damaged ({})", stbi_failure_reason()), "copy it again");
    if (is_png && stbi_is_16_bit_from_memory(data, count))
        fail(file, "the photo has 16 bits a colour", "save it with 8 bits a colour, as sRGB");
    if (is_png && bytes.substr(0, 4096).find("acTL") != std::string_view::npos)
        fail(file, "the picture moves: it has several frames", "save one of them");
    if (static_cast<double>(info.size.x) * info.size.y > most_pixels)
        fail(file, fmt::format("the photo has {} x {} pixels", info.size.x, info.size.y),
             "scale it down to 100 megapixels at the most; 12 are plenty");
    if (is_jpeg)
        read_exif(bytes, info);
    if (info.turn >= 5)
        std::swap(info.size.x, info.size.y);
    return info;
}

glm::vec3 PhotoPixels::linear_at(std::size_t pixel) const {
    static const std::array<float, 256> linear = [] {
        std::array<float, 256> table;
        for (std::size_t i = 0; i < table.size(); ++i) {
            const double encoded = static_cast<double>(i) / 255;
            table[i] = static_cast<float>(decode_srgb(encoded));
        }
        return table;
    }();
    const std::uint8_t* at = rgb.data() + 3 * pixel;
    return {linear[at[0]], linear[at[1]], linear[at[2]]};
}

bool PhotoPixels::is_blown_out(std::size_t pixel) const {
    const std::uint8_t* at = rgb.data() + 3 * pixel;
    return std::max({at[0], at[1], at[2]}) >= 253;
}

PhotoPixels read_photo(const std::filesystem::path& file) {
    return read_photo(read_bytes(file), file);
}

PhotoPixels read_photo(std::string_view bytes, const std::filesystem::path& file) {
    const PhotoInfo info = read_photo_info(bytes, file);
    const auto* file_data = reinterpret_cast<const stbi_uc*>(bytes.data());
    const auto count = static_cast<int>(bytes.size());
    glm::ivec2 size{0};
    int channels = 0;
    stbi_info_from_memory(file_data, count, &size.x, &size.y, &channels);
    const bool has_alpha = channels == 2 || channels == 4;
    const int bytes_a_pixel = has_alpha ? 4 : 3;
    const std::unique_ptr<stbi_uc, decltype(&stbi_image_free)> data(
        stbi_load_from_memory(file_data, count, &size.x, &size.y, &channels, bytes_a_pixel),
        &stbi_image_free);
    if (!data)
        fail(file, fmt::format("the photo is damaged ({})", stbi_failure_reason()), "copy it again");
    PhotoPixels pixels{.size = info.size, .rgb = {}};
    pixels.rgb.resize(3 * static_cast<std::size_t>(info.size.x) * static_cast<std::size_t>(info.size.y));
    std::uint8_t* to = pixels.rgb.data();
    for (int y = 0; y < info.size.y; ++y)
        for (int x = 0; x < info.size.x; ++x, to += 3) {
            const glm::ivec2 place = place_in_file(info.turn, size, {x, y});
            const stbi_uc* from =
                data.get() + static_cast<std::size_t>(bytes_a_pixel) *
                                 (static_cast<std::size_t>(place.y) * static_cast<std::size_t>(size.x) +
                                  static_cast<std::size_t>(place.x));
            std::memcpy(to, from, 3);
            if (has_alpha)
                for (int channel = 0; channel < 3; ++channel)
                    to[channel] = static_cast<std::uint8_t>(to[channel] * from[3] / 255);
        }
    return pixels;
}

} // namespace duskcast
