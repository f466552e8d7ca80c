#include "png_chunk.hpp"

#include <array>

namespace duskcast {

namespace {

/// What eight zero bits make of each byte in CRC-32.
std::array<std::uint32_t, 256> make_check_sums() {
    std::array<std::uint32_t, 256> sums{};
    for (std::uint32_t byte = 0; byte < 256; ++byte) {
        std::uint32_t sum = byte;
        for (int bit = 0; bit < 8; ++bit)
            sum = sum & 1 ? 0xedb88320 ^ (sum >> 1) : sum >> 1;
        sums[byte] = sum;
    }
    return sums;
}

/// The check sum of PNG's annex D, CRC-32 of ISO 3309, as far as it has come: `sum` is 0xffffffff at first,
/// and all bits of what is left at the end are turned over.
std::uint32_t check_on(std::uint32_t sum, std::string_view bytes) {
    static const std::array<std::uint32_t, 256> sums = make_check_sums();
    for (const char byte : bytes)
        sum = sums[(sum ^ static_cast<unsigned char>(byte)) & 0xff] ^ (sum >> 8);
    return sum;
}

} // namespace

std::string print_big_endian(std::uint32_t number) {
    std::string bytes;
    for (int shift = 24; shift >= 0; shift -= 8)
        bytes += static_cast<char>(number >> shift & 0xff);
    return bytes;
}

std::string print_png_chunk(std::string_view name, std::string_view inside) {
    std::string chunk = print_big_endian(static_cast<std::uint32_t>(inside.size()));
    chunk.reserve(inside.size() + 12);
    chunk += name;
    chunk += inside;
    return chunk += print_big_endian(~check_on(check_on(0xffffffff, name), inside));
}

} // namespace duskcast
