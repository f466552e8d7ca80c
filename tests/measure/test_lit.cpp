// When something reads as lit: bands worked by hand.

#include <doctest/doctest.h>

#include "duskcast/measure/lit.hpp"

using namespace duskcast;

namespace {

/// Bands one metre high, of one area; the share that is lit and the samples of each, from below.
std::vector<LitBand> make_bands(const std::vector<std::pair<double, std::size_t>>& lit_and_samples) {
    std::vector<LitBand> bands;
    for (const auto& [lit, samples] : lit_and_samples) {
        const double from = static_cast<double>(bands.size());
        const auto area = static_cast<double>(samples);
        bands.push_back({from, from + 1, area, lit * area, samples});
    }
    return bands;
}

} // namespace

TEST_CASE("a height reads as lit where a third of it does") {
    CHECK(!find_lit_stretches({}).is_any());
    CHECK(!find_lit_stretches(make_bands({{0.33, 100}})).is_any());
    CHECK(find_lit_stretches(make_bands({{0.34, 100}})).is_to_top);
    const LitStretches two = find_lit_stretches(make_bands({{0, 90}, {1, 50}, {0, 90}, {1, 60}, {0, 90}}));
    CHECK(two.all == std::vector<Stretch>{{1, 2}, {3, 4}});
    CHECK(two.main == Stretch{3, 4}); // the larger
    CHECK(!two.is_to_top);
    CHECK(find_lit_stretches(make_bands({{1, 70}, {1, 50}, {0, 90}, {1, 100}})).main == Stretch{0, 2});
}

TEST_CASE("few samples are judged together with what is below them") {
    // Two lit leaves over a dark crown: 2 of 102 are lit.
    CHECK(!find_lit_stretches(make_bands({{0, 100}, {1, 2}})).is_any());
    // Two dark ones over a lit crown do not cut its top off; at the foot they join what is above.
    CHECK(find_lit_stretches(make_bands({{1, 100}, {0, 2}})).all == std::vector<Stretch>{{0, 2}});
    CHECK(find_lit_stretches(make_bands({{0, 2}, {1, 100}})).all == std::vector<Stretch>{{0, 2}});
    // Enough of them make a band.
    CHECK(find_lit_stretches(make_bands({{0, 100}, {1, least_samples}})).main == Stretch{1, 2});
}
