// Any bytes as a site file: refused with InputError, or read; what was read is printed and read again
// as the same site.
#include "duskcast/site/site_file.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    const std::filesystem::path file = DUSKCAST_CORPUS "/fuzz.site.json";
    const auto read = fuzz::read_or_refuse([&] { return read_site(fuzz::text_of(data, size), file); });
    if (read)
        fuzz::require(read_site(print_site(read->site), file).site == read->site);
    return 0;
}
