#include "duskcast/stage/triangulate.hpp"

#include <algorithm>
#include <cstddef>

#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

double turn_of(const glm::dvec2& a, const glm::dvec2& b) {
    return a.x * b.y - a.y * b.x;
}

} // namespace

std::vector<std::array<glm::dvec2, 3>> cut_into_triangles(std::vector<glm::dvec2> outline) {
    std::vector<std::array<glm::dvec2, 3>> triangles;
    if (signed_area(outline) < 0)
        std::reverse(outline.begin(), outline.end());
    const auto is_ear = [&](std::size_t i) {
        const std::size_t count = outline.size();
        const glm::dvec2 &a = outline[(i + count - 1) % count], &b = outline[i],
                         &c = outline[(i + 1) % count];
        if (turn_of(b - a, c - b) <= 0)
            return false;
        return std::none_of(outline.begin(), outline.end(), [&](const glm::dvec2& point) {
            return point != a && point != b && point != c && turn_of(b - a, point - a) >= 0 &&
                   turn_of(c - b, point - b) >= 0 && turn_of(a - c, point - c) >= 0;
        });
    };
    while (outline.size() >= 3) {
        std::size_t ear = 0;
        while (ear < outline.size() && !is_ear(ear))
            ++ear;
        if (ear == outline.size()) {
            // Nothing but corners that lie on a line is left, or the outline crosses itself.
            ear = 0;
            const auto is_flat = [&](std::size_t i) {
                const std::size_t count = outline.size();
                return turn_of(outline[i] - outline[(i + count - 1) % count],
                               outline[(i + 1) % count] - outline[i]) == 0;
            };
            while (ear < outline.size() && !is_flat(ear))
                ++ear;
            if (ear == outline.size())
                break;
        } else {
            const std::size_t count = outline.size();
            triangles.push_back(
                {outline[(ear + count - 1) % count], outline[ear], outline[(ear + 1) % count]});
        }
        outline.erase(outline.begin() + static_cast<std::ptrdiff_t>(ear));
    }
    return triangles;
}

} // namespace duskcast
