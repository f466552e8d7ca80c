#include "duskcast/stage/trunk.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "duskcast/base/frame.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

struct Ring {
    glm::dvec3 centre{0};
    double radius = 0;
};

class LimbBuilder {
public:
    LimbBuilder(Triangles& triangles, std::uint16_t material, std::uint16_t surface)
        : triangles_(triangles), material_(material), surface_(surface) {}

    /// A tapered tube through rings on one axis, closed at both ends.
    void add(const std::vector<Ring>& rings, unsigned sides) {
        const glm::dvec3 axis = glm::normalize(rings.back().centre - rings.front().centre);
        const TangentFrame<double> frame(axis);
        const auto first = static_cast<unsigned>(triangles_.vertices.size());
        for (const Ring& ring : rings)
            for (unsigned side = 0; side < sides; ++side) {
                const double angle = 2 * pi * side / sides;
                triangles_.vertices.emplace_back(
                    ring.centre +
                    ring.radius * (std::cos(angle) * frame.first + std::sin(angle) * frame.second));
            }
        const auto add_triangle = [&](unsigned a, unsigned b, unsigned c) {
            triangles_.add({first + a, first + b, first + c}, material_, surface_, true);
        };
        const auto top = static_cast<unsigned>(rings.size() - 1) * sides;
        for (unsigned low = 0; low < top; low += sides)
            for (unsigned side = 0; side < sides; ++side) {
                const unsigned next = (side + 1) % sides;
                add_triangle(low + side, low + next, low + sides + next);
                add_triangle(low + side, low + sides + next, low + sides + side);
            }
        for (unsigned side = 1; side + 1 < sides; ++side) {
            add_triangle(0, side + 1, side);
            add_triangle(top, top + side, top + side + 1);
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
    std::vector<Ring> trunk{{trunk_at(-0.3 - std::max(tree.foot, 0.0)), thick}};
    for (int piece = 0; piece <= trunk_pieces; ++piece) {
        const double z = tree.base + (trunk_top - tree.base) * piece / trunk_pieces;
        trunk.push_back({trunk_at(z), radius_at(z)});
    }
    builder.add(trunk, 12);
    // Main limbs go round the trunk by the golden angle and end at three quarters of the crown's radius;
    // each carries three lesser ones.
    constexpr int limbs = 11;
    for (int i = 0; i < limbs; ++i) {
        const double up = (i + 0.5) / limbs;
        const double z0 = tree.base + (trunk_top - tree.base) * up * 0.9;
        const double z1 = tree.base + crown * (0.25 + 0.65 * up);
        const double angle = golden_angle * i + random.uniform(-0.3, 0.3);
        const double out = 0.75 * crown_radius(tree, z1);
        const glm::dvec3 tip = trunk_at(z1) + out * glm::dvec3(std::cos(angle), std::sin(angle), 0);
        const Ring from{trunk_at(z0), 0.5 * radius_at(z0)};
        const Ring to{tip, 0.08 * thick};
        builder.add({from, to}, 6);
        const glm::dvec3 limb = to.centre - from.centre;
        for (int twig = 0; twig < 3; ++twig) {
            const double share = 0.4 + 0.2 * twig;
            const glm::dvec3 start = from.centre + share * limb;
            const glm::dvec3 way = glm::normalize(limb + 0.9 * glm::length(limb) * random.direction());
            const double radius = from.radius + share * (to.radius - from.radius);
            builder.add({{start, 0.6 * radius}, {start + 0.35 * glm::length(limb) * way, 0.05 * thick}}, 5);
        }
    }
}

} // namespace duskcast
