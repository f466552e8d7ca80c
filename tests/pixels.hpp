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

} // namespace duskcast::test
