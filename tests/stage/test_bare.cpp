// What a bare crown still shades.

#include "duskcast/site/season.hpp"
#include "duskcast/stage/foliage.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// Mean and its standard error over arrangements of the twigs.
struct Gaps {
    double mean = 0;
    double error = 0;
};

/// Share of the rays, laid straight down by place(dice), that meet no twig of the plant.
template <class Plant, class Place> Gaps measure_gaps(Plant plant, Place place) {
    constexpr int seeds = 12, count = 20'000;
    std::vector<double> shares;
    for (int seed = 1; seed <= seeds; ++seed) {
        plant.foliage.seed = seed;
        Leaves leaves;
        fill_leaves(make_leaf_space(plant), plant.foliage, 1, 0, 0, leaves);
        const Triangles none;
        const RayKernel kernel(none, none, leaves, {}, {});
        Dice dice(static_cast<std::uint64_t>(seed));
        std::vector<Ray> rays(count);
        for (Ray& ray : rays) {
            ray.origin = glm::vec3(place(dice), 20);
            ray.direction = {0, 0, -1};
            ray.far_end = 30;
        }
        kernel.find_occluded(rays, Coherence::incoherent);
        const auto gaps =
            std::count_if(rays.begin(), rays.end(), [](const Ray& ray) { return !ray.is_occluded(); });
        shares.push_back(static_cast<double>(gaps) / count);
    }
    Gaps gaps;
    for (const double share : shares)
        gaps.mean += share / seeds;
    double squares = 0;
    for (const double share : shares)
        squares += (share - gaps.mean) * (share - gaps.mean);
    gaps.error = std::sqrt(squares / (seeds - 1) / seeds);
    return gaps;
}

void check_gaps(const Gaps& gaps, double expected) {
    CAPTURE(gaps.mean);
    CAPTURE(gaps.error);
    CAPTURE(expected);
    CHECK(gaps.error < 0.004);
    CHECK(std::abs(gaps.mean - expected) < 3 * gaps.error);
}

} // namespace

TEST_CASE("light straight down through bare twigs follows Beer and Lambert") {
    // P = exp(-G a), a the twigs' area per plan area (Monsi and Saeki 1953), G = 0.5 for facets that lie
    // every way (CLM5 eq. 3.3): 0.7788 for 0.5, 0.6873 for 0.75, 0.4724 for 1.5.
    Site site;
    Shrub bed;
    bed.id = "bed";
    bed.outline = {{0, 0}, {8, 0}, {8, 8}, {0, 8}};
    bed.height = 2;
    bed.foliage.leaf_size = 0.08;
    bed.foliage.leaf_angle_index = 0.25;
    for (const auto& [area_index, expected] : {std::pair(0.5, 0.7788), {0.75, 0.6873}, {1.5, 0.4724}}) {
        const double index = area_index; // clang 15 captures no part of a pair
        CAPTURE(index);
        bed.foliage.twig_area_index = index;
        site.shrubs = {bed};
        const Shrub bare = in_season(site, Season::bare, 0).shrubs[0];
        check_gaps(measure_gaps(bare,
                                [](Dice& dice) {
                                    return glm::vec2{dice.uniform(0.4, 7.6), dice.uniform(0.4, 7.6)};
                                }),
                   expected);
    }
}

TEST_CASE("light straight down through a bare round crown, over its shadow") {
    // A sphere of radius R: T = 2 (1 - (1 + t) exp(-t)) / t^2 with t = 2 G u R (integral of exp(-G u chord)
    // over the disk); the mean depth is 4 R / 3, so u = 0.75 / (4 R / 3) and t = 0.5625.
    Site site;
    Tree tree;
    tree.id = "oak";
    tree.height = 8;
    tree.base = 2;
    tree.width = 6;
    tree.foliage.leaf_size = 0.08;
    site.trees = {tree};
    const Tree bare = in_season(site, Season::bare, 0).trees[0];
    const double t = 0.5625, expected = 2 * (1 - (1 + t) * std::exp(-t)) / (t * t);
    check_gaps(measure_gaps(bare,
                            [](Dice& dice) {
                                const double radius = 3 * std::sqrt(dice.uniform());
                                const double turn = dice.uniform(0, 2 * pi);
                                return glm::vec2{radius * std::cos(turn), radius * std::sin(turn)};
                            }),
               expected);
}

TEST_CASE("twigs and boughs together come to what bare crowns have") {
    // 0.5 to 1.5 m2 of wood, one-sided, per plan area (from memory). A convex body's one-sided area is half
    // its surface.
    for (const double height : {6.0, 10.0, 15.0}) {
        CAPTURE(height);
        Site site;
        Tree tree;
        tree.id = "oak";
        tree.height = height;
        tree.base = 0.25 * height;
        tree.width = 0.8 * height;
        tree.foliage.leaf_size = 0.15;
        site.trees = {tree};
        const auto stage = build_stage(in_season(site, Season::bare, 0), {});
        double area = 0;
        for (std::size_t leaf = 0; leaf < stage->leaves.size(); ++leaf)
            area += static_cast<double>(stage->leaves.area(leaf));
        for (std::size_t i = 0; i < stage->opaque.size(); ++i) {
            if (stage->surfaces[stage->opaque.surface[i]].kind != SurfaceKind::tree)
                continue;
            const glm::uvec3& corner = stage->opaque.corners[i];
            const glm::vec3& a = stage->opaque.vertices[corner.x];
            const glm::vec3 cross =
                glm::cross(stage->opaque.vertices[corner.y] - a, stage->opaque.vertices[corner.z] - a);
            area += static_cast<double>(glm::length(cross)) / 4;
        }
        const double index = area / (pi * tree.width * tree.width / 4);
        MESSAGE("wood over plan area ", index);
        CHECK(index > 0.75);
        CHECK(index < 1.5);
        // Bark throws light back, and lets none through (CLM5 technical note, stems).
        for (std::size_t leaf = 0; leaf < stage->leaves.size(); leaf += 97) {
            const Material& material = stage->materials[stage->leaves.material[leaf]];
            CHECK(glm::dot(material.reflectance, glm::vec3(0.2126f, 0.7152f, 0.0722f)) ==
                  doctest::Approx(0.16));
            CHECK(material.transmittance == glm::vec3(0));
        }
    }
}
