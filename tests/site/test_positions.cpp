// Where things along walls stand, against a walk along the path in small steps, and plane geometry against
// brute force.

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <vector>

#include "duskcast/site/layout.hpp"

using namespace duskcast;

namespace {

using Outline = std::vector<glm::dvec2>;

double uniform(std::mt19937& random, double low, double high) {
    return low + (high - low) * (static_cast<double>(random()) / 4294967296.0);
}

/// A star-shaped outline about a middle, counter-clockwise, with 3 to 9 corners.
Outline make_star(std::mt19937& random) {
    const int count = 3 + static_cast<int>(random() % 7);
    const glm::dvec2 middle(uniform(random, -20, 20), uniform(random, -20, 20));
    Outline outline;
    for (int i = 0; i < count; ++i) {
        const double angle = 2 * pi * (i + uniform(random, 0.1, 0.9)) / count;
        outline.push_back(middle + uniform(random, 2, 9) * glm::dvec2(std::cos(angle), std::sin(angle)));
    }
    return outline;
}

double cross(const glm::dvec2& a, const glm::dvec2& b) {
    return a.x * b.y - a.y * b.x;
}

/// Whole turns that an outline makes about a point: 0 outside.
int count_turns(const Outline& outline, const glm::dvec2& point) {
    double angle = 0;
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const glm::dvec2 a = outline[i] - point, b = outline[(i + 1) % outline.size()] - point;
        angle += std::atan2(cross(a, b), glm::dot(a, b));
    }
    return static_cast<int>(std::lround(angle / (2 * pi)));
}

/// The point so far along a closed path, found by walking it corner by corner.
glm::dvec2 walk(const Outline& path, double along) {
    for (std::size_t i = 0;; i = (i + 1) % path.size()) {
        const glm::dvec2 way = path[(i + 1) % path.size()] - path[i];
        if (along <= glm::length(way))
            return path[i] + way * (along / glm::length(way));
        along -= glm::length(way);
    }
}

Wall make_wall(const Outline& path) {
    Wall wall;
    wall.id = "house";
    wall.path = path;
    wall.closed = true;
    wall.foot = 0.4;
    wall.height = 3;
    return wall;
}

glm::dvec2 direction_of(double azimuth) {
    return {std::sin(azimuth), std::cos(azimuth)};
}

} // namespace

TEST_CASE("a fixture along any wall stands off it by its setback, outside, and faces it") {
    std::mt19937 random(1);
    for (int i = 0; i < 300; ++i) {
        CAPTURE(i);
        Site site;
        site.walls = {make_wall(make_star(random))};
        const Outline& path = site.walls[0].path;
        double length = 0;
        for (std::size_t j = 0; j < path.size(); ++j)
            length += glm::distance(path[j], path[(j + 1) % path.size()]);
        Fixture fixture{.id = "f", .wall = "house"};
        fixture.along = uniform(random, 0, length * 0.999);
        fixture.setback = uniform(random, 1e-3, 0.5);
        fixture.lens_height = 0.15;
        fixture.turn = uniform(random, -1, 1);
        const PlacedFixture placed = place_fixture(site, fixture);
        const glm::dvec2 plan(placed.position), face = walk(path, fixture.along);
        CHECK(glm::distance(plan, face) == doctest::Approx(*fixture.setback).epsilon(1e-9));
        CHECK(placed.position.z == doctest::Approx(0.55));
        // Off the wall square to it: no corner is nearer than the face, and a hair's breadth out is outside.
        const glm::dvec2 out = (plan - face) / *fixture.setback;
        CHECK(count_turns(path, face + 1e-6 * out) == 0);
        CHECK(count_turns(path, face - 1e-6 * out) == 1);
        const glm::dvec2 facing = direction_of(placed.aim.azimuth - fixture.turn);
        CHECK(glm::distance(facing, -out) < 1e-9);
        CHECK(placed.aim.azimuth >= 0);
        CHECK(placed.aim.azimuth < 2 * pi);

        // A lantern there: as far off as it says, or on a bracket of 2 in (common practice, no source).
        Lantern lantern{.id = "l", .wall = "house", .along = fixture.along, .up = 2, .width = 0.3};
        const PlacedLantern hung = place_lantern(site, lantern);
        CHECK(glm::distance(glm::dvec2(hung.position), face) == doctest::Approx(0.15 + 2 * 0.0254));
        CHECK(glm::distance(glm::dvec2(hung.position), face + (0.15 + 2 * 0.0254) * out) < 1e-9);
        CHECK(hung.position.z == doctest::Approx(2.4));
        CHECK(std::abs(glm::dot(hung.across, out)) < 1e-9);
    }
}

TEST_CASE("a fixture at a tree stands on the bearing, off the bark, and faces the trunk") {
    std::mt19937 random(2);
    for (int i = 0; i < 100; ++i) {
        CAPTURE(i);
        Site site;
        Tree tree{.id = "oak", .at = {uniform(random, -9, 9), uniform(random, -9, 9)}, .foot = 0.5};
        tree.height = uniform(random, 4, 20);
        tree.trunk_diameter = i % 2 ? uniform(random, 0.1, 0.6) : 0; // 0: a fortieth of the height
        site.trees = {tree};
        Fixture fixture{.id = "f", .tree = "oak", .bearing = uniform(random, 0, 2 * pi)};
        fixture.setback = uniform(random, 0.05, 2);
        const PlacedFixture placed = place_fixture(site, fixture);
        const double bark = (i % 2 ? tree.trunk_diameter : tree.height / 40) / 2;
        const glm::dvec2 off = glm::dvec2(placed.position) - tree.at;
        CHECK(glm::length(off) == doctest::Approx(bark + *fixture.setback));
        // Compass: east is a quarter turn clockwise from north.
        CHECK(std::atan2(off.x, off.y) == doctest::Approx(std::remainder(fixture.bearing, 2 * pi)));
        CHECK(glm::distance(direction_of(placed.aim.azimuth), -glm::normalize(off)) < 1e-9);
    }
}

TEST_CASE("a run's lengths add up to the path's, and each segment starts where the last one ends") {
    std::mt19937 random(3);
    for (int i = 0; i < 100; ++i) {
        CAPTURE(i);
        Outline path = make_star(random);
        path.insert(path.begin() + 1, path[0]); // a point twice makes no segment
        for (const bool closed : {false, true}) {
            const std::vector<RunSegment> run = run_of(path, closed);
            CHECK(run.size() == path.size() - (closed ? 1 : 2));
            double along = 0;
            for (std::size_t j = 0; j < run.size(); ++j) {
                CHECK(run[j].along == doctest::Approx(along));
                along += run[j].length;
                const glm::dvec2 end = run[j].start + run[j].direction * run[j].length;
                if (j + 1 < run.size() || closed)
                    CHECK(glm::distance(end, run[(j + 1) % run.size()].start) < 1e-9);
                CHECK(glm::length(run[j].outward) == doctest::Approx(1));
                CHECK(std::abs(glm::dot(run[j].outward, run[j].direction)) < 1e-12);
                CHECK(cross(run[j].direction, run[j].outward) < 0); // on the right hand
            }
        }
    }
}

TEST_CASE("the top of a wall is the highest of its eave line and its gables' triangles") {
    std::mt19937 random(4);
    for (int i = 0; i < 50; ++i) {
        Wall wall = make_wall({{0, 0}, {20, 0}, {20, 10}, {0, 10}});
        for (int g = 0; g < 3; ++g)
            wall.gables.push_back(
                {"g", uniform(random, 0, 12), uniform(random, 2, 8), uniform(random, 3.5, 7)});
        for (int s = 0; s < 40; ++s) {
            const double along = uniform(random, 0, 20);
            CAPTURE(along);
            double top = wall.height;
            for (const Gable& gable : wall.gables) { // on the line from an end to the peak
                const double middle = gable.from + gable.width / 2;
                const glm::dvec2 eave(along < middle ? gable.from : gable.from + gable.width, wall.height);
                const double share = (along - eave.x) / (middle - eave.x);
                if (share > 0)
                    top = std::max(top, eave.y + share * (gable.peak - eave.y));
            }
            CHECK(top_of(wall, along) == doctest::Approx(top));
        }
    }
}

TEST_CASE("a point is inside an outline that turns about it") {
    std::mt19937 random(5);
    int inside = 0;
    for (int i = 0; i < 100; ++i) {
        const Outline outline = make_star(random);
        for (int p = 0; p < 100; ++p) {
            const glm::dvec2 point =
                outline[0] + glm::dvec2(uniform(random, -15, 15), uniform(random, -15, 15));
            CAPTURE(point.x);
            CAPTURE(point.y);
            CHECK(is_inside(outline, point) == (count_turns(outline, point) == 1));
            inside += is_inside(outline, point);
        }
        const Outline backwards(outline.rbegin(), outline.rend());
        CHECK(signed_area(outline) > 0);
        CHECK(signed_area(backwards) == doctest::Approx(-signed_area(outline)));
    }
    CHECK(inside > 500); // both answers were asked for
    CHECK(inside < 9500);
}

TEST_CASE("the distance to a line is that to the nearest of many points on it") {
    std::mt19937 random(6);
    for (int i = 0; i < 60; ++i) {
        const Outline line = make_star(random);
        const glm::dvec2 point = line[0] + glm::dvec2(uniform(random, -9, 9), uniform(random, -9, 9));
        for (const bool closed : {false, true}) {
            double least = HUGE_VAL, step = 0;
            for (std::size_t j = 0; j + (closed ? 0 : 1) < line.size(); ++j) {
                const glm::dvec2 way = line[(j + 1) % line.size()] - line[j];
                step = std::max(step, glm::length(way) / 1000);
                for (int s = 0; s <= 1000; ++s)
                    least = std::min(least, glm::distance(point, line[j] + way * (s / 1000.0)));
            }
            CHECK(distance_to_line(point, line, closed) <= least + 1e-12);
            CHECK(distance_to_line(point, line, closed) >= least - step);
        }
    }
    CHECK(distance_to_line({0, 0}, {}, true) == HUGE_VAL);
    CHECK(distance_to_line({3, 4}, {{0, 0}}, true) == doctest::Approx(5));
}

TEST_CASE("clipping cuts a convex outline into two parts that make up the whole") {
    std::mt19937 random(7);
    for (int i = 0; i < 100; ++i) {
        Outline circle;
        const int count = 3 + static_cast<int>(random() % 6);
        for (int j = 0; j < count; ++j)
            circle.push_back({std::cos(2 * pi * j / count), std::sin(2 * pi * j / count)});
        for (const int axis : {0, 1}) {
            const double limit = uniform(random, -0.9, 0.9);
            const Outline below = clip(circle, axis, limit, 1), above = clip(circle, axis, limit, -1);
            CHECK(signed_area(below) + signed_area(above) == doctest::Approx(signed_area(circle)));
            for (const glm::dvec2& point : below)
                CHECK(point[axis] <= limit + 1e-12);
            for (const glm::dvec2& point : above)
                CHECK(point[axis] >= limit - 1e-12);
        }
        CHECK(clip(circle, 0, 2, 1) == circle); // all of it is kept
        CHECK(clip(circle, 0, 2, -1).empty());  // none
    }
    // A triangle cut at half its height: a quarter of the area is left above.
    CHECK(signed_area(clip({{0, 0}, {4, 0}, {2, 6}}, 1, 3, -1)) == doctest::Approx(12.0 / 4));
}

TEST_CASE("paving under a line is the length that lies in its rectangle") {
    // Liang and Barsky's clip of a segment to a rectangle; what is asked steps along the line every 2 cm.
    std::mt19937 random(8);
    int crossings = 0;
    for (int i = 0; i < 200; ++i) {
        CAPTURE(i);
        Site site;
        site.ground.base = GroundKind::bed;
        site.ground.areas = {
            {.id = "drive", .kind = GroundKind::paving, .outline = {{0, 0}, {6, 0}, {6, 3}, {0, 3}}}};
        const glm::dvec2 a(uniform(random, -3, 9), uniform(random, -3, 6));
        const glm::dvec2 b(uniform(random, -3, 9), uniform(random, -3, 6));
        double enter = 0, leave = 1;
        for (const int axis : {0, 1}) {
            const double way = b[axis] - a[axis], end = axis ? 3 : 6;
            const std::array<double, 2> at{-a[axis] / way, (end - a[axis]) / way};
            enter = std::max(enter, std::min(at[0], at[1]));
            leave = std::min(leave, std::max(at[0], at[1]));
        }
        const double inside = std::max(0.0, leave - enter) * glm::distance(a, b);
        double deep = 0; // into the rectangle, where the line is farthest from its edges
        for (int step = 0; step <= 1000 && enter < leave; ++step) {
            const glm::dvec2 at = glm::mix(a, b, std::lerp(enter, leave, step / 1000.0));
            deep = std::max(deep, std::min(std::min(at.x, 6 - at.x), std::min(at.y, 3 - at.y)));
        }
        const std::vector<GroundStretch> found = find_paving(site, {a, b});
        if (inside > 0.2 && deep > 0.12) {
            REQUIRE(found.size() == 1);
            CHECK(found[0].area == "drive");
            CHECK(std::abs(found[0].length - inside) < 0.021);
            ++crossings;
        } else if (inside < 0.1 || deep < 0.05) { // under 15 cm, and at an edge, there is nothing to sleeve
            CHECK(found.empty());
        }
        // A bed laid over all of it leaves no paving; paving all round is the line's rest.
        site.ground.areas.push_back(
            {.id = "over", .kind = GroundKind::bed, .outline = {{-9, -9}, {19, -9}, {19, 19}, {-9, 19}}});
        CHECK(find_paving(site, {a, b}).empty());
        site.ground.areas.pop_back();
        site.ground.areas[0].kind = GroundKind::water;
        site.ground.base = GroundKind::paving;
        double outside = 0;
        for (const GroundStretch& one : find_paving(site, {a, b})) {
            CHECK(one.area.empty());
            outside += one.length;
        }
        // Of an end that lies just outside the rectangle nothing is told either.
        const auto is_at_edge = [](const glm::dvec2& end) {
            const double out = std::max(std::max(-end.x, end.x - 6), std::max(-end.y, end.y - 3));
            return out > 0 && out < 0.12;
        };
        if (const double rest = glm::distance(a, b) - inside; rest > 0.2 && !is_at_edge(a) && !is_at_edge(b))
            CHECK(std::abs(outside - rest) < 0.021);
    }
    CHECK(crossings > 60);
}

TEST_CASE("a cable along the edge of paving does not cross it, and one straight over a strip does") {
    Site site;
    site.ground.areas = {
        {.id = "walk", .kind = GroundKind::paving, .outline = {{0, 0}, {9, 0}, {9, 1.5}, {0, 1.5}}},
        {.id = "strip", .kind = GroundKind::paving, .outline = {{12, -9}, {12.2, -9}, {12.2, 9}, {12, 9}}}};
    // On the edge, 3 cm in, wavering over it, round the corner.
    for (const std::vector<glm::dvec2>& line : {std::vector<glm::dvec2>{{0, 0}, {9, 0}},
                                                {{-1, 1.47}, {10, 1.47}},
                                                {{0, -0.05}, {4, 0.05}, {9, -0.05}},
                                                {{0.02, -1}, {0.02, 1.48}, {9, 1.48}}})
        CHECK(find_paving(site, line).empty());
    // Along the edge and then across: what crosses is told.
    const std::vector<GroundStretch> across = find_paving(site, {{2, -0.05}, {5, 0.03}, {5, 3}});
    REQUIRE(across.size() == 1);
    CHECK(across[0].area == "walk");
    CHECK(across[0].length > 1.45);
    const std::vector<GroundStretch> over = find_paving(site, {{11, 4}, {13, 4}});
    REQUIRE(over.size() == 1);
    CHECK(over[0].area == "strip");
    CHECK(over[0].length == doctest::Approx(0.2).epsilon(0.11)); // looked at every 2 cm
    // Two pavings side by side are one to walk over: along their border the cable lies under both.
    site.ground.areas.push_back(
        {.id = "drive", .kind = GroundKind::paving, .outline = {{0, -3}, {9, -3}, {9, 0}, {0, 0}}});
    double length = 0;
    for (const GroundStretch& one : find_paving(site, {{-1, 0.01}, {10, 0.01}}))
        length += one.length;
    CHECK(length == doctest::Approx(9).epsilon(0.01));
}

TEST_CASE("places along a line, and back") {
    std::mt19937 random(9);
    for (int i = 0; i < 100; ++i) {
        CAPTURE(i);
        Outline line = make_star(random); // round a middle: no two parts of it meet
        line.pop_back();
        double length = 0;
        for (std::size_t j = 1; j < line.size(); ++j)
            length += glm::distance(line[j - 1], line[j]);
        CHECK(line_length(line) == doctest::Approx(length));
        const double along = uniform(random, 0, length);
        const glm::dvec2 point = point_along(line, along);
        Outline round = line;
        CHECK(glm::distance(point, walk(round, along)) < 1e-9);
        CHECK(nearest_along(line, point) == doctest::Approx(along).epsilon(1e-6));
        const double from = uniform(random, 0, length), to = uniform(random, from, length);
        const Outline between = line_between(line, from, to);
        CHECK(line_length(between) == doctest::Approx(to - from).epsilon(1e-6));
        if (!between.empty()) {
            CHECK(glm::distance(between.front(), point_along(line, from)) < 1e-9);
            CHECK(glm::distance(between.back(), point_along(line, to)) < 1e-9);
        }
    }
}

TEST_CASE("the plan's bounds are the extent of all that was put in") {
    std::mt19937 random(10);
    for (int i = 0; i < 50; ++i) {
        CAPTURE(i);
        Site site;
        Outline points; // of which the bounds are the least and the greatest
        site.walls = {make_wall(make_star(random))};
        points.insert(points.end(), site.walls[0].path.begin(), site.walls[0].path.end());
        const auto add_disk = [&](const glm::dvec2& at, double radius) {
            points.push_back(at + radius);
            points.push_back(at - radius);
        };
        Tree tree{.id = "t", .at = {uniform(random, -40, 40), 0}};
        tree.width = uniform(random, 1, 9);
        site.trees = {tree};
        add_disk(tree.at, tree.width / 2);
        site.shrubs = {{.id = "hedge", .path = {{0, uniform(random, -40, 40)}, {3, 3}}, .width = 1.2}};
        for (const glm::dvec2& point : site.shrubs[0].path)
            add_disk(point, 0.6);
        site.ground.areas = {{.id = "bed", .outline = make_star(random)}};
        points.insert(points.end(), site.ground.areas[0].outline.begin(), site.ground.areas[0].outline.end());
        site.fixtures = {{.id = "f", .at = glm::dvec2(uniform(random, -50, 50), uniform(random, -50, 50))}};
        site.fixtures.push_back({.id = "lost", .wall = "none"}); // stands nowhere, and does not count
        const auto [low, high] = plan_bounds(site);
        glm::dvec2 least = points[0], most = points[0];
        for (const glm::dvec2& point : points) {
            least = glm::min(least, point);
            most = glm::max(most, point);
        }
        const glm::dvec2 at = *site.fixtures[0].at; // beyond all else it counts to the next whole metre
        for (int axis = 0; axis < 2; ++axis) {
            least[axis] = at[axis] < least[axis] ? std::floor(at[axis]) : least[axis];
            most[axis] = at[axis] > most[axis] ? std::ceil(at[axis]) : most[axis];
        }
        CHECK(glm::distance(low, least) < 1e-9);
        CHECK(glm::distance(high, most) < 1e-9);
    }
    CHECK(plan_bounds(Site{}) == std::pair(glm::dvec2(0), glm::dvec2(0)));
}

TEST_CASE("what lies on top is the last area that holds the point") {
    std::mt19937 random(11);
    Ground ground;
    for (const GroundKind kind :
         {GroundKind::bed, GroundKind::paving, GroundKind::mulch, GroundKind::water, GroundKind::lawn})
        ground.areas.push_back({.id = name_of(kind), .kind = kind, .outline = make_star(random)});
    ground.base = GroundKind::mulch;
    for (int i = 0; i < 2000; ++i) {
        const glm::dvec2 point(uniform(random, -25, 25), uniform(random, -25, 25));
        GroundKind kind = ground.base;
        for (const GroundArea& area : ground.areas)
            if (count_turns(area.outline, point) != 0)
                kind = area.kind;
        CHECK(ground_kind_at(ground, point) == kind);
    }
}
