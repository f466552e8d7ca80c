// Pixels as PNG, read back by stb_image.

#ifdef DUSKCAST_CAIRO

#include <doctest/doctest.h>

#include <random>
#include <vector>

#include "../../src/draw/cairo/print_png.hpp"
#include "../pixels.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

struct GrainyPicture {
    int width = 0, height = 0;
    std::size_t stride = 0;
    std::vector<std::uint32_t> pixels;
};

/// Even areas, slopes and grain side by side; what lies between the rows is never to be seen.
GrainyPicture make_grainy(int width, int height, std::uint32_t seed) {
    GrainyPicture made{width, height, static_cast<std::size_t>(width) + 5, {}};
    std::mt19937 random(seed);
    made.pixels.resize(made.stride * static_cast<std::size_t>(height), 0xdeadbeef);
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            const auto step = static_cast<std::uint32_t>(x + 2 * y);
            const std::uint32_t grain = random() % 3;
            const std::uint32_t value = x < width / 3       ? 0x204060
                                        : x < 2 * width / 3 ? 0x010101 * ((step / 7 + grain) & 0xff)
                                                            : random() & 0xffffff;
            made.pixels[static_cast<std::size_t>(y) * made.stride + static_cast<std::size_t>(x)] =
                0xff000000 | value;
        }
    return made;
}

} // namespace

TEST_CASE("a PNG is read back to the bit, whatever its size and kind") {
    for (const glm::ivec2& size :
         {glm::ivec2(1, 1), glm::ivec2(2, 1), glm::ivec2(1, 9), glm::ivec2(257, 3), glm::ivec2(640, 400)})
        for (const PngKind kind : {PngKind::drawing, PngKind::grainy}) {
            CAPTURE(size.x);
            const GrainyPicture made = make_grainy(size.x, size.y, 7);
            const Pixels read = read_pixels(print_png(size.x, size.y, made.pixels.data(), made.stride, kind));
            REQUIRE(read.width == size.x);
            REQUIRE(read.height == size.y);
            std::size_t wrong = 0;
            for (int y = 0; y < size.y; ++y)
                for (int x = 0; x < size.x; ++x) {
                    const std::uint32_t pixel =
                        made.pixels[static_cast<std::size_t>(y) * made.stride + static_cast<std::size_t>(x)];
                    const std::uint8_t* rgba = &read.rgba[4 * (static_cast<std::size_t>(size.y - 1 - y) *
                                                                   static_cast<std::size_t>(size.x) +
                                                               static_cast<std::size_t>(x))];
                    wrong += rgba[0] != (pixel >> 16 & 0xff) || rgba[1] != (pixel >> 8 & 0xff) ||
                             rgba[2] != (pixel & 0xff) || rgba[3] != 255;
                }
            CHECK(wrong == 0);
        }
}

TEST_CASE("even areas of a grainy PNG cost next to nothing") {
    const std::vector<std::uint32_t> even(400 * 300, 0x336699);
    // 360,000 bytes; a run of 258, deflate's longest, takes two codes of a bit each at least.
    CHECK(print_png(400, 300, even.data(), 400, PngKind::grainy).size() < 360'000 / 258 + 1000);
}

#endif
