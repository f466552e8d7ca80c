// Any bytes as the sweep.json of a part: refused with InputError, or read as what is written again and
// joined.
#include "duskcast/sheets/sweep_file.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    const std::string text(fuzz::text_of(data, size));
    const auto part = fuzz::read_or_refuse([&] { return read_sweep_part("fuzz.json", text); });
    if (!part)
        return 0;
    const std::string written = print_sweep_json(*part);
    if (part->part.of > 1) // one part alone is a whole sweep, which is written without its number
        fuzz::require(print_sweep_json(read_sweep_part("fuzz.json", written)) == written);
    const auto whole = fuzz::read_or_refuse([&] { return merge_sweeps({{"fuzz.json", *part}}); });
    fuzz::require(whole.has_value() == (part->part.of == 1));
    if (whole)
        print_sweep_csv(*whole);
    return 0;
}
