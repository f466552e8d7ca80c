// Nearest hits in many directions from one point, against every ray traced by itself and a loop in double
// precision.

#include "../thread_limit.hpp"
#include "garden.hpp"

#include "duskcast/base/random.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

bool is_same_hit(const Hit& a, const Hit& b) {
    return a.kind == b.kind && a.facet == b.facet && a.distance == b.distance && a.u == b.u && a.v == b.v &&
           a.normal == b.normal;
}

/// All round, of length 1.
std::vector<glm::vec3> make_sphere(int count) {
    std::vector<glm::vec3> made;
    for (int i = 0; i < count; ++i)
        made.push_back(spherical_fibonacci(i, count));
    return made;
}

/// A picture's, across several sides of the cube map, of differing lengths.
std::vector<glm::vec3> make_picture(const glm::vec3& ahead) {
    const glm::vec3 right = glm::normalize(glm::cross(ahead, glm::vec3(0.1f, 0, 1)));
    const glm::vec3 up = glm::cross(right, ahead);
    std::vector<glm::vec3> made;
    for (int y = -30; y < 30; ++y)
        for (int x = -40; x < 40; ++x)
            made.push_back(ahead + 0.03f * static_cast<float>(x) * right +
                           0.03f * static_cast<float>(y) * up);
    return made;
}

/// Exactly at corners and middles of edges, and along axes.
std::vector<glm::vec3> make_aimed(const FacetSoup& soup, const glm::vec3& origin) {
    std::vector<glm::vec3> made;
    for (const Triangles* triangles : {&soup.opaque, &soup.cutouts})
        for (const glm::uvec3& corner : triangles->corners)
            for (int k = 0; k < 3; ++k) {
                const glm::vec3 a = triangles->vertices[corner[k]],
                                b = triangles->vertices[corner[(k + 1) % 3]];
                made.insert(made.end(), {a - origin, 0.5f * (a + b) - origin});
            }
    for (std::size_t i = 0; i < soup.leaves.corners.size(); i += 7)
        made.push_back(soup.leaves.corners[i] - origin);
    for (int axis = 0; axis < 3; ++axis)
        for (const float length : {-2.0f, 1.0f})
            made.push_back(length * glm::vec3(axis == 0, axis == 1, axis == 2));
    std::erase(made, glm::vec3(0));
    return made;
}

/// Every direction's hit must be the one of a single ray, with all instructions; the number of hits.
int check_hits(const FacetSoup& soup, const glm::vec3& origin, const std::vector<glm::vec3>& directions,
               float near_end, float far_end) {
    const DirectionGrid grid(directions);
    CHECK(grid.size() == directions.size());
    std::vector<Hit> singly;
    int met = 0;
    for (const Instructions instructions : find_instructions()) {
        const FacetTree tree(soup.opaque, soup.cutouts, soup.leaves, soup.materials, soup.textures,
                             instructions);
        std::vector<Hit> hits(directions.size());
        tree.find_hits(origin, grid, near_end, far_end, hits);
        int wrong = 0;
        for (std::size_t i = 0; i < directions.size(); ++i) {
            if (singly.size() == i) {
                REQUIRE(grid.direction(i) == directions[grid.order()[i]]);
                singly.push_back(tree.find_hit(origin, grid.direction(i), near_end, far_end));
                met += static_cast<bool>(singly[i]);
            }
            wrong += !is_same_hit(hits[i], singly[i]);
        }
        CHECK(wrong == 0);
    }
    return met;
}

} // namespace

TEST_CASE("many directions from one point meet what single rays meet, wherever the point is") {
    const FacetSoup soup = make_garden(4000);
    const auto check = [&](const glm::vec3& origin) {
        CHECK(check_hits(soup, origin, make_sphere(20'000), 1e-4f, 1e5f) > 2000);
        check_hits(soup, origin, make_picture({1, 0.4f, 0.1f}), 0, 1e5f);
        check_hits(soup, origin, make_picture({0.6f, 0.6f, -0.6f}), 0.5f, 9);
        check_hits(soup, origin, make_aimed(soup, origin), 1e-4f, 1e5f);
    };
    SUBCASE("above the ground before the crown") {
        check({47.3f, -34.1f, 0.15f});
    }
    SUBCASE("a fifth of a millimetre above the ground") {
        check({48.9f, -28.2f, 2e-4f});
    }
    SUBCASE("in the plane of the ground") {
        check({48.9f, -28.2f, 0});
    }
    SUBCASE("on the wall") {
        check({48, -24.5065f, 1.2f});
    }
    SUBCASE("at a corner of the fence") {
        check({46, -33, 2});
    }
    SUBCASE("inside the crown") {
        check({50.6f, -30.2f, 5.4f});
    }
    SUBCASE("inside the trunk") {
        check({50.1f, -30.05f, 1.5f});
    }
    SUBCASE("far away") {
        check({-350, 420, 60});
    }
}

TEST_CASE("many directions from one point meet what a loop in double precision meets") {
    // Source: Moeller and Trumbore 1997.
    const FacetSoup soup = make_garden(600);
    const FacetReferee referee(soup.opaque, soup.cutouts, soup.leaves, soup.materials, soup.textures);
    const FacetTree tree(soup.opaque, soup.cutouts, soup.leaves, soup.materials, soup.textures);
    const glm::vec3 origin{47.3f, -34.1f, 1.6f};
    const std::vector<glm::vec3> directions = make_sphere(20'000);
    std::vector<Hit> hits(directions.size());
    const DirectionGrid grid(directions);
    tree.find_hits(origin, grid, 1e-4f, 1e4f, hits);
    int differing = 0, unexplained = 0;
    for (std::size_t i = 0; i < directions.size(); ++i) {
        const RefereeVerdict truth =
            referee.judge(glm::dvec3(origin), glm::dvec3(grid.direction(i)), 1e-4, 1e4);
        const bool is_right =
            static_cast<bool>(hits[i]) == truth.is_hit &&
            (!truth.is_hit || std::abs(hits[i].distance - truth.distance) < 1e-6 * (1 + truth.distance));
        differing += !is_right;
        unexplained += !is_right && !truth.is_doubtful();
    }
    CHECK(unexplained == 0);
    CHECK(differing <= 1);
}

TEST_CASE("facets at one distance, none, and few directions") {
    FacetSoup soup;
    CHECK(check_hits(soup, {0, 0, 0}, make_sphere(100), 0, 1e5f) == 0);
    for (int i = 0; i < 20; ++i) { // the first of them, whatever the order
        soup.add_triangle({-1, -1, 1}, {3, -1, 1}, {-1, 3, 1});
        soup.add_leaf({0, 0, 1}, {0.5f, 0, 0}, {0, 0.5f, 0});
    }
    CHECK(check_hits(soup, {0, 0, 0}, make_sphere(500), 0, 1e5f) > 50);
    for (const int count : {0, 1, 2, 9}) {
        const std::vector<glm::vec3> directions(static_cast<std::size_t>(count), glm::vec3(0.1f, 0.1f, 1));
        CHECK(check_hits(soup, {0, 0, 0}, directions, 0, 1e5f) == count);
    }
    CHECK(check_hits(soup, {0, 0, 0}, make_sphere(500), 0, 0.9f) == 0);
    CHECK(check_hits(soup, {0, 0, 0}, make_sphere(500), 4, 1e5f) == 0);
}

TEST_CASE("hits in many directions do not depend on the number of threads") {
    const FacetSoup soup = make_garden(2000);
    const FacetTree tree(soup.opaque, soup.cutouts, soup.leaves, soup.materials, soup.textures);
    const DirectionGrid grid(make_sphere(60'000));
    std::vector<Hit> first;
    for (const std::size_t threads : {1u, 2u, 5u}) {
        const ThreadLimit limit(threads);
        std::vector<Hit> hits(grid.size());
        tree.find_hits({47.3f, -34.1f, 0.15f}, grid, 1e-4f, 1e5f, hits);
        if (first.empty())
            first = hits;
        CHECK(std::equal(hits.begin(), hits.end(), first.begin(), is_same_hit));
    }
}
