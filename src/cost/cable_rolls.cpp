#include "duskcast/cost/cable_rolls.hpp"

#include <cmath>
#include <cstddef>
#include <queue>
#include <tuple>

namespace duskcast {

namespace {

/// A set of rolls: one more roll than the set it came from.
struct RollSet {
    Cents price = 0;
    std::int64_t length = 0;
    int count = 0;
    std::size_t before = 0; ///< among the sets that were kept
    std::size_t roll = 0;   ///< which one was added

    /// Cheaper sets are better, then longer ones, then those of fewer rolls. The rest only makes the order
    /// the same every time.
    auto rank() const { return std::tuple(price, -length, count, before, roll); }
    bool operator>(const RollSet& other) const { return rank() > other.rank(); }
};

} // namespace

std::int64_t count_length_ticks(double metres) {
    return std::llround(metres * 10'000);
}

std::vector<int> find_cheapest_rolls(double length, const std::vector<CableRoll>& rolls) {
    std::vector<int> counts(rolls.size(), 0);
    const auto wanted = count_length_ticks(length);
    if (wanted <= 0 || rolls.empty())
        return counts;
    std::priority_queue<RollSet, std::vector<RollSet>, std::greater<>> open;
    std::vector<RollSet> kept;
    open.push({});
    std::int64_t longest = -1;
    for (;;) {
        RollSet set = open.top();
        open.pop();
        if (set.length <= longest)
            continue;
        longest = set.length;
        if (set.length >= wanted) {
            for (; set.count > 0; set = kept[set.before])
                ++counts[set.roll];
            return counts;
        }
        kept.push_back(set);
        for (std::size_t i = 0; i < rolls.size(); ++i)
            open.push({set.price + rolls[i].price, set.length + count_length_ticks(rolls[i].length),
                       set.count + 1, kept.size() - 1, i});
    }
}

} // namespace duskcast
