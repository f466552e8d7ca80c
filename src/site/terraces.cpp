#include "duskcast/site/terraces.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "direction.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

/// How far along the way the outline begins and ends.
glm::dvec2 reach_along(const std::vector<glm::dvec2>& outline, const glm::dvec2& way) {
    glm::dvec2 reach(HUGE_VAL, -HUGE_VAL);
    for (const glm::dvec2& point : outline) {
        reach.x = std::min(reach.x, glm::dot(point, way));
        reach.y = std::max(reach.y, glm::dot(point, way));
    }
    return reach;
}

/// Of a terrace.
GroundPlane own_plane(const GroundArea& area) {
    if (!area.fall)
        return {.height = *area.height};
    const glm::dvec2 way = direction_of(area.fall->towards), reach = reach_along(area.outline, way);
    if (!(reach.y > reach.x))
        return {.height = *area.height};
    const double slope = (*area.height - area.fall->to) / (reach.y - reach.x);
    return {.height = *area.height + slope * reach.x, .rise = -slope * way};
}

/// A stretch of a straight way over ground of one plane, in shares of the way.
struct EvenStretch {
    double from = 0, to = 1;
    GroundPlane plane;
};

std::vector<EvenStretch> list_even_stretches(const Ground& ground, const glm::dvec2& start,
                                             const glm::dvec2& end) {
    const auto cross = [](const glm::dvec2& a, const glm::dvec2& b) { return a.x * b.y - a.y * b.x; };
    const glm::dvec2 way = end - start;
    std::vector<double> cuts{0, 1};
    for (const GroundArea& area : ground.areas)
        for (std::size_t i = 0, j = area.outline.size() - 1; area.height && i < area.outline.size();
             j = i++) {
            const glm::dvec2 from = area.outline[j] - start, edge = area.outline[i] - area.outline[j];
            const double slant = cross(way, edge);
            const double along = cross(from, edge) / slant, on_edge = cross(from, way) / slant;
            if (along > 0 && along < 1 && on_edge >= 0 && on_edge <= 1)
                cuts.push_back(along);
        }
    std::sort(cuts.begin(), cuts.end());
    std::vector<EvenStretch> stretches;
    for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
        const GroundPlane plane = ground_plane_at(ground, start + (cuts[i] + cuts[i + 1]) / 2 * way);
        if (!stretches.empty() && stretches.back().plane == plane)
            stretches.back().to = cuts[i + 1];
        else if (cuts[i + 1] > cuts[i] || stretches.empty())
            stretches.push_back({cuts[i], cuts[i + 1], plane});
    }
    return stretches;
}

} // namespace

GroundPlane ground_plane_at(const Ground& ground, const glm::dvec2& point) {
    GroundPlane plane;
    for (const GroundArea& area : ground.areas)
        if (area.height && is_inside(area.outline, point))
            plane = own_plane(area);
    return plane;
}

double ground_height_at(const Ground& ground, const glm::dvec2& point) {
    return ground_plane_at(ground, point).height_at(point);
}

std::optional<GroundPlane> find_ground_met(const Ground& ground, const glm::dvec3& start,
                                           const glm::dvec3& way, double farthest, double above) {
    constexpr double rounding = 1e-9; // metres
    const glm::dvec3 whole = farthest * glm::normalize(way);
    for (const EvenStretch& stretch : list_even_stretches(ground, start, start + whole)) {
        const auto height_over = [&](double share) {
            const glm::dvec3 place = start + share * whole;
            return place.z - above - stretch.plane.height_at(place);
        };
        if (height_over(stretch.from) < -rounding)
            return std::nullopt;
        if (height_over(stretch.to) <= 0)
            return stretch.plane;
    }
    return std::nullopt;
}

GroundWay measure_way(const Ground& ground, const std::vector<glm::dvec2>& line) {
    GroundWay measured;
    std::optional<GroundPlane> before;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const glm::dvec2 way = line[i + 1] - line[i];
        for (const EvenStretch& stretch : list_even_stretches(ground, line[i], line[i + 1])) {
            const glm::dvec2 place = line[i] + stretch.from * way, piece = (stretch.to - stretch.from) * way;
            if (before)
                measured.climb += std::abs(stretch.plane.height_at(place) - before->height_at(place));
            measured.length += std::hypot(glm::length(piece), glm::dot(stretch.plane.rise, piece));
            before = stretch.plane;
        }
    }
    return measured;
}

GroundPlane plane_of(const Ground& ground, const GroundArea& area) {
    return area.height ? own_plane(area) : plane_below(ground, area);
}

double fall_length(const std::vector<glm::dvec2>& outline, double towards) {
    const glm::dvec2 reach = reach_along(outline, direction_of(towards));
    return std::max(0.0, reach.y - reach.x);
}

GroundPlane plane_below(const Ground& ground, const GroundArea& area) {
    if (area.outline.size() < 3)
        return {};
    // What comes later in the list is beside it or upon it.
    const glm::dvec2 place = find_inner_place(area.outline);
    GroundPlane plane;
    for (const GroundArea& below : ground.areas) {
        if (&below == &area)
            break;
        if (below.height && is_inside(below.outline, place))
            plane = own_plane(below);
    }
    return plane;
}

glm::dvec2 footing_of(const Shrub& shrub) {
    if (shrub.outline.size() >= 3) {
        const glm::dvec2 middle = std::accumulate(shrub.outline.begin(), shrub.outline.end(), glm::dvec2(0)) /
                                  static_cast<double>(shrub.outline.size());
        return is_inside(shrub.outline, middle) ? middle : find_inner_place(shrub.outline);
    }
    return shrub.path.size() >= 2 ? (shrub.path[0] + shrub.path[1]) / 2.0 : glm::dvec2(0);
}

void stand_on_ground(Site& site) {
    for (Tree& tree : site.trees)
        if (tree.stands_on_ground)
            tree.foot = ground_height_at(site.ground, tree.at);
    for (Shrub& shrub : site.shrubs)
        if (shrub.stands_on_ground) {
            const glm::dvec2 place = footing_of(shrub);
            const GroundPlane plane = ground_plane_at(site.ground, place);
            shrub.foot = plane.height_at(place);
            shrub.rise = plane.rise;
        }
}

double foot_at(const Shrub& shrub, const glm::dvec2& point) {
    if (shrub.rise == glm::dvec2(0))
        return shrub.foot;
    return shrub.foot + glm::dot(shrub.rise, point - footing_of(shrub));
}

std::optional<FallLine> find_fall_line(const GroundArea& area) {
    if (!area.height || !area.fall || area.outline.size() < 3)
        return std::nullopt;
    constexpr double off_edge = 0.15; // share of the way between edges
    constexpr int lanes = 9;
    // The longest way down between two edges, of some that lie side by side.
    const glm::dvec2 way = direction_of(area.fall->towards), aside(-way.y, way.x);
    const glm::dvec2 width = reach_along(area.outline, aside);
    std::optional<FallLine> longest;
    double length = 0;
    for (int lane = 0; lane < lanes; ++lane) {
        // From the middle outwards, so that of ways of one length the middle one counts.
        const double off = (lane % 2 == 0 ? 1 : -1) * ((lane + 1) / 2);
        const double across = (width.x + width.y) / 2 + off * (width.y - width.x) / (lanes + 1);
        std::vector<double> edges;
        for (std::size_t i = 0, j = area.outline.size() - 1; i < area.outline.size(); j = i++) {
            const double a = glm::dot(area.outline[j], aside) - across,
                         b = glm::dot(area.outline[i], aside) - across;
            if ((a < 0) != (b < 0))
                edges.push_back(glm::dot(glm::mix(area.outline[j], area.outline[i], a / (a - b)), way));
        }
        std::sort(edges.begin(), edges.end());
        for (std::size_t i = 0; i + 1 < edges.size(); i += 2)
            if (const double high = edges[i], low = edges[i + 1]; low - high > length * (1 + 1e-9)) {
                length = low - high;
                longest = {across * aside + (high + off_edge * length) * way,
                           across * aside + (low - off_edge * length) * way};
            }
    }
    return longest;
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
