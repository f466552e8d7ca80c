#include "duskcast/draw/png_text.hpp"

#include <stdexcept>

#include "png_chunk.hpp"

namespace duskcast {

std::string add_png_text(std::string_view png,
                         const std::vector<std::pair<std::string, std::string>>& texts) {
    constexpr std::size_t header_end = 8 + 8 + 13 + 4; // signature, then the chunk IHDR
    if (png.size() < header_end || png.substr(1, 3) != "PNG" || png.substr(12, 4) != "IHDR")
        throw std::invalid_argument("not a PNG");
    std::string bytes(png.substr(0, header_end));
    for (const auto& [key, text] : texts) {
        // Not compressed; neither language nor the key in it.
        bytes += print_png_chunk("iTXt", key + std::string(5, '\0') + text);
    }
    return bytes += png.substr(header_end);
}

} // namespace duskcast
