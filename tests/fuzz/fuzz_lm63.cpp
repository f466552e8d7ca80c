// Any bytes as an LM-63 file: read, or refused with InputError.
#include <cstddef>
#include <cstdint>

#include "duskcast/photometry/lm63.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        duskcast::read_lm63({reinterpret_cast<const char*>(data), size}, "fuzz.ies");
    } catch (const duskcast::InputError&) {
    }
    return 0;
}
