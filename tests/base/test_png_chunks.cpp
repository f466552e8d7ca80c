// Chunks as the PNG specification, third edition, lays them out.

#include <doctest/doctest.h>

#include <string>

#include "duskcast/base/png_chunks.hpp"

using namespace duskcast;

namespace {

std::string make_chunk(const std::string& type, const std::string& data, std::uint32_t promised) {
    std::string chunk;
    for (int shift = 24; shift >= 0; shift -= 8)
        chunk += static_cast<char>(promised >> shift & 0xff);
    return chunk + type + data + "sums";
}

} // namespace

TEST_CASE("a PNG whose chunk promises more than the file has is not whole") {
    const std::string signature = "\x89PNG\r\n\x1a\n", end = make_chunk("IEND", "", 0);
    const std::string header = make_chunk("IHDR", std::string(13, '\1'), 13);
    CHECK(has_whole_chunks(signature + header + make_chunk("IDAT", "abc", 3) + end));
    CHECK_FALSE(has_whole_chunks(signature + header + make_chunk("IDAT", "abc", 0x60000028) + end));
    CHECK_FALSE(has_whole_chunks(signature + header + make_chunk("IDAT", "abc", 0xffffffff) + end));
    CHECK_FALSE(has_whole_chunks(signature + make_chunk("IHDR", "", 1)));
    // What comes after the end is nobody's.
    CHECK(has_whole_chunks(signature + header + end + make_chunk("IDAT", "", 1000)));
    CHECK(has_whole_chunks(signature));
    CHECK(has_whole_chunks("GIF89a, which has no chunks of this kind"));
}
