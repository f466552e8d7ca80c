#include "duskcast/site/wall_foot.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {

std::optional<double> find_lower_ground(const Wall& wall, const Ground& ground) {
    if (!(wall.foot > 0))
        return std::nullopt;
    constexpr double apart = 0.25, beside = 0.01, level = 0.02; // metres
    double lowest = wall.foot, highest = 0;
    for (const RunSegment& segment : run_of(wall)) {
        const int count = static_cast<int>(std::ceil(segment.length / apart));
        for (int i = 0; i <= count; ++i) {
            // On the edge of a terrace it stands on that, whose own wall goes down.
            const double along = std::clamp(segment.length * i / count, std::min(beside, segment.length / 2),
                                            std::max(segment.length - beside, segment.length / 2));
            const glm::dvec2 place = segment.start + along * segment.direction;
            const double height = std::max(ground_height_at(ground, place + beside * segment.outward),
                                           ground_height_at(ground, place - beside * segment.outward));
            lowest = std::min(lowest, height);
            highest = std::max(highest, height);
        }
    }
    if (highest > wall.foot - level && lowest < wall.foot - level)
        return lowest;
    return std::nullopt;
}

} // namespace duskcast
