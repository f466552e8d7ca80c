// How cells are cut into parts and where a sensor stands in what is kept, against points at random.

#include "../../src/stage/cell_part.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

double area_of(const ConvexPart& part) {
    double sum = 0;
    for (std::size_t i = 0, j = part.size() - 1; i < part.size(); j = i++)
        sum += (part[j].x * part[i].y - part[i].x * part[j].y) / 2;
    return sum;
}

double left_of(const PlaneLine& line, const glm::dvec2& point) {
    const glm::dvec2 way = line.to - line.from, off = point - line.from;
    return way.x * off.y - way.y * off.x;
}

/// How far inside of all edges; below 0 outside.
double depth_in(const ConvexPart& part, const glm::dvec2& point) {
    double least = 1e9;
    for (std::size_t i = 0; i < part.size(); ++i) {
        const PlaneLine edge{part[i], part[(i + 1) % part.size()]};
        const double length = glm::distance(edge.from, edge.to);
        if (length > 1e-9) // of a triangle given as four corners one edge is rounding
            least = std::min(least, left_of(edge, point) / length);
    }
    return least;
}

double distance_to(const PlaneLine& line, const glm::dvec2& point) {
    const glm::dvec2 way = line.to - line.from;
    const double square = glm::dot(way, way);
    const double share = square > 0 ? std::clamp(glm::dot(point - line.from, way) / square, 0.0, 1.0) : 0;
    return glm::distance(point, line.from + share * way);
}

glm::dvec2 draw_point(Dice& dice, double low, double high) {
    const double x = dice.uniform(low, high);
    return {x, dice.uniform(low, high)};
}

} // namespace

TEST_CASE("edges part a rectangle: every point is in one part, and no edge runs through a part") {
    Dice dice(31);
    for (int trial = 0; trial < 120; ++trial) {
        CAPTURE(trial);
        std::vector<PlaneLine> edges;
        for (int i = 0; i < trial % 7; ++i)
            edges.push_back({draw_point(dice, -0.5, 2.5), draw_point(dice, -0.5, 2.5)});
        if (trial % 3 == 0) { // upright, level, and one that is there twice
            edges.push_back({{0.7, -1}, {0.7, 1.5}});
            edges.push_back({{0.3, 1.1}, {3, 1.1}});
            edges.push_back(edges.front());
        }
        const std::vector<ConvexPart> parts = cut_rectangle({0, 0}, {2, 1.5}, edges);
        double area = 0;
        for (const ConvexPart& part : parts) {
            CHECK(area_of(part) > 0);
            area += area_of(part);
        }
        CHECK(area == doctest::Approx(3).epsilon(1e-9));
        for (int i = 0; i < 60; ++i) {
            const glm::dvec2 point(dice.uniform(0, 2), dice.uniform(0, 1.5));
            int times = 0;
            bool is_near_edge = false;
            for (const ConvexPart& part : parts) {
                times += depth_in(part, point) > 0 ? 1 : 0;
                is_near_edge = is_near_edge || std::abs(depth_in(part, point)) < 1e-9;
            }
            if (!is_near_edge)
                CHECK(times == 1);
        }
        // Points of an edge are inside of no part, whether or not it ends within the rectangle.
        for (const PlaneLine& edge : edges)
            for (int i = 0; i < 12; ++i) {
                const glm::dvec2 on = edge.from + dice.uniform() * (edge.to - edge.from);
                for (const ConvexPart& part : parts)
                    CHECK(depth_in(part, on) < 1e-7);
            }
    }
}

TEST_CASE("what is kept on both sides of a line is the whole") {
    Dice dice(32);
    for (int trial = 0; trial < 200; ++trial) {
        ConvexPart part;
        for (int i = 0; i < 3 + trial % 5; ++i) {
            const double angle = 2 * pi * (i + dice.uniform(0.1, 0.9)) / (3 + trial % 5);
            part.emplace_back(std::cos(angle), std::sin(angle));
        }
        const PlaneLine line{draw_point(dice, -1, 1), draw_point(dice, -1, 1)};
        const ConvexPart left = keep_left(part, line), right = keep_left(part, {line.to, line.from});
        CHECK((left.size() > 2 ? area_of(left) : 0) + (right.size() > 2 ? area_of(right) : 0) ==
              doctest::Approx(area_of(part)).epsilon(1e-9).scale(0));
        for (int i = 0; i < 20; ++i) {
            const glm::dvec2 point = draw_point(dice, -1, 1);
            if (std::abs(left_of(line, point)) < 1e-9 || std::abs(depth_in(part, point)) < 1e-9)
                continue;
            const bool is_left = depth_in(part, point) > 0 && left_of(line, point) > 0;
            CHECK((left.size() > 2 && depth_in(left, point) > 0) == is_left);
        }
    }
}

TEST_CASE("lines of facets in a plane are found within a sensor's clearance, and no others") {
    // Brute force: each triangle's own cut with the plane of the rays, half a millimetre's clearance round
    // it.
    Dice dice(33);
    Triangles opaque, cutouts;
    const PlaneFrame frame{{3, -1, 0.5}, {0.6, 0.8, 0}, {0, 0, 1}};
    std::vector<PlaneLine> lines;
    for (int i = 0; i < 300; ++i) {
        Triangles& into = i % 3 == 0 ? cutouts : opaque;
        const auto first = static_cast<unsigned>(into.vertices.size());
        const glm::dvec3 middle =
            frame.at(draw_point(dice, 0, 2)) + 0.1 * dice.uniform(-1, 1) * frame.normal();
        std::array<glm::dvec3, 3> corner;
        for (glm::dvec3& one : corner) {
            one = glm::dvec3(glm::vec3(middle + 0.4 * dice.uniform() * dice.direction()));
            into.vertices.emplace_back(one);
        }
        into.add({first, first + 1, first + 2}, 0, 0, false);
        std::vector<glm::dvec2> ends;
        for (int k = 0; k < 3; ++k) {
            const auto height = [&](const glm::dvec3& point) {
                return glm::dot(point - frame.origin, frame.normal()) - static_cast<double>(surface_offset);
            };
            const glm::dvec3 &a = corner[k], &b = corner[(k + 1) % 3];
            if ((height(a) < 0) == (height(b) < 0))
                continue;
            const glm::dvec3 at = a + height(a) / (height(a) - height(b)) * (b - a) - frame.origin;
            ends.emplace_back(glm::dot(at, frame.u), glm::dot(at, frame.v));
        }
        if (ends.size() == 2)
            lines.push_back({ends[0], ends[1]});
    }
    REQUIRE(lines.size() > 50);
    const FacetLines found(opaque, cutouts, frame, {0, 0}, {2, 2});
    int near = 0;
    for (int i = 0; i < 4000; ++i) {
        glm::dvec2 point = draw_point(dice, 0, 2);
        if (i % 2 == 0) { // beside a line
            const PlaneLine& line = lines[static_cast<std::size_t>(i / 2) % lines.size()];
            point = line.from + dice.uniform() * (line.to - line.from) + draw_point(dice, -8e-4, 8e-4);
            if (glm::any(glm::lessThan(point, glm::dvec2(0))) ||
                glm::any(glm::greaterThan(point, glm::dvec2(2))))
                continue;
        }
        double least = 1e9;
        for (const PlaneLine& line : lines)
            least = std::min(least, distance_to(line, point));
        if (std::abs(least - sensor_clearance) < 1e-5)
            continue;
        const PlaneLine* line = found.find_near(point);
        CHECK((line != nullptr) == (least < sensor_clearance));
        if (line != nullptr)
            CHECK(distance_to(*line, point) < sensor_clearance);
        near += line != nullptr ? 1 : 0;
    }
    CHECK(near > 500);
    CHECK(FacetLines().find_near({0, 0}) == nullptr);
}

TEST_CASE("a sensor stands in what is kept of its cell, as near to its middle as may be") {
    Dice dice(34);
    for (int trial = 0; trial < 150; ++trial) {
        std::vector<PlaneLine> edges;
        for (int i = 0; i < 1 + trial % 4; ++i)
            edges.push_back({draw_point(dice, -0.1, 0.3), draw_point(dice, -0.1, 0.3)});
        std::vector<ConvexPart> parts = cut_rectangle({0, 0}, {0.2, 0.2}, edges);
        std::erase_if(parts, [&](const ConvexPart&) { return dice.uniform() < 0.4; });
        double area = 0;
        glm::dvec2 middle(0);
        for (const ConvexPart& part : parts) {
            glm::dvec2 centre(0);
            for (std::size_t i = 0, j = part.size() - 1; i < part.size(); j = i++)
                centre += (part[j] + part[i]) * (part[j].x * part[i].y - part[i].x * part[j].y) / 6.0;
            area += area_of(part);
            middle += centre;
        }
        const KeptCell kept = find_kept(parts, {});
        CHECK(std::abs(kept.area - area) < 1e-12);
        if (kept.is_narrow)
            continue;
        middle /= area;
        double best = -1, nearest = 1e9;
        for (const ConvexPart& part : parts)
            best = std::max(best, depth_in(part, kept.spot));
        CHECK(best > sensor_clearance * (1 - 1e-6));
        for (int i = 0; i < 300; ++i) { // no place that is as clear is nearer
            const glm::dvec2 point = draw_point(dice, 0, 0.2);
            for (const ConvexPart& part : parts)
                if (depth_in(part, point) >= sensor_clearance)
                    nearest = std::min(nearest, glm::distance(point, middle));
        }
        CHECK(glm::distance(kept.spot, middle) <= nearest + 1e-6);
    }
    CHECK(find_kept({}, {}).area == 0);
    CHECK(find_kept({}, {}).is_narrow);
    // Less than a millimetre wide there is no room.
    CHECK(find_kept({{{0, 0}, {0.2, 0}, {0.2, 9e-4}, {0, 9e-4}}}, {}).is_narrow);
    CHECK(!find_kept({{{0, 0}, {0.2, 0}, {0.2, 1.1e-3}, {0, 1.1e-3}}}, {}).is_narrow);
}

TEST_CASE("a sensor steps aside where a facet passes through the middle of its cell") {
    // A fin across the middle: the sensor stands just beside it.
    Triangles fin, none;
    fin.vertices = {{0.1f, -1, -1}, {0.1f, 1, -1}, {0.1f, 0, 2}};
    fin.add({0, 1, 2}, 0, 0, false);
    const FacetLines lines(fin, none, PlaneFrame{}, {0, 0}, {0.2, 0.2});
    const KeptCell kept = find_kept({{{0, 0}, {0.2, 0}, {0.2, 0.2}, {0, 0.2}}}, lines);
    CHECK(!kept.is_narrow);
    CHECK(kept.area == doctest::Approx(0.04).scale(0));
    CHECK(std::abs(kept.spot.x - 0.1) >= sensor_clearance * (1 - 1e-6));
    CHECK(std::abs(kept.spot.x - 0.1) < 2.1 * sensor_clearance);
    CHECK(kept.spot.y == doctest::Approx(0.1).epsilon(0.02).scale(0));
}
