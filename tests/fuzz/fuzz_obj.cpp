// Any bytes as an OBJ file: read, or refused with InputError. The corpus holds an MTL to refer to.
#include "duskcast/stage/obj.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    fuzz::read_or_refuse(
        [&] { return read_obj(std::string(fuzz::text_of(data, size)), "fuzz.obj", DUSKCAST_CORPUS); });
    return 0;
}
