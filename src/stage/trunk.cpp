#include "duskcast/stage/foliage.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/site/layout.hpp"
#include "random.hpp"

namespace duskcast {

namespace {

struct Limb {
    glm::dvec3 from{0};
    glm::dvec3 to{0};
    double radius_from = 0;
    double radius_to = 0;
};

class LimbBuilder {
public:
    LimbBuilder(Triangles& triangles, std::uint16_t material, std::uint16_t surface)
        : triangles_(triangles), material_(material), surface_(surface) {}

    /// A tapered tube, open at both ends: a limb starts inside a thicker one and ends among leaves.
    void add(const Limb& limb, int sides) {
        const glm::dvec3 axis = glm::normalize(limb.to - limb.from);
        const glm::dvec3 aside = std::abs(axis.z) < 0.9 ? glm::dvec3(0, 0, 1) : glm::dvec3(1, 0, 0);
        const glm::dvec3 e1 = glm::normalize(glm::cross(axis, aside));
        const glm::dvec3 e2 = glm::cross(axis, e1);
        const auto first = static_cast<unsigned>(triangles_.vertices.size());
        for (int side = 0; side < sides; ++side) {
            const double angle = 2 * pi * side / sides;
            const glm::dvec3 out = std::cos(angle) * e1 + std::sin(angle) * e2;
            triangles_.vertices.emplace_back(limb.from + limb.radius_from * out);
            triangles_.vertices.emplace_back(limb.to + limb.radius_to * out);
        }
        for (int side = 0; side < sides; ++side) {
            const unsigned a = first + 2 * side;
            const unsigned b = first + 2 * ((side + 1) % sides);
            triangles_.add({a, b, b + 1}, material_, surface_, true);
            triangles_.add({a, b + 1, a + 1}, material_, surface_, true);
        }
    }

private:
    Triangles& triangles_;
    std::uint16_t material_;
    std::uint16_t surface_;
};

} // namespace

void build_trunk(const Tree& tree, std::uint32_t salt, std::uint16_t material, std::uint16_t surface,
                 Triangles& triangles) {
    Random random((static_cast<std::uint64_t>(static_cast<std::uint32_t>(tree.foliage.seed)) << 32) ^ ~salt);
    LimbBuilder builder(triangles, material, surface);
    const double thick = trunk_diameter(tree) / 2;
    const double crown = tree.height - tree.base;
    const double trunk_top = tree.base + 0.65 * crown;
    const glm::dvec3 foot(tree.at, tree.foot);
    // Starts below ground so that no light passes under it; full breast-height girth up to the crown.
    constexpr int trunk_pieces = 4;
    const auto trunk_at = [&](double z) { return foot + glm::dvec3(0, 0, z); };
    const auto radius_at = [&](double z) {
        const double up = std::clamp((z - tree.base) / std::max(trunk_top - tree.base, 1e-6), 0.0, 1.0);
        return thick * (1 - 0.75 * up);
    };
    builder.add({trunk_at(-0.3), trunk_at(tree.base), thick, thick}, 12);
    for (int piece = 0; piece < trunk_pieces; ++piece) {
        const double z0 = tree.base + (trunk_top - tree.base) * piece / trunk_pieces;
        const double z1 = tree.base + (trunk_top - tree.base) * (piece + 1) / trunk_pieces;
        builder.add({trunk_at(z0), trunk_at(z1), radius_at(z0), radius_at(z1)}, 10);
    }
    // Main limbs go round the trunk by the golden angle and end at three quarters of the crown's radius;
    // each carries three lesser ones.
    constexpr int limbs = 11;
    for (int i = 0; i < limbs; ++i) {
        const double up = (i + 0.5) / limbs;
        const double z0 = tree.base + (trunk_top - tree.base) * up * 0.9;
        const double z1 = tree.base + crown * (0.25 + 0.65 * up);
        const double angle = 2.399963229728653 * i + random.uniform(-0.3, 0.3);
        const double out = 0.75 * crown_radius(tree, z1);
        const glm::dvec3 tip = trunk_at(z1) + out * glm::dvec3(std::cos(angle), std::sin(angle), 0);
        const Limb limb{trunk_at(z0), tip, 0.5 * radius_at(z0), 0.08 * thick};
        builder.add(limb, 6);
        for (int twig = 0; twig < 3; ++twig) {
            const double share = 0.4 + 0.2 * twig;
            const glm::dvec3 start = limb.from + share * (limb.to - limb.from);
            const glm::dvec3 way =
                glm::normalize(limb.to - limb.from + 0.9 * glm::length(tip - limb.from) * random.direction());
            const double length = 0.35 * glm::length(limb.to - limb.from);
            const double radius = limb.radius_from + share * (limb.radius_to - limb.radius_from);
            builder.add({start, start + length * way, 0.6 * radius, 0.05 * thick}, 5);
        }
    }
}

} // namespace duskcast
