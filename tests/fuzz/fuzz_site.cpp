// Any bytes as a site file: refused with InputError, or read; what was read is printed and read again
// as the same site.
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "duskcast/site/site_file.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::filesystem::path file = DUSKCAST_CORPUS "/fuzz.site.json";
    duskcast::Site site;
    try {
        site = duskcast::read_site({reinterpret_cast<const char*>(data), size}, file).site;
    } catch (const duskcast::InputError&) {
        return 0;
    }
    if (duskcast::read_site(duskcast::print_site(site), file).site != site)
        std::abort();
    return 0;
}
