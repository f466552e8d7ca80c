// Any bytes as the picture that a business file names.
#include "duskcast/site/business_file.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string type = duskcast::find_picture_type(duskcast::fuzz::text_of(data, size));
    duskcast::fuzz::require(type.empty() || type.starts_with("image/"));
    return 0;
}
