// Any bytes as an OBJ file: read, or refused with InputError. The corpus holds an MTL to refer to.
#include <cstddef>
#include <cstdint>
#include <string>

#include "duskcast/stage/obj.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        duskcast::read_obj({reinterpret_cast<const char*>(data), size}, "fuzz.obj", DUSKCAST_CORPUS);
    } catch (const duskcast::InputError&) {
    }
    return 0;
}
