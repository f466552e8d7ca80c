#pragma once
// Rectangles in cells, for height fields.

#include <glm/glm.hpp>
#include <utility>
#include <vector>

#include "duskcast/base/units.hpp"

namespace duskcast::test {

inline float in(double inches) {
    return static_cast<float>(inches * metres_per_inch);
}

/// Calls visit(middle) of side x side cells of a rectangle.
template <class Visit> void visit_cells(const glm::vec2& low, const glm::vec2& size, int side, Visit visit) {
    for (int y = 0; y < side; ++y)
        for (int x = 0; x < side; ++x)
            visit(low + (glm::vec2(x, y) + 0.5f) / static_cast<float>(side) * size);
}

/// How many separate parts of ten cells or more the places make for which `is_in` holds, of side x side
/// cells.
template <class IsIn> int count_parts(const glm::vec2& size, int side, IsIn is_in) {
    std::vector<int> open;
    visit_cells(glm::vec2(0), size, side, [&](const glm::vec2& at) { open.push_back(is_in(at) ? 1 : 0); });
    int parts = 0;
    for (int start = 0; start < side * side; ++start) {
        if (!open[start])
            continue;
        int cells = 0;
        std::vector<int> waiting{start};
        open[start] = 0;
        while (!waiting.empty()) {
            const int cell = waiting.back(), x = cell % side, y = cell / side;
            waiting.pop_back();
            ++cells;
            for (const auto& [i, j] : {std::pair(x - 1, y), {x + 1, y}, {x, y - 1}, {x, y + 1}})
                if (i >= 0 && j >= 0 && i < side && j < side && open[j * side + i]) {
                    open[j * side + i] = 0;
                    waiting.push_back(j * side + i);
                }
        }
        parts += cells >= 10 ? 1 : 0;
    }
    return parts;
}

/// Share of a rectangle where the predicate holds.
template <class IsIn> double share_of(const glm::vec2& low, const glm::vec2& size, int side, IsIn is_in) {
    double sum = 0;
    visit_cells(low, size, side, [&](const glm::vec2& at) { sum += is_in(at) ? 1 : 0; });
    return sum / (static_cast<double>(side) * side);
}

} // namespace duskcast::test
