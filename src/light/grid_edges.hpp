#pragma once
// The lines of a grid of patches along one axis: ascending edges, a cell between each two.

#include <array>
#include <cstddef>
#include <vector>

namespace duskcast {

/// Cells of one width, at most `size`, from `low` to `high`.
std::vector<float> even_edges(double low, double high, double size);

/// Even edges between `near`, ever wider ones out to `low` and `high`.
std::vector<float> graded_edges(double low, double high, const std::array<double, 2>& near, double size);

/// Adds an edge at `at` unless one is there already.
void put_edge(std::vector<float>& edges, float at);

/// The cell that x lies in; the first or last one when it lies outside.
std::size_t cell_at(const std::vector<float>& edges, double x);

} // namespace duskcast
