#include "duskcast/site/terraces.hpp"

#include <cmath>

#include "duskcast/site/layout.hpp"

namespace duskcast {

double ground_height_at(const Ground& ground, const glm::dvec2& point) {
    double height = 0;
    for (const GroundArea& area : ground.areas)
        if (area.height && is_inside(area.outline, point))
            height = *area.height;
    return height;
}

double height_of(const Ground& ground, const GroundArea& area) {
    return area.height ? *area.height : height_below(ground, area);
}

double height_below(const Ground& ground, const GroundArea& area) {
    if (area.outline.size() < 3)
        return 0;
    // What comes later in the list is beside it or upon it.
    const glm::dvec2 place = find_inner_place(area.outline);
    double height = 0;
    for (const GroundArea& below : ground.areas) {
        if (&below == &area)
            break;
        if (below.height && is_inside(below.outline, place))
            height = *below.height;
    }
    return height;
}

glm::dvec2 find_inner_place(const std::vector<glm::dvec2>& outline) {
    constexpr double inwards = 5e-3;
    glm::dvec2 best = outline[0];
    double farthest = -1;
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const glm::dvec2 a = outline[i], b = outline[(i + 1) % outline.size()];
        const glm::dvec2 way = glm::normalize(b - a), aside(-way.y, way.x);
        for (const double side : {inwards, -inwards}) {
            const glm::dvec2 place = (a + b) / 2.0 + side * aside;
            const double distance = distance_to_line(place, outline, true);
            if (is_inside(outline, place) && distance > farthest) {
                best = place;
                farthest = distance;
            }
        }
    }
    return best;
}

} // namespace duskcast
