// Any bytes as the value of each option that is read by us: refused with InputError, or read as figures that
// can be used.
#include <algorithm>
#include <cmath>

#include "duskcast/photo/measure_photo.hpp"
#include "duskcast/site/season.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/study/design_search.hpp"
#include "duskcast/study/sweep.hpp"
#include "fuzz.hpp"

namespace {

using namespace duskcast;

const Site& small_site() {
    static const Site site = read_site_file(DUSKCAST_CORPUS "/small.site.json").site;
    return site;
}

void read_lengths(const std::string& text) {
    for (const std::optional<LengthUnit> bare : {std::optional<LengthUnit>(), {LengthUnit::foot}})
        if (const auto length = fuzz::read_or_refuse([&] { return read_length(text, bare); }))
            fuzz::require(std::isfinite(*length));
    if (const auto level = fuzz::read_or_refuse([&] { return read_illuminance(text, LightUnit::lux); }))
        fuzz::require(std::isfinite(*level) && *level >= 0);
}

void read_ranges(const std::string& text) {
    if (const auto range = fuzz::read_or_refuse([&] { return read_range(text, small_site()); })) {
        fuzz::require(!range->values.empty());
        for (const Setting& setting : range->values) {
            fuzz::require(setting.knob == range->knob && std::isfinite(setting.value));
            print_value(small_site(), setting);
        }
    }
    if (const auto free = fuzz::read_or_refuse([&] { return read_free_knob(text, small_site()); }))
        fuzz::require(std::isfinite(free->low) && std::isfinite(free->high) && free->low < free->high);
}

void read_variants(const std::string& text) {
    const auto variant = fuzz::read_or_refuse([&] { return read_variant(text, small_site()); });
    if (!variant)
        return;
    const auto made =
        fuzz::read_or_refuse([&] { return make_variant(small_site(), *variant, DUSKCAST_CORPUS); });
    if (made)
        check_site(*made, DUSKCAST_CORPUS);
}

void read_counts(const std::string& text) {
    if (const auto part = fuzz::read_or_refuse([&] { return read_part(text); })) {
        fuzz::require(part->number >= 1 && part->number <= part->of);
        const std::size_t first = part->first(most_variants), last = part->last(most_variants);
        fuzz::require(first <= last && last <= most_variants);
    }
    const auto freedom = fuzz::read_or_refuse([&] {
        Freedom read;
        read_count(text, read);
        return read;
    });
    fuzz::require(!freedom || (freedom->least >= 1 && freedom->most <= 60));
}

void read_places(const std::string& text) {
    for (const std::size_t count : {2u, 4u})
        if (const auto pixels = fuzz::read_or_refuse([&] { return read_pixels(text, count); }))
            fuzz::require(pixels->size() == count &&
                          std::all_of(pixels->begin(), pixels->end(),
                                      [](double value) { return std::isfinite(value); }));
}

void read_names(const std::string& text) {
    fuzz::read_or_refuse([&] { return read_season(text); });
    fuzz::read_or_refuse([&] { return read_quantity(text); });
    fuzz::read_or_refuse([&] { return find_fixtures(small_site(), read_ids(text)); });
    fuzz::read_or_refuse([&] {
        check_rules(read_ids(text));
        return true;
    });
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(fuzz::text_of(data, size));
    read_lengths(text);
    read_ranges(text);
    read_variants(text);
    read_counts(text);
    read_places(text);
    read_names(text);
    return 0;
}
