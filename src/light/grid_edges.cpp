#include "grid_edges.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {

namespace {

/// How much wider than the last each patch of the ground is, away from what is built.
constexpr double ground_growth = 1.35;

} // namespace

std::vector<float> even_edges(double low, double high, double size) {
    const int count = std::max(1, static_cast<int>(std::ceil((high - low) / size - 1e-6)));
    std::vector<float> edges;
    for (int i = 0; i <= count; ++i)
        edges.push_back(static_cast<float>(low + (high - low) * i / count));
    return edges;
}

std::vector<float> graded_edges(double low, double high, const std::array<double, 2>& near, double size) {
    std::vector<double> edges;
    const double from = std::max(low, near[0]);
    const double to = std::min(high, near[1]);
    const int count = std::max(1, static_cast<int>(std::ceil((to - from) / size)));
    for (int i = 0; i <= count; ++i)
        edges.push_back(from + (to - from) * i / count);
    for (double step = size * ground_growth; from - step / 2 > low && edges.front() - step > low;
         step *= ground_growth)
        edges.insert(edges.begin(), edges.front() - step);
    if (edges.front() > low)
        edges.insert(edges.begin(), low);
    for (double step = size * ground_growth; edges.back() + step < high; step *= ground_growth)
        edges.push_back(edges.back() + step);
    if (edges.back() < high)
        edges.push_back(high);
    return {edges.begin(), edges.end()};
}

void put_edge(std::vector<float>& edges, float at) {
    const auto after = std::lower_bound(edges.begin(), edges.end(), at - 1e-3f);
    if (after == edges.end() || *after > at + 1e-3f)
        edges.insert(after, at);
}

std::size_t cell_at(const std::vector<float>& edges, double x) {
    const auto after = std::upper_bound(edges.begin(), edges.end(), static_cast<float>(x));
    const auto index = static_cast<std::ptrdiff_t>(after - edges.begin()) - 1;
    return static_cast<std::size_t>(
        std::clamp<std::ptrdiff_t>(index, 0, static_cast<std::ptrdiff_t>(edges.size()) - 2));
}

} // namespace duskcast
