// Patches by themselves: what they cover, who their neighbours are, how light is read between them.

#include <cmath>
#include <numeric>
#include <set>

#include "stage_maker.hpp"

using namespace duskcast;

namespace {

/// A wall with a window and a fin before it, ground, and a small tree.
Site make_patch_site() {
    Site site = make_wall_site(4, 2.5, 0.5);
    site.walls[0].openings = {{.id = "window", .from = 2.6, .width = 0.9, .sill = 0.7, .height = 1.1}};
    site.walls.push_back({.id = "fin", .path = {{1.3, -1.2}, {1.3, 0}}, .height = 1.2});
    Tree tree;
    tree.id = "tree";
    tree.at = {6, -3};
    tree.height = 2.5;
    tree.base = 0.8;
    tree.width = 1.4;
    tree.foliage.leaf_area_density = 0.7;
    site.trees = {tree};
    site.ground.margin = 1;
    return site;
}

} // namespace

TEST_CASE("patches: facets of every surface are covered once, leaves on both sides") {
    const auto stage = build_stage(make_patch_site(), {});
    const Patches patches(*stage, {.size = 0.3});
    double flat = 0, leafy = 0, leaves = 0, facets = 0;
    for (std::uint32_t i = 0; i < patches.size(); ++i) {
        const bool is_leaf = patches.is_leaf(i);
        (is_leaf ? leafy : flat) += static_cast<double>(patches.area[i]);
        if (is_leaf) {
            REQUIRE(patches.behind(i) < patches.size());
            CHECK(patches.behind(i) != i);
            CHECK(patches.behind(patches.behind(i)) == i);
            CHECK(patches.area[patches.behind(i)] == doctest::Approx(patches.area[i]).scale(0));
            CHECK(patches.reflectance[i] == stage->materials[stage->leaves.material[0]].reflectance);
            CHECK(patches.transmittance(i) == stage->materials[stage->leaves.material[0]].transmittance);
        } else {
            CHECK(patches.behind(i) == Patches::none);
            CHECK(patches.transmittance(i) == glm::vec3(0));
        }
    }
    for (std::size_t i = 0; i < stage->leaves.size(); ++i)
        leaves += static_cast<double>(stage->leaves.area(i));
    for (const glm::uvec3& corner : stage->opaque.corners) {
        const glm::dvec3 a(stage->opaque.vertices[corner.x]), b(stage->opaque.vertices[corner.y]),
            c(stage->opaque.vertices[corner.z]);
        facets += glm::length(glm::cross(b - a, c - a)) / 2;
    }
    CHECK(leafy == doctest::Approx(2 * leaves).epsilon(1e-4).scale(0));
    CHECK(flat == doctest::Approx(facets).epsilon(1e-4).scale(0));
    CHECK(std::set<std::uint64_t>(patches.random_seed.begin(), patches.random_seed.end()).size() ==
          patches.size());
}

TEST_CASE("patches: no more than wanted, and on walls no larger than asked for") {
    const auto stage = build_stage(make_patch_site(), {});
    for (const double size : {0.15, 0.4}) {
        const Patches patches(*stage, {.size = size});
        for (const Patches::Face& face : patches.faces()) {
            if (std::abs(face.normal.z) > 0.9)
                continue; // the ground's widen
            for (std::size_t i = 1; i < face.u.size(); ++i)
                CHECK(face.u[i] - face.u[i - 1] <= static_cast<float>(size) * 1.0001f);
            for (std::size_t i = 1; i < face.v.size(); ++i)
                CHECK(face.v[i] - face.v[i - 1] <= static_cast<float>(size) * 1.0001f);
        }
    }
    std::size_t before = 1'000'000;
    for (const std::size_t most : {3000u, 800u, 200u}) {
        const Patches few(*stage, {.size = 0.1, .most_flat = most, .most_leaf = most});
        std::size_t flat = 0, leafy = 0;
        for (std::uint32_t i = 0; i < few.size(); ++i)
            (few.is_leaf(i) ? leafy : flat) += 1;
        CAPTURE(most);
        CHECK(leafy <= most);
        CHECK(flat <=
              most + few.faces().size() + 120); // edges where things stand, and gathered facets, come on top
        CHECK(flat < before);
        before = flat;
    }
}

TEST_CASE("patches: spots drawn on a patch lie on it and spread evenly about its centroid") {
    const auto stage = build_stage(make_patch_site(), {});
    const Patches patches(*stage, {.size = 0.5});
    Random random(3);
    int checked = 0;
    for (std::uint32_t i = 0; i < patches.size(); i += 9) {
        if (patches.is_leaf(i) || patches.area[i] < 0.01f || patches.width[i] == 0)
            continue;
        ++checked;
        glm::dvec3 mean(0);
        double square = 0; // of the distances from the centroid
        constexpr int count = 600;
        for (int k = 0; k < count; ++k) {
            const auto choice = static_cast<float>(random.uniform());
            const auto a = static_cast<float>(random.uniform());
            const PatchPoint point = patches.point_on(i, choice, a, static_cast<float>(random.uniform()));
            CHECK(patches.covers(i, glm::dvec3(point.position)));
            mean += glm::dvec3(point.position) / double(count);
            square += std::pow(glm::distance(glm::dvec3(point.position), patches.centroid(i)), 2) / count;
        }
        CHECK(glm::distance(mean, patches.centroid(i)) < 4 * std::sqrt(square / count)); // standard errors
        CHECK(!patches.covers(i, patches.centroid(i) + glm::dvec3(40, 3, 0)));
    }
    CHECK(checked > 20);
}

TEST_CASE("patches: neighbours lie side by side, and none reach through what stands between") {
    const auto stage = build_stage(make_patch_site(), {});
    const Patches patches(*stage, {.size = 0.3});
    int pairs = 0;
    for (const Patches::Face& face : patches.faces())
        for (const std::vector<std::uint32_t>* grid : {&face.front, &face.back})
            for (std::size_t cell = 0; cell < grid->size(); ++cell) {
                const std::uint32_t patch = (*grid)[cell];
                if (patch == Patches::none)
                    continue;
                const glm::dvec3 own = patches.centroid(patch);
                for (const bool is_right : {true, false}) {
                    const std::uint32_t beside = is_right ? patches.right[patch] : patches.above[patch];
                    if (beside == Patches::none)
                        continue;
                    ++pairs;
                    const glm::dvec3 way = patches.centroid(beside) - own;
                    CHECK(glm::dot(way, is_right ? face.across : face.upward) > 0);
                    CHECK(std::abs(glm::dot(way, face.normal)) < 1e-4);
                    // The line between them, a little above the face, meets nothing.
                    if (std::abs(face.normal.z) < 0.9 || own.x < -0.5 || own.x > 4.5 || std::abs(own.y) > 1)
                        continue;
                    const glm::vec3 from = glm::vec3(own) + glm::vec3(0, 0, 0.02f);
                    CHECK(!stage->kernel->find_hit(from, glm::vec3(way), 0, 1));
                }
            }
    CHECK(pairs > 300);
}

TEST_CASE("patches: between their middles light that runs straight is read off exactly") {
    const auto stage = build_stage(make_patch_site(), {});
    const Patches patches(*stage, {.size = 0.25});
    Random random(6);
    int inside = 0;
    for (int i = 0; i < 400; ++i) {
        const glm::vec3 from(random.uniform(0.2, 3.8), -0.4f, random.uniform(0.2, 2.3));
        const Hit hit = stage->kernel->find_hit(from, {0, 1, 0}, 0, 1);
        if (!hit || stage->surfaces[stage->surface_of(hit, from)].id != "wall")
            continue;
        const glm::vec3 at = from + glm::vec3(0, hit.distance, 0);
        const PatchBlend blend = patches.blend_at(hit, at, {0, -1, 0});
        double sum = 0;
        glm::dvec3 place(0);
        bool is_whole = true;
        for (int k = 0; k < PatchBlend::spots; ++k) {
            sum += static_cast<double>(blend.weight[k]);
            if (blend.weight[k] > 0) {
                place += static_cast<double>(blend.weight[k]) * patches.centroid(blend.patch[k]);
                // Cells that the window cuts have their middles elsewhere.
                is_whole = is_whole && patches.area[blend.patch[k]] > 0.99f * patches.width[blend.patch[k]] *
                                                                          patches.width[blend.patch[k]];
            }
        }
        CHECK(sum == doctest::Approx(1).epsilon(1e-5));
        const bool is_between =
            is_whole && blend.weight[0] > 0 && blend.weight[3] > 0 && std::abs(at.x - 1.3f) > 0.3f;
        if (!is_between)
            continue;
        ++inside;
        CHECK(glm::distance(place, glm::dvec3(at)) < 2e-3);
        // Seen from behind, inside of the house, there is nothing.
        const PatchBlend behind = patches.blend_at(hit, at, {0, 1, 0});
        CHECK(std::accumulate(behind.weight.begin(), behind.weight.end(), 0.0f) == 0);
        CHECK(patches.patch_at(hit, at, {0, -1, 0}) == Patches::none);
        CHECK(patches.is_flat(hit));
    }
    CHECK(inside > 100);
}
