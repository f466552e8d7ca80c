// Which rolls to buy, against trying every count.

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <tuple>

#include "duskcast/base/units.hpp"
#include "duskcast/cost/cable_rolls.hpp"

using namespace duskcast;

namespace {

double feet(double count) {
    return count * metres_per_foot;
}

Cents price_of(const std::vector<int>& counts, const std::vector<CableRoll>& rolls) {
    Cents price = 0;
    for (std::size_t i = 0; i < counts.size(); ++i)
        price += counts[i] * rolls[i].price;
    return price;
}

/// Price, minus tenths of a millimetre, rolls.
using Rank = std::tuple<Cents, std::int64_t, int>;

Rank rank_of(const std::vector<int>& counts, const std::vector<CableRoll>& rolls) {
    std::int64_t length = 0;
    int count = 0;
    for (std::size_t i = 0; i < counts.size(); ++i) {
        length += counts[i] * std::llround(rolls[i].length * 1e4);
        count += counts[i];
    }
    return {price_of(counts, rolls), -length, count};
}

/// Tries every combination in which no roll occurs more often than is enough by itself.
Rank find_best_by_trial(double length, const std::vector<CableRoll>& rolls) {
    const std::int64_t wanted = std::llround(length * 1e4);
    std::vector<int> counts(rolls.size(), 0), most(rolls.size());
    for (std::size_t i = 0; i < rolls.size(); ++i)
        most[i] =
            static_cast<int>(std::ceil(static_cast<double>(wanted) / std::round(rolls[i].length * 1e4)));
    Rank best{1'000'000'000, 0, 0};
    for (;;) {
        const Rank rank = rank_of(counts, rolls);
        if (-std::get<1>(rank) >= wanted)
            best = std::min(best, rank);
        std::size_t i = 0;
        while (i < counts.size() && counts[i] == most[i])
            counts[i++] = 0;
        if (i == counts.size())
            return best;
        ++counts[i];
    }
}

} // namespace

TEST_CASE("two hundred feet in front and two to three hundred behind need a 500-ft roll") {
    // Common practice, no source. Invented prices, the larger roll a little cheaper by the foot.
    const std::vector<CableRoll> rolls{{feet(250), 17'000}, {feet(500), 32'500}};
    CHECK(find_cheapest_rolls(feet(200 + 250), rolls) == std::vector<int>{0, 1});
    CHECK(find_cheapest_rolls(feet(200 + 300), rolls) == std::vector<int>{0, 1});
    CHECK(find_cheapest_rolls(feet(250), rolls) == std::vector<int>{1, 0});
    // A tenth more than 500 ft: three quarters of a thousand.
    CHECK(find_cheapest_rolls(feet(550), rolls) == std::vector<int>{1, 1});
}

TEST_CASE("a roll covers its own length and not a millimetre more") {
    const std::vector<CableRoll> rolls{{feet(250), 17'000}, {feet(500), 32'500}};
    CHECK(find_cheapest_rolls(152.4, rolls) ==
          std::vector<int>{0, 1}); // 500 ft in metres, as computed elsewhere
    CHECK(find_cheapest_rolls(0.1 * 3 * 254, rolls) == std::vector<int>{1, 0}); // 76.2 and some 1e-14
    CHECK(find_cheapest_rolls(152.401, rolls) == std::vector<int>{1, 1});
    CHECK(find_cheapest_rolls(76.201, rolls) == std::vector<int>{0, 1});
}

TEST_CASE("the cheapest rolls need not be the fewest or the shortest") {
    // 250 ft on sale: three of them beat 500 + 250.
    CHECK(find_cheapest_rolls(feet(700), {{feet(250), 10'000}, {feet(500), 32'500}}) ==
          std::vector<int>{3, 0});
    // 500 ft cheaper than 250 ft: taken for 100 ft as well.
    CHECK(find_cheapest_rolls(feet(100), {{feet(250), 17'000}, {feet(500), 15'000}}) ==
          std::vector<int>{0, 1});
    // Best by the foot is the 500-ft roll, and yet 2 x 300 ft cover 600 ft for less than 500 + 300 ft.
    CHECK(find_cheapest_rolls(feet(600), {{feet(300), 20'000}, {feet(500), 30'000}}) ==
          std::vector<int>{2, 0});
}

TEST_CASE("among equally cheap rolls the longest and then the fewest") {
    CHECK(find_cheapest_rolls(feet(200), {{feet(250), 100}, {feet(300), 100}}) == std::vector<int>{0, 1});
    CHECK(find_cheapest_rolls(feet(400), {{feet(250), 100}, {feet(500), 200}}) == std::vector<int>{0, 1});
    CHECK(find_cheapest_rolls(feet(400), {{feet(500), 200}, {feet(250), 100}}) == std::vector<int>{1, 0});
}

TEST_CASE("nothing is bought for no length or without rolls") {
    CHECK(find_cheapest_rolls(0, {{feet(250), 100}}) == std::vector<int>{0});
    CHECK(find_cheapest_rolls(1e-6, {{feet(250), 100}}) == std::vector<int>{0});
    CHECK(find_cheapest_rolls(10, {}).empty());
    CHECK(find_cheapest_rolls(feet(600), {{feet(250), 0}}) ==
          std::vector<int>{3}); // left over from another job
}

TEST_CASE("the rolls are the best of all counts that were tried") {
    std::mt19937 random(4);
    const auto pick = [&](int low, int high) {
        return low + static_cast<int>(random() % static_cast<unsigned>(high - low + 1));
    };
    int mixed = 0;
    for (int round = 0; round < 3000; ++round) {
        std::vector<CableRoll> rolls;
        for (int i = pick(1, 3); i > 0; --i) {
            // By the foot or by the metre, at 0.40 to 0.80 a foot.
            const double length = pick(0, 2) ? feet(50 * pick(1, 10)) : 25.0 * pick(1, 6);
            rolls.push_back({length, static_cast<Cents>(length / metres_per_foot * pick(40, 80))});
        }
        const double length = feet(pick(1, 1500));
        const std::vector<int> counts = find_cheapest_rolls(length, rolls);
        CAPTURE(length);
        CHECK(rank_of(counts, rolls) == find_best_by_trial(length, rolls));
        int kinds = 0;
        for (const int count : counts)
            kinds += count > 0;
        mixed += kinds > 1;
    }
    CHECK(mixed > 300); // the trial reached the cases that matter
}

TEST_CASE("two hundred kilometres of cable are no trouble") {
    const std::vector<CableRoll> rolls{{feet(250), 17'000}, {feet(500), 32'500}};
    // 1,312 rolls of 500 ft are 199,948.8 m; one of 250 ft (76.2 m) covers the other 51.2 m.
    CHECK(find_cheapest_rolls(200'000, rolls) == std::vector<int>{1, 1312});
}
