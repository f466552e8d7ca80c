// Trunks and boughs as pictures show them.

#include <cmath>
#include <doctest/doctest.h>

#include "../../src/view/round_look.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/view_trace.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

Site make_tree_site() {
    Site site{.is_as_new = true};
    Tree tree;
    tree.id = "tree";
    tree.at = {0, 0};
    tree.height = 12;
    tree.base = 6;
    tree.width = 4;
    tree.trunk_diameter = 0.5;
    tree.foliage.leaf_area_density = 0.01;
    site.trees = {tree};
    site.ground_spacing = 4;
    site.leaf_sensors = 10;
    return site;
}

struct Met {
    Hit hit;
    glm::vec3 position, facing;
};

Met meet(const Stage& stage, const glm::vec3& from, const glm::vec3& direction) {
    const Hit hit = stage.kernel->find_hit(from, direction, 0, 100);
    REQUIRE(hit.kind == FacetKind::opaque);
    const glm::vec3 facing = glm::dot(hit.normal, direction) > 0 ? -hit.normal : hit.normal;
    return {hit, from + hit.distance * direction, facing};
}

} // namespace

TEST_CASE("round look: bark keeps to its depth, and its furrows run along the stem") {
    double lowest = 0, across = 0, along = 0;
    for (int i = 0; i < 200; ++i)
        for (int j = 0; j < 200; ++j) {
            const glm::vec3 at(0.0131f * float(i), 0.0173f * float(j), 0.009f * float(i + j));
            const auto height = static_cast<double>(bark_height(at));
            CHECK_UNARY(height <= 0 && height >= -static_cast<double>(bark_depth));
            lowest = std::min(lowest, height);
            const auto change = [&](const glm::vec3& off) {
                return std::abs(static_cast<double>(bark_height(at + off)) - height);
            };
            across += change({0.01f, 0, 0}), along += change({0, 0, 0.01f});
        }
    CHECK(lowest < -0.9 * static_cast<double>(bark_depth));
    CHECK(across > 2.5 * along);
}

TEST_CASE("round look: bounced light runs evenly round a stem and up it, whatever it is facet by facet") {
    // Light without steps is what was asked for; even light, and its mean, must stay what they are.
    const auto stage = build_stage(make_tree_site(), ".");
    const auto round_about = [&](const RoundBounce& bounce, float height) {
        std::vector<double> lux;
        for (int i = 0; i < 720; ++i) {
            const glm::vec3 out = glm::vec3(circle_point(static_cast<float>(2 * pi) * float(i) / 720), 0);
            lux.push_back(static_cast<double>(
                bounce.at(meet(*stage, 5.0f * out + glm::vec3(0, 0, height), -out).hit).g));
        }
        return lux;
    };
    const RoundBounce even(
        *stage, BouncedLight([](const Hit&, const glm::vec3&, const glm::vec3&) { return glm::dvec3(3); }));
    for (const double lux : round_about(even, 2.2f))
        CHECK(lux == doctest::Approx(3).epsilon(1e-5));
    const RoundBounce blocks(*stage, BouncedLight([](const Hit& hit, const glm::vec3&, const glm::vec3&) {
        return glm::dvec3(1 + hash_to_unit(hit.facet, 0));
    }));
    double mean = 0;
    const std::vector<double> lux = round_about(blocks, 2.2f);
    for (std::size_t i = 0; i < lux.size(); ++i) {
        mean += lux[i] / static_cast<double>(lux.size());
        CHECK(std::abs(lux[i] - lux[(i + 1) % lux.size()]) < 0.03); // from facet to facet: up to 1
    }
    CHECK(mean == doctest::Approx(1.5).epsilon(0.15));
    CHECK(RoundBounce(*stage, BouncedLight([](const Hit&, const glm::vec3&, const glm::vec3&) {
              return glm::dvec3(0);
          })).is_empty());
}

TEST_CASE("round look: from afar a stem of flat facets has the normals of a cylinder, and no bark") {
    const auto stage = build_stage(make_tree_site(), ".");
    const RoundLook look(*stage);
    for (int i = 0; i < 60; ++i) {
        const auto angle = static_cast<float>(2 * pi * i / 60);
        const glm::vec3 out(std::cos(angle), std::sin(angle), 0);
        const Met met = meet(*stage, 5.0f * out + glm::vec3(0, 0, 2.2f), -out);
        const auto spot = look.find(met.hit, met.position, met.facing, 0.1f);
        REQUIRE(spot);
        CHECK(glm::dot(spot->normal, out) > 0.9985f); // twelve flat sides alone: 0.966 at their edges
        CHECK(spot->level == 1);
    }
    // No wood: the ground, leaves, a site without trees.
    const Met ground = meet(*stage, {3, 3, 1}, {0, 0, -1});
    CHECK_FALSE(look.find(ground.hit, ground.position, ground.facing, 0.1f));
    Site bare = make_tree_site();
    bare.trees.clear();
    bare.walls = {{.id = "wall", .path = {{-2, 0}, {2, 0}}, .height = 3, .finish = {"", glm::dvec3(0.5)}}};
    CHECK(RoundLook(*build_stage(bare, ".")).is_empty());
}

TEST_CASE("round look: a fountain's basin is a cylinder with a sharp rim") {
    Site site;
    site.fountains = {{.id = "basin", .width = 2, .rim = 0.5, .bowls = 0}};
    const auto stage = build_stage(site, ".");
    const RoundLook look(*stage);
    for (int i = 0; i < 60; ++i) {
        const auto angle = static_cast<float>(2 * pi * i / 60);
        const glm::vec3 out(std::cos(angle), std::sin(angle), 0);
        const Met met = meet(*stage, 5.0f * out + glm::vec3(0, 0, 0.47f), -out);
        const auto spot = look.find(met.hit, met.position, met.facing, 0.001f);
        REQUIRE(spot);
        CHECK(glm::dot(spot->normal, out) > 0.9998f); // 32 flat sides alone: 0.995 at their edges
        CHECK(spot->level == 1);                      // no bark
        const Met top = meet(*stage, 0.95f * out + glm::vec3(0, 0, 2), {0, 0, -1});
        const auto rim = look.find(top.hit, top.position, top.facing, 0.001f);
        REQUIRE(rim);
        CHECK(rim->normal.z > 0.9999f);
    }
}

TEST_CASE("round look: close by bark turns normals and colours, and both keep their means") {
    const auto stage = build_stage(make_tree_site(), ".");
    const RoundLook look(*stage);
    double level = 0, turned = 0;
    glm::dvec3 mean(0);
    int count = 0;
    for (int i = 0; i < 40; ++i)
        for (int j = 0; j < 200; ++j, ++count) {
            const auto angle = static_cast<float>(2 * pi * i / 40);
            const glm::vec3 out(std::cos(angle), std::sin(angle), 0);
            const Met met = meet(*stage, 3.0f * out + glm::vec3(0, 0, 0.4f + 0.025f * float(j)), -out);
            const auto spot = look.find(met.hit, met.position, met.facing, 0.002f);
            REQUIRE(spot);
            CHECK_UNARY(std::abs(glm::dot(spot->normal, out) - 1) < 0.02f);
            level += static_cast<double>(spot->level);
            turned +=
                std::acos(std::min(1.0, static_cast<double>(glm::dot(glm::normalize(spot->normal), out))));
            mean += glm::dvec3(spot->normal - out);
        }
    CHECK(level / count == doctest::Approx(1).epsilon(0.02));
    CHECK(degrees_from_radians(turned / count) > 4);
    CHECK(glm::length(mean) / count < 0.03); // to no side
}

TEST_CASE("round look: a trunk in a picture is as bright as its facets, block by block") {
    // The luminance of views holds; pictures only tell it apart more finely. (Lamps before it: where light
    // ends on a stem, flat sides are no cylinder.)
    const auto stage = build_stage(make_tree_site(), ".");
    const Camera camera =
        make_camera({"eye", {0, -6, 1.5}, {0, 0, 1.5}, radians_from_degrees(4.4)}, 160, 240);
    for (const glm::vec3& lamp : {glm::vec3(0.8f, -5, 2), glm::vec3(-0.2f, -2.2f, 0.2f)}) {
        const ViewImage image =
            trace_view(*stage, {test::make_point("L", lamp)}, camera, 0, {}, {}, nullptr, Detail::fine);
        REQUIRE(!image.fine.luminance.empty());
        double differs = 0;
        for (int top = 0; top < 240; top += 80) {
            double even = 0, fine = 0;
            for (int y = top; y < top + 80; ++y)
                for (int x = 0; x < 160; ++x) {
                    const std::size_t pixel = image.pixel_at(x, y);
                    even += luminance_of(glm::dvec3(image.luminance[pixel]));
                    fine += luminance_of(glm::dvec3(image.fine.luminance[pixel]));
                    differs += image.luminance[pixel] != image.fine.luminance[pixel] ? 1 : 0;
                }
            CHECK(fine / even == doctest::Approx(1).epsilon(0.04));
        }
        CHECK(differs > 1000);
    }
}
