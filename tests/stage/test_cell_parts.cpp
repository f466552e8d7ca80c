// How cells are cut into parts and where a sensor stands in what is kept, against points at random; the one
// verdict on rays and facets against whole numbers.

#include "../../src/stage/cell_part.hpp"
#include "../../src/stage/facet_meeting.hpp"
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
              doctest::Approx(area_of(part)).epsilon(1e-9));
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
        CHECK(kept.area == doctest::Approx(area).epsilon(1e-9));
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
    CHECK(kept.area == doctest::Approx(0.04));
    CHECK(std::abs(kept.spot.x - 0.1) >= sensor_clearance * (1 - 1e-6));
    CHECK(std::abs(kept.spot.x - 0.1) < 2.1 * sensor_clearance);
    CHECK(kept.spot.y == doctest::Approx(0.1).epsilon(0.02));
}

TEST_CASE("a ray meets a facet where whole numbers say so") {
    // Corners, starts and ways of whole numbers: the signed volumes of ray and edges are exact in 64 bits.
    Dice dice(35);
    const auto whole = [&] {
        const auto draw = [&] { return std::floor(dice.uniform(-20, 21)); };
        const double x = draw(), y = draw();
        return glm::dvec3(x, y, draw());
    };
    const auto volume = [](const glm::dvec3& a, const glm::dvec3& b, const glm::dvec3& c) {
        const std::int64_t x = static_cast<std::int64_t>(a.y) * static_cast<std::int64_t>(b.z) -
                               static_cast<std::int64_t>(a.z) * static_cast<std::int64_t>(b.y),
                           y = static_cast<std::int64_t>(a.z) * static_cast<std::int64_t>(b.x) -
                               static_cast<std::int64_t>(a.x) * static_cast<std::int64_t>(b.z),
                           z = static_cast<std::int64_t>(a.x) * static_cast<std::int64_t>(b.y) -
                               static_cast<std::int64_t>(a.y) * static_cast<std::int64_t>(b.x);
        return x * static_cast<std::int64_t>(c.x) + y * static_cast<std::int64_t>(c.y) +
               z * static_cast<std::int64_t>(c.z);
    };
    int hits = 0, on_edge = 0;
    for (int trial = 0; trial < 40'000; ++trial) {
        const std::array<glm::dvec3, 3> corner{whole(), whole(), whole()};
        const glm::dvec3 origin = whole();
        glm::dvec3 way = whole();
        if (trial % 4 == 0) // through a corner, or the middle of an edge
            way = trial % 8 == 0 ? corner[1] - origin : corner[0] + corner[1] - 2.0 * origin;
        if (way == glm::dvec3(0))
            continue;
        std::array<std::int64_t, 3> side;
        for (int k = 0; k < 3; ++k)
            side[k] = volume(corner[k] - origin, corner[(k + 1) % 3] - origin, way);
        const std::int64_t along = side[0] + side[1] + side[2]; // the normal and the way
        const glm::dvec3 normal = glm::cross(corner[1] - corner[0], corner[2] - corner[0]);
        const double offset = glm::dot(normal, corner[0] - origin);
        const bool is_within =
            std::min({side[0], side[1], side[2]}) >= 0 || std::max({side[0], side[1], side[2]}) <= 0;
        const bool is_met = along != 0 && is_within && offset / static_cast<double>(along) >= 0.25 &&
                            offset / static_cast<double>(along) <= 8;
        std::array<float, 9> corners;
        for (int k = 0; k < 9; ++k)
            corners[static_cast<std::size_t>(k)] = static_cast<float>(corner[k / 3][k % 3]);
        const glm::vec3 from(origin), direction(way);
        FacetMeeting meeting, again;
        REQUIRE(meet_facet(corners.data(), 3, &from.x, &direction.x, 0.25, 8, meeting) == is_met);
        SeenFacet seen;
        see_facet(corners.data(), 3, &from.x, seen);
        REQUIRE(meet_facet(seen, &direction.x, 0.25, 8, again) == is_met);
        if (!is_met)
            continue;
        ++hits;
        on_edge += std::find(side.begin(), side.end(), 0) != side.end() ? 1 : 0;
        CHECK(meeting.distance == doctest::Approx(offset / static_cast<double>(along)).epsilon(1e-12));
        CHECK(again.distance == meeting.distance);
        CHECK(find_distance(seen, &direction.x) == meeting.distance);
        // The weights of the corners lead to the same place.
        const glm::dvec3 place =
            (1 - meeting.u - meeting.v) * corner[0] + meeting.u * corner[1] + meeting.v * corner[2];
        CHECK(glm::distance(place, origin + meeting.distance * way) <
              1e-9 * (1 + meeting.distance * glm::length(way)));
        float distance = 0, u = 0, v = 0;
        find_meeting(seen, &direction.x, distance, u, v);
        CHECK(distance == static_cast<float>(meeting.distance));
        CHECK(u == static_cast<float>(meeting.u));
        CHECK(v == static_cast<float>(meeting.v));
    }
    CHECK(hits > 1000);
    CHECK(on_edge > 300);
}

TEST_CASE("a leaf is met as its two halves are") {
    Dice dice(36);
    int hits = 0;
    for (int trial = 0; trial < 5000; ++trial) {
        const glm::dvec3 along = dice.direction(), centre = 2.0 * dice.direction();
        const glm::dvec3 across = 0.5 * glm::normalize(glm::cross(along, dice.direction()));
        std::array<glm::vec3, 4> corner{glm::vec3(centre + along), glm::vec3(centre + across),
                                        glm::vec3(centre - along), glm::vec3(centre - across)};
        const glm::vec3 from(4.0 * dice.direction());
        const glm::vec3 way =
            glm::vec3(centre + dice.uniform(-1, 1) * along + dice.uniform(-1, 1) * across) - from;
        FacetMeeting whole, half, other;
        const bool is_met = meet_facet(&corner[0].x, 4, &from.x, &way.x, 0, 2, whole);
        const std::array<glm::vec3, 3> first{corner[0], corner[1], corner[2]},
            second{corner[0], corner[2], corner[3]};
        const bool is_first = meet_facet(&first[0].x, 3, &from.x, &way.x, 0, 2, half);
        const bool is_second = meet_facet(&second[0].x, 3, &from.x, &way.x, 0, 2, other);
        CHECK(is_met == (is_first || is_second));
        hits += is_met ? 1 : 0;
        // Rounded corners are not quite in one plane, which shows where the ray grazes it.
        if (is_met && std::abs(glm::dot(glm::normalize(glm::cross(along, across)),
                                        glm::normalize(glm::dvec3(way)))) > 0.1)
            CHECK(whole.distance == doctest::Approx(is_first ? half.distance : other.distance).epsilon(1e-5));
    }
    CHECK(hits > 1000); // |a| + |b| <= 1: half of them
}
