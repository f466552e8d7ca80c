#include "plan_cut.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/units.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

std::vector<LinePiece> cut_to_window(const std::vector<glm::dvec2>& points, bool is_closed,
                                     const std::optional<Box>& window) {
    if (!window)
        return {{points, is_closed}};
    std::vector<LinePiece> pieces;
    bool goes_on = false;
    const std::size_t ends = points.size() + (is_closed ? 1 : 0);
    for (std::size_t i = 0; i + 1 < ends; ++i) {
        const glm::dvec2 &a = points[i], &b = points[(i + 1) % points.size()];
        double from = 0, until = 1; // the share of the segment that lies inside (Liang and Barsky 1984)
        for (int axis = 0; axis < 2; ++axis) {
            const double low = axis == 0 ? window->left : window->top;
            const double high = axis == 0 ? window->right : window->bottom;
            const double way = b[axis] - a[axis];
            if (way == 0) {
                if (a[axis] < low || a[axis] > high)
                    until = -1;
                continue;
            }
            const double first = ((way > 0 ? low : high) - a[axis]) / way;
            const double last = ((way > 0 ? high : low) - a[axis]) / way;
            from = std::max(from, first);
            until = std::min(until, last);
        }
        if (from < until) {
            if (!goes_on || from > 0)
                pieces.push_back({{glm::mix(a, b, from)}, false});
            pieces.back().points.push_back(glm::mix(a, b, until));
        }
        goes_on = from < until && until == 1;
    }
    return pieces;
}

std::vector<glm::dvec2> cut_area(const std::vector<glm::dvec2>& points, const std::optional<Box>& window) {
    if (!window)
        return points;
    return clip(clip(clip(clip(points, 0, window->left, -1), 0, window->right, 1), 1, window->top, -1), 1,
                window->bottom, 1);
}

std::vector<glm::dvec2> ring_of(const glm::dvec2& middle, double radius) {
    constexpr int count = 96;
    std::vector<glm::dvec2> ring;
    for (int i = 0; i < count; ++i)
        ring.push_back(middle +
                       radius * glm::dvec2(std::cos(2 * pi * i / count), std::sin(2 * pi * i / count)));
    return ring;
}

} // namespace duskcast
