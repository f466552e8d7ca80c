// Sorting by places, beside the C++ library's own stable sort.

#include <algorithm>
#include <cstdint>
#include <doctest/doctest.h>
#include <memory>
#include <vector>

#include "duskcast/base/sort_stably.hpp"

using namespace duskcast;

TEST_CASE("sort_stably orders as std::stable_sort does, with equals as they were") {
    struct Card {
        int value, number;
        bool operator==(const Card&) const = default;
    };
    const auto is_before = [](const Card& a, const Card& b) { return a.value < b.value; };
    std::uint64_t state = 7;
    for (const int count : {0, 1, 2, 3, 50, 1000}) {
        std::vector<Card> cards;
        for (int i = 0; i < count; ++i) {
            state = state * 6364136223846793005u + 1442695040888963407u; // Knuth's MMIX
            cards.push_back({static_cast<int>(state >> 59), i});
        }
        std::vector<Card> expected = cards;
        std::stable_sort(expected.begin(), expected.end(), is_before);
        sort_stably(cards, is_before);
        CHECK(cards == expected);
    }
}

TEST_CASE("sort_stably moves what cannot be copied") {
    std::vector<std::unique_ptr<int>> values;
    for (const int value : {3, 1, 2})
        values.push_back(std::make_unique<int>(value));
    sort_stably(values, [](const auto& a, const auto& b) { return *a < *b; });
    REQUIRE(values.size() == 3);
    CHECK(*values[0] == 1);
    CHECK(*values[1] == 2);
    CHECK(*values[2] == 3);
}
