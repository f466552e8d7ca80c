// Any bytes as an LM-63 file: refused with InputError, or read; what was read is printed, and that is read
// again without a warning and printed the same.
#include <cmath>

#include "duskcast/photometry/lm63.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    auto file = fuzz::read_or_refuse([&] { return read_lm63(fuzz::text_of(data, size), "fuzz.ies"); });
    if (!file)
        return 0;
    const double lumens = measure_lumens(file->distribution);
    fuzz::require(std::isfinite(lumens) && lumens >= 0);
    if (file->distribution.is_tilted()) // 100,000 directions to print: too slow here
        return 0;
    // An error in what is printed is caught nowhere and ends the run.
    Lm63 back = read_lm63(print_lm63(*file), "printed.ies");
    fuzz::require(back.warnings.empty());
    // Long texts may be cut at other blanks the next time; the figures must come out the same.
    file->keywords.clear();
    file->labels.clear();
    back.keywords.clear();
    fuzz::require(print_lm63(back) == print_lm63(*file));
    return 0;
}
