#pragma once
// Where a value lies between the nodes of an ascending grid.

#include <algorithm>
#include <cstddef>
#include <vector>

namespace duskcast {

/// The value is (1 - weight) * grid[low] + weight * grid[high].
struct Bracket {
    std::size_t low = 0;
    std::size_t high = 0;
    double weight = 0;
};

/// Values outside the grid take its nearest end. The grid must hold at least one node.
inline Bracket find_bracket(const std::vector<double>& grid, double value) {
    const std::size_t last = grid.size() - 1;
    if (!(value > grid.front()))
        return {0, 0, 0};
    if (value >= grid.back())
        return {last, last, 0};
    const auto above = std::upper_bound(grid.begin(), grid.end(), value);
    const std::size_t high = static_cast<std::size_t>(above - grid.begin());
    return {high - 1, high, (value - grid[high - 1]) / (grid[high] - grid[high - 1])};
}

} // namespace duskcast
