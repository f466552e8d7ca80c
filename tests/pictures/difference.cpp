#include "difference.hpp"

#include <algorithm>
#include <cstdlib>
#include <stdexcept>

#include <stb_image.h>

namespace duskcast::test {

Pixels decode_png(const std::string& bytes) {
    Pixels pixels;
    int channels = 0;
    stbi_uc* read =
        stbi_load_from_memory(reinterpret_cast<const stbi_uc*>(bytes.data()), static_cast<int>(bytes.size()),
                              &pixels.width, &pixels.height, &channels, 3);
    if (!read)
        throw std::runtime_error("this is no PNG");
    pixels.rgb.assign(read, read + 3 * static_cast<std::size_t>(pixels.width) * pixels.height);
    stbi_image_free(read);
    return pixels;
}

Pixels halve(const Pixels& pixels) {
    Pixels half{pixels.width / 2, pixels.height / 2, {}};
    const std::size_t row = 3 * static_cast<std::size_t>(pixels.width);
    for (int y = 0; y < half.height; ++y)
        for (int x = 0; x < half.width; ++x)
            for (std::size_t channel = 0; channel < 3; ++channel) {
                const std::uint8_t* corner =
                    &pixels.rgb[2 * (row * static_cast<std::size_t>(y) + 3 * static_cast<std::size_t>(x))];
                const int sum =
                    corner[channel] + corner[3 + channel] + corner[row + channel] + corner[row + 3 + channel];
                half.rgb.push_back(static_cast<std::uint8_t>((sum + 2) / 4));
            }
    return half;
}

Difference find_difference(const Pixels& one, const Pixels& other) {
    Difference difference;
    difference.is_same_size = one.width == other.width && one.height == other.height;
    if (!difference.is_same_size)
        return difference;
    const std::size_t count = one.rgb.size() / 3;
    double sum = 0;
    std::size_t changed = 0;
    for (std::size_t pixel = 0; pixel < count; ++pixel) {
        int most = 0;
        for (std::size_t i = 3 * pixel; i < 3 * pixel + 3; ++i) {
            const int away = std::abs(static_cast<int>(one.rgb[i]) - static_cast<int>(other.rgb[i]));
            sum += away;
            most = std::max(most, away);
        }
        difference.greatest = std::max(difference.greatest, most);
        changed += most > changed_level ? 1 : 0;
    }
    difference.mean = sum / static_cast<double>(one.rgb.size());
    difference.changed_share = static_cast<double>(changed) / static_cast<double>(count);
    return difference;
}

} // namespace duskcast::test
