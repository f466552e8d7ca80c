#include "duskcast/base/sort_stably.hpp"

#include <algorithm>
#include <numeric>

namespace duskcast {

std::vector<std::size_t> sort_places(std::size_t count,
                                     bool (*is_before)(const void* of, std::size_t a, std::size_t b),
                                     const void* of) {
    std::vector<std::size_t> places(count);
    std::iota(places.begin(), places.end(), std::size_t{0});
    std::stable_sort(places.begin(), places.end(),
                     [&](std::size_t a, std::size_t b) { return is_before(of, a, b); });
    return places;
}

} // namespace duskcast
