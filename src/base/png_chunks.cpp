#include "duskcast/base/png_chunks.hpp"

#include <cstdint>

namespace duskcast {

bool has_whole_chunks(std::string_view bytes) {
    constexpr std::string_view signature = "\x89PNG\r\n\x1a\n";
    constexpr std::size_t around = 12; // a chunk's length, type and check sum
    if (!bytes.starts_with(signature))
        return true;
    bytes.remove_prefix(signature.size());
    while (bytes.size() >= around) {
        std::uint32_t length = 0;
        for (const char byte : bytes.substr(0, 4))
            length = length << 8 | static_cast<std::uint8_t>(byte);
        if (length > bytes.size() - around)
            return false;
        if (bytes.substr(4, 4) == "IEND")
            break;
        bytes.remove_prefix(around + length);
    }
    return true;
}

} // namespace duskcast
