#include <cstring>
#include <fmt/format.h>

#include "duskcast/view/tone.hpp"

namespace duskcast {

std::string print_pfm_head(int width, int height) {
    return fmt::format("PF\n{} {}\n-1.0\n", width, height);
}

std::string print_pfm_rows(int width, const std::vector<glm::vec3>& pixels) {
    std::string bytes(12 * pixels.size(), '\0');
    char* to = bytes.data();
    const auto across = static_cast<std::size_t>(width);
    for (std::size_t row = pixels.size() / across; row-- > 0;)
        for (std::size_t x = 0; x < across; ++x)
            for (int channel = 0; channel < 3; ++channel) {
                const float value = pixels[row * across + x][channel];
                std::uint32_t bits = 0;
                std::memcpy(&bits, &value, sizeof bits);
                for (int byte = 0; byte < 4; ++byte)
                    *to++ = static_cast<char>(bits >> 8 * byte & 0xff);
            }
    return bytes;
}

std::string print_pfm(int width, int height, const std::vector<glm::vec3>& pixels) {
    return print_pfm_head(width, height) + print_pfm_rows(width, pixels);
}

} // namespace duskcast
