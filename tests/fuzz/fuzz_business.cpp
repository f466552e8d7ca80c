// Any bytes as a business file: refused with InputError, or read with values within their ranges. The corpus
// holds a logo to name.
#include "duskcast/site/business_file.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    const auto file = fuzz::read_or_refuse(
        [&] { return read_business(fuzz::text_of(data, size), DUSKCAST_CORPUS "/fuzz.business.json"); });
    if (!file)
        return 0;
    const Business& business = file->business;
    fuzz::require(business.deposit >= 0 && business.deposit <= 1);
    fuzz::require(business.valid_days >= 1 && business.clean_months >= 1 && business.lamp_life >= 0);
    fuzz::require(!(business.markup && business.margin));
    fuzz::require(business.logo.empty() == file->logo.bytes.empty());
    fuzz::require(find_picture_type(file->logo.bytes) == file->logo.type);
    return 0;
}
