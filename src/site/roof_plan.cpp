#include "duskcast/site/roof_plan.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

double cross(const glm::dvec2& a, const glm::dvec2& b) {
    return a.x * b.y - a.y * b.x;
}

/// Sides of a closed line of points that is walked counter-clockwise, without wall.
std::vector<RoofSide> sides_of(const std::vector<glm::dvec2>& points) {
    std::vector<RoofSide> sides;
    for (std::size_t i = 0; i < points.size(); ++i)
        sides.push_back({.start = points[i], .end = points[(i + 1) % points.size()]});
    return sides;
}

/// Over the house that a wall is the front of, or goes round.
std::vector<RoofSide> sides_of(const Wall& wall, const Roof& roof) {
    const std::vector<RunSegment> run = run_of(wall);
    std::vector<glm::dvec2> points = wall.path;
    if (points.size() == 2) {
        const glm::dvec2 back = -roof.depth.value_or(0) * run[0].outward;
        points.push_back(points[1] + back);
        points.push_back(points[0] + back);
    }
    std::vector<RoofSide> sides = sides_of(points);
    for (std::size_t i = 0; i < run.size(); ++i)
        sides[i].segment = static_cast<int>(i);
    const auto longest =
        std::max_element(run.begin(), run.end(),
                         [](const RunSegment& a, const RunSegment& b) { return a.length < b.length - 1e-6; });
    std::rotate(sides.begin(), sides.begin() + (longest - run.begin()), sides.end());
    return sides;
}

std::vector<RoofSide> sides_of(const Roof& roof) {
    std::vector<glm::dvec2> points = roof.outline;
    if (signed_area(points) < 0) {
        std::reverse(points.begin(), points.end());
        std::rotate(points.begin(), points.end() - 2, points.end()); // the first side stays the front
    }
    return sides_of(points);
}

bool is_sloping(const Roof& roof, std::size_t side) {
    switch (roof.form) {
    case RoofForm::hip:
        return true;
    case RoofForm::gable:
        return (side % 2 == 0) == (roof.ridge == RidgeRun::along);
    case RoofForm::shed:
        break;
    }
    return side == 0;
}

bool is_same(double a, double b) {
    return std::abs(a - b) < 1e-9;
}

/// Of two sides in one line, whose planes are one, each has what lies beside it.
std::vector<glm::dvec2> keep_own_stretch(const std::vector<glm::dvec2>& polygon, const RoofSide& side,
                                         const RoofSide& other) {
    const glm::dvec2 way = glm::normalize(side.end - side.start), inward(-way.y, way.x);
    return glm::dot(other.start - side.start, way) > 0
               ? keep_inside(polygon, other.start, other.start + inward)
               : keep_inside(polygon, other.end + inward, other.end);
}

} // namespace

double RoofSide::inside(const glm::dvec2& point) const {
    return cross(glm::normalize(end - start), point - start);
}

double RoofPlan::plane_at(const RoofSide& side, const glm::dvec2& point) const {
    return underside + side.edge + slope * (side.inside(point) + side.overhang);
}

double RoofPlan::top_at(const glm::dvec2& point) const {
    double lowest = std::numeric_limits<double>::max();
    for (const RoofSide& side : sides)
        if (side.is_sloping)
            lowest = std::min(lowest, plane_at(side, point));
    return lowest;
}

std::vector<glm::dvec2> RoofPlan::part_below(const RoofSide& side, std::vector<glm::dvec2> polygon) const {
    for (const RoofSide& other : sides) {
        if (&other == &side || !other.is_sloping || polygon.empty())
            continue;
        if (is_same(plane_at(other, side.start), plane_at(side, side.start)) &&
            is_same(plane_at(other, side.end), plane_at(side, side.end))) {
            polygon = keep_own_stretch(polygon, side, other);
            continue;
        }
        // Where the other plane is not lower: a half plane, since both rise evenly.
        std::vector<glm::dvec2> kept;
        for (std::size_t i = 0; i < polygon.size(); ++i) {
            const glm::dvec2 from = polygon[i], to = polygon[(i + 1) % polygon.size()];
            const double at_from = plane_at(other, from) - plane_at(side, from),
                         at_to = plane_at(other, to) - plane_at(side, to);
            if (at_from >= 0)
                kept.push_back(from);
            if ((at_from < 0) != (at_to < 0))
                kept.push_back(from + at_from / (at_from - at_to) * (to - from));
        }
        polygon = std::move(kept);
    }
    return polygon;
}

std::vector<glm::dvec2> RoofPlan::outline(bool with_overhang) const {
    std::vector<glm::dvec2> points;
    for (std::size_t i = 0; i < sides.size(); ++i) {
        const RoofSide& before = sides[(i + sides.size() - 1) % sides.size()];
        const RoofSide& after = sides[i];
        if (!with_overhang) {
            points.push_back(after.start);
            continue;
        }
        // Where the two sides' lines meet when moved out.
        const glm::dvec2 way = glm::normalize(before.end - before.start),
                         next = glm::normalize(after.end - after.start);
        const glm::dvec2 moved = before.end + before.overhang * glm::dvec2(way.y, -way.x);
        const double turn = cross(next, way);
        points.push_back(is_same(turn, 0) ? moved // a straight side in two pieces
                                          : moved - (after.inside(moved) + after.overhang) / turn * way);
    }
    return points;
}

double RoofPlan::ridge() const {
    double highest = underside;
    for (const RoofSide& side : sides)
        if (side.is_sloping)
            for (const glm::dvec2& point : part_below(side, outline(false)))
                highest = std::max(highest, plane_at(side, point));
    return highest;
}

RoofPlan plan_roof(const Site& site, const Roof& roof) {
    const Wall* wall = roof.wall.empty() ? nullptr : find_wall(site, roof.wall);
    RoofPlan plan;
    plan.sides = wall ? sides_of(*wall, roof) : sides_of(roof);
    plan.underside = roof.height.value_or(wall ? wall->foot + wall->height : 0);
    plan.slope = roof.rise_in_12 / 12;
    for (std::size_t i = 0; i < plan.sides.size(); ++i) {
        RoofSide& side = plan.sides[i];
        const bool has_eave = side.segment >= 0 && wall->eave;
        side.is_sloping = is_sloping(roof, i);
        side.overhang = roof.overhang;
        side.edge = wall && wall->eave ? wall->eave->thickness : roof.thickness;
        if (has_eave)
            side.overhang = side.is_sloping ? wall->eave->depth : wall->eave->rake_depth;
        if (roof.form == RoofForm::shed && i == 2)
            side.overhang = 0; // against a wall, where it ends highest
    }
    return plan;
}

std::vector<glm::dvec2> keep_inside(const std::vector<glm::dvec2>& polygon, const glm::dvec2& from,
                                    const glm::dvec2& to) {
    std::vector<glm::dvec2> kept;
    const glm::dvec2 way = glm::normalize(to - from);
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const glm::dvec2 a = polygon[i], b = polygon[(i + 1) % polygon.size()];
        const double at_a = cross(way, a - from), at_b = cross(way, b - from);
        if (at_a >= 0)
            kept.push_back(a);
        if ((at_a < 0) != (at_b < 0))
            kept.push_back(a + at_a / (at_a - at_b) * (b - a));
    }
    return kept;
}

std::vector<std::vector<glm::dvec2>> list_house_footprints(const Site& site) {
    std::vector<std::vector<glm::dvec2>> footprints;
    for (const Roof& roof : site.roofs)
        if (!roof.wall.empty())
            footprints.push_back(plan_roof(site, roof).outline(false));
    return footprints;
}

} // namespace duskcast
