// The search tree's rays against a loop in double precision, against the other instruction sets, and against
// leaks.

#include "facet_referee.hpp"

#include <array>
#include <cstdlib>
#include <memory>
#include <set>

using namespace duskcast;
using namespace duskcast::test;

namespace {

glm::vec3 random_point(Dice& dice, double reach) {
    // Braces: the numbers are drawn from left to right with every compiler.
    return glm::dvec3{dice.uniform(-reach, reach), dice.uniform(-reach, reach), dice.uniform(-reach, reach)};
}

/// Leaves, triangles of a hand's size to a house's, slivers, cut-outs and facets along the axes.
FacetSoup make_soup(std::uint64_t seed, int leaves) {
    FacetSoup soup;
    soup.add_chequered_material();
    Dice dice(seed);
    for (int i = 0; i < leaves; ++i) {
        const glm::dvec3 along = dice.direction();
        const glm::dvec3 across = glm::normalize(glm::cross(along, dice.direction()));
        soup.add_leaf(random_point(dice, 4), glm::vec3(0.3 * along), glm::vec3(0.2 * across));
    }
    for (int i = 0; i < leaves / 4; ++i) {
        const glm::vec3 at = random_point(dice, 4);
        const double size = std::exp(dice.uniform(-2, 1));
        const auto draw_corner = [&] { return at + glm::vec3(size * dice.direction()); };
        const std::array<glm::vec3, 4> corners{draw_corner(), draw_corner(), draw_corner(), draw_corner()};
        soup.add_triangle(at, corners[0], corners[1]);
        soup.add_cutout(at, corners[2], corners[3]);
        // 10 m long and a few millimetres wide: from near its line its edges' planes are nearly parallel.
        const glm::dvec3 along = dice.direction();
        soup.add_triangle(at, at + glm::vec3(10.0 * along),
                          at + glm::vec3(9.0 * along + 0.004 * dice.direction()));
        const float x = std::floor(at.x), y = std::floor(at.y);
        soup.add_triangle({x, y, -1}, {x + 1, y, -1}, {x + 1, y + 1, -1});
        soup.add_triangle({x, y, -1}, {x + 1, y + 1, -1}, {x, y + 1, -1});
    }
    return soup;
}

std::unique_ptr<FacetTree> make_tree(const FacetSoup& soup, Instructions instructions) {
    return std::make_unique<FacetTree>(soup.opaque, soup.cutouts, soup.leaves, soup.materials, soup.textures,
                                       instructions);
}

bool is_same(const Hit& a, const Hit& b) {
    return a.kind == b.kind && a.facet == b.facet && a.distance == b.distance && a.u == b.u && a.v == b.v &&
           a.normal == b.normal;
}

bool is_long() {
    return std::getenv("DUSKCAST_LONG_TESTS") != nullptr;
}

} // namespace

TEST_CASE("the tree's rays give the verdicts of a loop in double precision, with all instructions alike") {
    // Source: Moeller and Trumbore 1997. Half of the rays run along an axis or within an axis' plane.
    const FacetSoup soup = make_soup(1, 600);
    const FacetReferee referee(soup.opaque, soup.cutouts, soup.leaves, soup.materials, soup.textures);
    std::vector<std::unique_ptr<FacetTree>> trees;
    for (const Instructions instructions : find_instructions())
        trees.push_back(make_tree(soup, instructions));
    Dice dice(2);
    int occluded = 0, differing = 0, unexplained = 0, unlike = 0, torn = 0;
    const int count = is_long() ? 2'000'000 : 20'000;
    for (int i = 0; i < count; ++i) {
        Ray ray;
        ray.origin = random_point(dice, 5);
        ray.direction = i % 3 == 0 ? glm::vec3(0) : glm::vec3(dice.uniform(0.3, 4) * dice.direction());
        if (i % 3 == 0)
            ray.direction[i % 9 / 3] = i % 2 ? 1.0f : -2.0f;
        if (i % 6 == 1)
            ray.direction[i % 5 % 3] = 0;
        ray.near_end = i % 2 ? 0.0f : 1e-3f;
        ray.far_end = static_cast<float>(dice.uniform(0.5, 8));
        const RefereeVerdict truth =
            referee.judge(glm::dvec3(ray.origin), glm::dvec3(ray.direction), ray.near_end, ray.far_end);
        const bool is_occluded = trees.front()->is_occluded(ray);
        const Hit hit = trees.front()->find_hit(ray.origin, ray.direction, ray.near_end, ray.far_end);
        occluded += is_occluded;
        torn += is_occluded != static_cast<bool>(hit);
        // The corners of a leaf, rounded to floats, lie in one plane to about a micrometre, and the referee's
        // two halves of it are as far apart for a ray that comes at a right angle.
        const double warp =
            hit.kind != FacetKind::leaf
                ? 0
                : 1e-6 / std::abs(glm::dot(glm::dvec3(hit.normal), glm::dvec3(ray.direction)));
        const bool is_right =
            is_occluded == truth.is_hit &&
            (!hit || std::abs(hit.distance - truth.distance) < 1e-6 * (1 + truth.distance) + warp);
        differing += !is_right;
        unexplained += !is_right && !truth.is_doubtful();
        for (const auto& tree : trees)
            unlike += tree->is_occluded(ray) != is_occluded ||
                      !is_same(tree->find_hit(ray.origin, ray.direction, ray.near_end, ray.far_end), hit);
    }
    CHECK(occluded > count / 5);
    CHECK(occluded < count * 4 / 5);
    CHECK(torn == 0);
    CHECK(unexplained == 0);
    CHECK(differing <= count / 100'000 + 1);
    CHECK(unlike == 0);
}

TEST_CASE("leaves of four corners that are no parallelogram are met up to their edges") {
    // Against a loop in double precision. Kites, whose tips lie where no rhomb has them, 80 m from the
    // origin, where floats are 8 micrometres apart.
    FacetSoup soup;
    Dice dice(7);
    const glm::vec3 far(55, -52, 24);
    for (int i = 0; i < 400; ++i) {
        const glm::dvec3 along = dice.direction();
        const glm::dvec3 across = glm::normalize(glm::cross(along, dice.direction()));
        soup.add_leaf(far + random_point(dice, 3), glm::vec3(0.3 * along), glm::vec3(0.2 * across));
        soup.leaves.corners[4 * i + 2] += glm::vec3(dice.uniform(-0.2, 0.4) * along);
    }
    const FacetReferee referee(soup.opaque, soup.cutouts, soup.leaves, soup.materials, soup.textures);
    for (const Instructions instructions : find_instructions()) {
        const std::unique_ptr<FacetTree> tree = make_tree(soup, instructions);
        constexpr int count = 5'000;
        int hits = 0, unexplained = 0;
        for (int i = 0; i < count; ++i) {
            const glm::vec3 origin = far + random_point(dice, 4), way(dice.direction());
            const RefereeVerdict truth = referee.judge(glm::dvec3(origin), glm::dvec3(way), 0, 9);
            Ray ray;
            ray.origin = origin;
            ray.direction = way;
            ray.far_end = 9;
            const auto is_hit = static_cast<bool>(tree->find_hit(origin, way, 0, 9));
            hits += is_hit;
            unexplained +=
                (is_hit != truth.is_hit || tree->is_occluded(ray) != truth.is_hit) && !truth.is_doubtful();
        }
        CHECK(hits > count / 8);
        CHECK(hits < count / 2);
        CHECK(unexplained == 0);
    }
}

TEST_CASE("what stopped the ray before changes no verdict of the next") {
    // Against a loop in double precision. Rays from one point run close to each other, as a sensor's do, so
    // that the block that stopped one is often in the way of the next, and often no longer.
    const FacetSoup soup = make_soup(5, 600);
    const FacetReferee referee(soup.opaque, soup.cutouts, soup.leaves, soup.materials, soup.textures);
    Dice dice(6);
    constexpr int runs = 40, run = 64;
    std::vector<Ray> rays;
    for (int i = 0; i < runs; ++i) {
        const glm::vec3 origin = random_point(dice, 5), middle(2.0 * dice.direction());
        for (int k = 0; k < run; ++k)
            rays.push_back(make_ray(origin, origin + middle + random_point(dice, 0.3), 1));
    }
    std::vector<RefereeVerdict> truth;
    for (const Ray& ray : rays)
        truth.push_back(
            referee.judge(glm::dvec3(ray.origin), glm::dvec3(ray.direction), ray.near_end, ray.far_end));
    for (const Instructions instructions : find_instructions()) {
        const std::unique_ptr<FacetTree> tree = make_tree(soup, instructions);
        std::vector<Ray> traced = rays;
        int occluded = 0, changes = 0, unexplained = 0;
        for (int i = 0; i < runs; ++i)
            tree->find_occluded(std::span(traced).subspan(i * run, run));
        for (std::size_t i = 0; i < rays.size(); ++i) {
            occluded += traced[i].is_occluded();
            changes += i % run > 0 && traced[i].is_occluded() != traced[i - 1].is_occluded();
            unexplained += traced[i].is_occluded() != truth[i].is_hit && !truth[i].is_doubtful();
        }
        CHECK(occluded > runs * run / 6);
        CHECK(occluded < runs * run * 5 / 6);
        CHECK(changes > runs);
        CHECK(unexplained == 0);
    }
}

TEST_CASE("no ray leaks through shared edges and vertices, whatever it is traced with") {
    // A ball of triangles whose corners are no round numbers; every ray from inside is aimed at an edge or a
    // vertex.
    FacetSoup soup;
    Dice dice(3);
    constexpr int rings = 24, sectors = 32;
    const auto corner = [&](int ring, int sector) {
        const double polar = pi * ring / rings, turn = 2 * pi * (sector % sectors) / sectors + 0.1234;
        const double radius = 7.3 + 1.1 * std::sin(3 * polar) * std::cos(2 * turn);
        const double flat = ring % rings == 0 ? 0 : radius * std::sin(polar);
        return glm::vec3(101.7 + flat * std::cos(turn), -53.2 + flat * std::sin(turn),
                         9.4 + radius * std::cos(polar));
    };
    std::vector<std::array<glm::vec3, 2>> edges;
    for (int ring = 0; ring < rings; ++ring)
        for (int sector = 0; sector < sectors; ++sector) {
            const glm::vec3 a = corner(ring, sector), b = corner(ring + 1, sector),
                            c = corner(ring + 1, sector + 1), d = corner(ring, sector + 1);
            if (ring > 0)
                soup.add_triangle(a, b, d);
            if (ring + 1 < rings)
                soup.add_triangle(b, c, d);
            edges.insert(edges.end(), {{a, b}, {b, d}, {a, d}});
        }
    for (const Instructions instructions : find_instructions()) {
        const auto tree = make_tree(soup, instructions);
        const int count = is_long() ? 100'000'000 : 300'000;
        int leaks = 0, missed = 0;
        for (int i = 0; i < count; ++i) {
            const std::array<glm::vec3, 2>& edge =
                edges[static_cast<std::size_t>(dice.uniform() * edges.size())];
            const auto share = static_cast<float>(i % 2 ? 0.0 : dice.uniform());
            Ray ray;
            ray.origin = glm::vec3(101.7, -53.2, 9.4) + random_point(dice, 2.5);
            ray.direction = (edge[0] + share * (edge[1] - edge[0])) - ray.origin;
            ray.far_end = 4;
            leaks += !tree->is_occluded(ray);
            if (i % 8 == 0)
                missed += !tree->find_hit(ray.origin, ray.direction, 0, 4);
        }
        CHECK(leaks == 0);
        CHECK(missed == 0);
    }
}

TEST_CASE("a stage beyond 32 bits is refused with the number that fits") {
    check_facet_count(1'000'000, 5'000'000);
    if constexpr (sizeof(std::size_t) > 4) { // elsewhere memory ends first
        check_facet_count(1'000'000, 10'000'000);
        CHECK(problems_of([] { check_facet_count(300'000'000, 0); }).find("at most 268435456 fit") !=
              std::string::npos);
        CHECK(problems_of([] { check_facet_count(0, 300'000'000); }).find("at most 268435456 fit") !=
              std::string::npos);
    }
    // In a tab: 2 GB. What the message names fits, and one more does not.
    constexpr std::size_t tab = std::size_t{1} << 31;
    const std::string problem = problems_of([] { check_facet_count(1000, 50'000'000, tab); });
    const std::size_t at = problem.find("at most ");
    REQUIRE(at != std::string::npos);
    const std::size_t most = std::stoull(problem.substr(at + 8));
    CHECK(most > 1'000'000);
    check_facet_count(1000, most, tab);
    CHECK_THROWS_AS(check_facet_count(1000, most + 1, tab), InputError);
}

TEST_CASE("many facets in one place, none, and one are all trees") {
    FacetSoup soup;
    const auto check = [&](bool is_blocked) {
        const auto tree = make_tree(soup, find_instructions().back());
        Ray ray;
        ray.origin = {0.2f, 0.2f, -1};
        ray.far_end = 2;
        CHECK(tree->is_occluded(ray) == is_blocked);
        CHECK(static_cast<bool>(tree->find_hit(ray.origin, ray.direction, 0, 2)) == is_blocked);
    };
    check(false);
    soup.add_triangle({0, 0, 0}, {1, 0, 0}, {0, 1, 0});
    check(true);
    for (int i = 0; i < 5000; ++i) // no split tells them apart
        soup.add_triangle({0, 0, 0}, {1, 0, 0}, {0, 1, 0});
    check(true);
    const auto tree = make_tree(soup, find_instructions().back());
    CHECK(tree->find_hit({0.2f, 0.2f, -1}, {0, 0, 1}, 0, 2).facet == 0);
}

TEST_CASE("facets that differ in height by less than any float can divide by are a tree") {
    FacetSoup soup;
    for (int i = 0; i < 40; ++i) {
        const auto x = static_cast<float>(i);
        const float z = i % 2 == 0 ? 0 : 1e-40f; // as rounding leaves a level plane
        soup.add_triangle({x, 0, z}, {x + 1, 0, z}, {x, 1, z});
    }
    const auto tree = make_tree(soup, find_instructions().back());
    for (std::uint32_t i = 0; i < 40; ++i)
        CHECK(tree->find_hit({static_cast<float>(i) + 0.2f, 0.2f, -1}, {0, 0, 1}, 0, 2).facet == i);
}
