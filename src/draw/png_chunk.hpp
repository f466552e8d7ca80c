#pragma once
// The parts that a PNG is made of (PNG, ISO/IEC 15948, 5.3).

#include <cstdint>
#include <string>
#include <string_view>

namespace duskcast {

/// Four bytes, the highest first.
std::string print_big_endian(std::uint32_t number);

/// A chunk: its length, its name of four letters, what is in it, and their check sum.
std::string print_png_chunk(std::string_view name, std::string_view inside);

} // namespace duskcast
