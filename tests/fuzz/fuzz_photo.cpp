// Any bytes as a photo: refused with InputError, or read, with pixels where it is small.
#include "../../src/photo/exif.hpp"
#include "duskcast/photo/photo_file.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    constexpr int most_pixels = 1'000'000; // more take too long here
    const std::string_view bytes = fuzz::text_of(data, size);
    // The reader of builds without libexif.
    const ExifFigures figures = read_exif_figures(bytes);
    fuzz::require(figures.turn.value_or(1) >= 1 && figures.turn.value_or(1) <= 8);
    fuzz::require(figures.focal_35mm.value_or(1) > 0);
    const auto info = fuzz::read_or_refuse([&] { return read_photo_info(bytes, "fuzz.jpg"); });
    if (!info)
        return 0;
    fuzz::require(info->size.x > 0 && info->size.y > 0 && info->turn >= 1 && info->turn <= 8);
    fuzz::require(info->focal_35mm.value_or(1) > 0);
    if (info->size.x > most_pixels / info->size.y)
        return 0;
    const auto pixels = fuzz::read_or_refuse([&] { return read_photo(bytes, "fuzz.jpg"); });
    if (pixels)
        fuzz::require(pixels->size == info->size &&
                      pixels->rgb.size() == 3 * static_cast<std::size_t>(info->size.x) *
                                                static_cast<std::size_t>(info->size.y));
    return 0;
}
