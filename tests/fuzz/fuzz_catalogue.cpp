// Any bytes as a catalogue: refused with InputError, or read with lamps and fixtures that have ids.
#include "duskcast/site/catalogue_file.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    const auto file = fuzz::read_or_refuse(
        [&] { return read_catalogue(fuzz::text_of(data, size), DUSKCAST_CORPUS "/fuzz.catalogue.json"); });
    if (!file)
        return 0;
    for (const Lamp& lamp : file->catalogue.lamps)
        fuzz::require(!lamp.id.empty());
    return 0;
}
