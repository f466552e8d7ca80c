#include "duskcast/draw/png_text.hpp"

#include <array>
#include <cstdint>
#include <stdexcept>

namespace duskcast {

namespace {

/// The check sum of PNG's annex D: CRC-32 of ISO 3309.
std::uint32_t check_sum_of(std::string_view bytes) {
    std::uint32_t sum = 0xffffffff;
    for (const char byte : bytes) {
        sum ^= static_cast<unsigned char>(byte);
        for (int bit = 0; bit < 8; ++bit)
            sum = sum & 1 ? 0xedb88320 ^ (sum >> 1) : sum >> 1;
    }
    return ~sum;
}

std::string print_big_endian(std::uint32_t number) {
    std::string bytes;
    for (int shift = 24; shift >= 0; shift -= 8)
        bytes += static_cast<char>(number >> shift & 0xff);
    return bytes;
}

} // namespace

std::string add_png_text(std::string_view png,
                         const std::vector<std::pair<std::string, std::string>>& texts) {
    constexpr std::size_t header_end = 8 + 8 + 13 + 4; // signature, then the chunk IHDR
    if (png.size() < header_end || png.substr(1, 3) != "PNG" || png.substr(12, 4) != "IHDR")
        throw std::invalid_argument("not a PNG");
    std::string bytes(png.substr(0, header_end));
    for (const auto& [key, text] : texts) {
        // Not compressed; neither language nor the key in it.
        const std::string chunk = "iTXt" + key + std::string(5, '\0') + text;
        bytes += print_big_endian(static_cast<std::uint32_t>(chunk.size() - 4)) + chunk +
                 print_big_endian(check_sum_of(chunk));
    }
    return bytes += png.substr(header_end);
}

} // namespace duskcast
