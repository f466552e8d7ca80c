#pragma once
// Sorting what is few: one sort of places for all kinds of things, which keeps the page's module small.

#include <cstddef>
#include <memory>
#include <utility>
#include <vector>

namespace duskcast {

/// The numbers 0 to count - 1 sorted; those of which neither comes before the other stay as they are.
std::vector<std::size_t> sort_places(std::size_t count,
                                     bool (*is_before)(const void* of, std::size_t a, std::size_t b),
                                     const void* of);

/// As std::stable_sort does.
template <class Value, class IsBefore>
void sort_stably(std::vector<Value>& values, const IsBefore& is_before) {
    const std::pair<const std::vector<Value>*, const IsBefore*> known(&values, std::addressof(is_before));
    const std::vector<std::size_t> places = sort_places(
        values.size(),
        [](const void* of, std::size_t a, std::size_t b) {
            const auto& [list, comes_before] = *static_cast<const decltype(known)*>(of);
            return static_cast<bool>((*comes_before)((*list)[a], (*list)[b]));
        },
        &known);
    std::vector<Value> sorted;
    sorted.reserve(values.size());
    for (const std::size_t place : places)
        sorted.push_back(std::move(values[place]));
    values = std::move(sorted);
}

} // namespace duskcast
