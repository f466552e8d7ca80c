// Areas, volumes and bodies of random shapes against plane geometry and sampling.

#include <cmath>

#include "../../src/stage/builder.hpp"
#include "duskcast/stage/foliage.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE("the volume of every form of crown is what a box of random points finds inside it") {
    // Sampling: a share p of n points has the standard error sqrt(p (1 - p) / n); within four of them.
    Dice dice(31);
    for (const CrownForm form : {CrownForm::round, CrownForm::oval, CrownForm::column, CrownForm::cone,
                                 CrownForm::vase, CrownForm::spreading, CrownForm::weeping}) {
        CAPTURE(static_cast<int>(form));
        Tree tree;
        tree.at = {3, -2};
        tree.foot = 0.4;
        tree.form = form;
        tree.height = 8;
        tree.base = 2;
        tree.width = 5;
        const LeafSpace space = make_leaf_space(tree);
        constexpr int points = 40'000;
        int inside = 0;
        double widest = 0;
        for (int i = 0; i < points; ++i) {
            const glm::dvec3 at{dice.uniform(space.low.x, space.high.x),
                                dice.uniform(space.low.y, space.high.y),
                                dice.uniform(space.low.z, space.high.z)};
            if (!space.contains(at))
                continue;
            ++inside;
            widest = std::max(widest, glm::distance(glm::dvec2(at), tree.at));
        }
        const glm::dvec3 size = space.high - space.low;
        const double box = size.x * size.y * size.z, share = static_cast<double>(inside) / points;
        CHECK(std::abs(share * box - space.volume) < 4 * box * std::sqrt(share * (1 - share) / points));
        CHECK(widest <= 2.5 + 1e-9);
        CHECK(widest > 2.2);
        CHECK(space.low.z >= 2.4 - 1e-9);
        CHECK(space.high.z <= 8.4 + 1e-9);
    }
}

TEST_CASE("walls of random gables and openings have the area of their polygons") {
    // Rectangle + triangles of the gables - openings; panes as large as the openings.
    Dice dice(32);
    for (int round = 0; round < 12; ++round) {
        const double length = dice.uniform(6, 14), height = dice.uniform(2.5, 5);
        Site site = make_wall_site({{1, 2}, {1 + length, 2}}, false, height);
        site.sensor_spacing = 0.3;
        site.ground_spacing = 2;
        Wall& wall = site.walls[0];
        double area = length * height;
        const double width = dice.uniform(2, length / 2), peak = height + dice.uniform(0.5, 3);
        wall.gables.push_back({"gable", dice.uniform(0, length - width), width, peak});
        area += width * (peak - height) / 2;
        double panes = 0;
        for (int i = 0; i < 2; ++i) {
            const double cell = length / 2, open = dice.uniform(0.5, cell - 0.6);
            const double high = dice.uniform(0.4, height - 1);
            wall.openings.push_back(make_opening("o" + std::to_string(i),
                                                 i * cell + dice.uniform(0.2, cell - open - 0.2), open,
                                                 dice.uniform(0.3, height - high - 0.2), high));
            panes += open * high;
        }
        const std::unique_ptr<Stage> stage = build_stage(site, {});
        const Surface& surface = surface_named(*stage, "house");
        CHECK(surface.area == doctest::Approx(area - panes).epsilon(1e-6));
        double drawn =
            0; // the facets above ground, without panes and reveals, that face south in the wall's plane
        for (const auto& corner :
             pick_triangles(*stage, [](const Surface& of) { return of.id == "house"; })) {
            const glm::dvec3 a(corner[0]), b(corner[1]), c(corner[2]);
            if (std::abs(a.y - 2) + std::abs(b.y - 2) + std::abs(c.y - 2) < 1e-5)
                drawn += glm::length(glm::cross(b - a, c - a)) / 2;
        }
        CHECK(drawn >= area - panes - 1e-3);
        CHECK(drawn <= area - panes + 0.5 * length); // what stands in the ground
    }
}

TEST_CASE("an upright surface is unfolded along its run, round corners") {
    // Walking along the run: lengths of the segments before add up.
    const Site site = make_wall_site({{0, 0}, {3, 0}, {3, 4}, {8, 4}}, false, 3);
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const Surface& surface = surface_named(*stage, "house");
    CHECK(surface.unfold({1, 0, 2}).x == doctest::Approx(1));
    CHECK(surface.unfold({3, 1.5, 2}).x == doctest::Approx(4.5));
    CHECK(surface.unfold({5, 4, 2}).x == doctest::Approx(9));
    CHECK(surface.unfold({5, 4, 2}).y == doctest::Approx(2));
    CHECK(surface.upper_edge(9).value() == doctest::Approx(3));
    CHECK(!surface.upper_edge(12.5));
    CHECK(!surface.upper_edge(-0.1));
}

TEST_CASE("closed bodies are told from sheets, whatever stands beside them") {
    // A tetrahedron has every edge walked both ways; without a face three edges are walked once.
    const std::vector<glm::vec3> tetrahedron{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    const std::vector<glm::uvec3> faces{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}};
    CHECK(find_closed_bodies(tetrahedron, faces) == std::vector<std::uint8_t>{1, 1, 1, 1});
    CHECK(find_closed_bodies(tetrahedron, {faces[0], faces[1], faces[2]}) ==
          std::vector<std::uint8_t>{0, 0, 0});
    // Corners given twice, as a texture splits them, are one; -0 is 0.
    std::vector<glm::vec3> split;
    std::vector<glm::uvec3> corners;
    for (const glm::uvec3& face : faces) {
        const auto first = static_cast<unsigned>(split.size());
        for (int i = 0; i < 3; ++i) {
            glm::vec3 vertex = tetrahedron[face[i]];
            for (int axis = 0; axis < 3; ++axis)
                if (vertex[axis] == 0 && i == 1)
                    vertex[axis] = -0.0f;
            split.push_back(vertex);
        }
        corners.push_back({first, first + 1, first + 2});
    }
    // A sheet somewhere else.
    const auto first = static_cast<unsigned>(split.size());
    split.insert(split.end(), {{5, 5, 5}, {6, 5, 5}, {5, 6, 5}});
    corners.push_back({first, first + 1, first + 2});
    CHECK(find_closed_bodies(split, corners) == std::vector<std::uint8_t>{1, 1, 1, 1, 0});
    // One face turned over: no body any more.
    std::vector<glm::uvec3> turned = faces;
    std::swap(turned[2].y, turned[2].z);
    CHECK(find_closed_bodies(tetrahedron, turned) == std::vector<std::uint8_t>{0, 0, 0, 0});
}

TEST_CASE("a shadow ray ends a millimetre before its end, whatever the way") {
    for (const float way : {0.5f, 3.0f, 80.0f}) {
        const Ray ray = make_shadow_ray({1, 2, 3}, glm::vec3(1, 2 + way, 3));
        CHECK((1 - ray.far_end) * way == doctest::Approx(surface_offset).epsilon(0.02));
    }
    CHECK(make_shadow_ray({0, 0, 0}, {0, 0, surface_offset / 2}).far_end == 0); // nothing lies between
    CHECK(step_off({0, 0, 1}, {0, 0, 1}).z == doctest::Approx(1.001));
}
