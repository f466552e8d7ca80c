#pragma once
// A look at the pixels of a PNG.

#include <cmath>
#include <cstdint>
#include <cstring>
#include <doctest/doctest.h>
#include <string>
#include <vector>

#include <stb_image.h>

#include "duskcast/base/colour.hpp"
#include "duskcast/draw/canvas.hpp"

/// A case that looks at pixels, in builds that draw any.
#ifdef DUSKCAST_CAIRO
#define PIXEL_TEST_CASE(name) TEST_CASE(name)
#else
#define PIXEL_TEST_CASE(name) [[maybe_unused]] static void DOCTEST_ANONYMOUS(case_without_pixels_)()
#endif

namespace duskcast::test {

/// Row 0 is the lowest.
struct Pixels {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> rgba;
};

inline Pixels read_pixels(const std::string& png) {
    Pixels page;
    int channels = 0;
    stbi_uc* read =
        stbi_load_from_memory(reinterpret_cast<const stbi_uc*>(png.data()), static_cast<int>(png.size()),
                              &page.width, &page.height, &channels, 4);
    REQUIRE(read != nullptr);
    const std::size_t row = 4 * static_cast<std::size_t>(page.width);
    page.rgba.resize(row * static_cast<std::size_t>(page.height));
    for (int y = 0; y < page.height; ++y)
        std::memcpy(&page.rgba[row * static_cast<std::size_t>(y)],
                    read + row * static_cast<std::size_t>(page.height - 1 - y), row);
    stbi_image_free(read);
    return page;
}

/// Mean place and number of the pixels near a colour; y upwards, as textures count.
struct Patch {
    double x = 0, y = 0;
    std::size_t count = 0;
};

inline Patch find_colour(const Pixels& page, const Colour& colour, int tolerance = 2) {
    Patch patch;
    for (int y = 0; y < page.height; ++y)
        for (int x = 0; x < page.width; ++x) {
            const std::uint8_t* pixel = &page.rgba[4 * (static_cast<std::size_t>(y) * page.width + x)];
            bool is_near = true;
            for (std::size_t i = 0; i < 3; ++i)
                is_near = is_near && std::abs(pixel[i] - 255 * colour[i]) <= tolerance;
            if (is_near) {
                patch.x += x;
                patch.y += y;
                ++patch.count;
            }
        }
    if (patch.count > 0) {
        patch.x /= static_cast<double>(patch.count);
        patch.y /= static_cast<double>(patch.count);
    }
    return patch;
}

/// A whole file, 1600 pixels wide.
inline void check_whole_picture(const std::string& bytes, PictureFormat format) {
    if (format == PictureFormat::png) {
        // ISO/IEC 15948 (PNG): signature, then IHDR with the width as a big-endian number; IEND last.
        REQUIRE(bytes.size() > 5000);
        CHECK(bytes.substr(0, 8) == "\x89PNG\r\n\x1a\n");
        CHECK(bytes.substr(12, 8) == std::string("IHDR\0\0\x06\x40", 8));
        CHECK(bytes.substr(bytes.size() - 8, 4) == "IEND");
    } else {
        CHECK(bytes.starts_with("<?xml"));
        CHECK(bytes.find("width=\"1600px") != std::string::npos);
        CHECK(bytes.ends_with("</svg>\n"));
    }
}

} // namespace duskcast::test
