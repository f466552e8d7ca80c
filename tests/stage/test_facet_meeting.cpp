// The one verdict on a ray and a facet, against whole numbers.

#include "../../src/stage/facet_meeting.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

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
        CHECK(meeting.distance ==
              doctest::Approx(offset / static_cast<double>(along)).epsilon(1e-12).scale(0));
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
            CHECK(whole.distance ==
                  doctest::Approx(is_first ? half.distance : other.distance).epsilon(1e-5).scale(0));
    }
    CHECK(hits > 1000); // |a| + |b| <= 1: half of them
}
