#include "duskcast/draw/jpeg.hpp"

#include <algorithm>
#include <cmath>
#include <stb_image_write.h>
#include <stdexcept>
#include <vector>

namespace duskcast {

std::string print_jpeg(const Raster& raster, int quality) {
    std::vector<unsigned char> pixels;
    pixels.reserve(3 * raster.colour.size());
    for (const Colour& colour : raster.colour)
        for (const double channel : colour)
            pixels.push_back(static_cast<unsigned char>(std::lround(255 * std::clamp(channel, 0.0, 1.0))));
    std::string bytes;
    const auto add = [](void* whole, void* part, int size) {
        static_cast<std::string*>(whole)->append(static_cast<const char*>(part),
                                                 static_cast<std::size_t>(size));
    };
    if (pixels.empty() ||
        stbi_write_jpg_to_func(add, &bytes, raster.width, raster.height, 3, pixels.data(), quality) == 0)
        throw std::runtime_error("a picture without pixels cannot be written");
    return bytes;
}

} // namespace duskcast
