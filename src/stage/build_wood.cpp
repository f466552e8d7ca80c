// Wood as tubes: each limb one piece from where it leaves its parent to its tip.

#include <algorithm>
#include <cmath>

#include "duskcast/base/frame.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "plant_plan.hpp"

namespace duskcast {
namespace {

struct LimbRing {
    glm::dvec3 centre{0};
    double radius = 0;
};

struct Limb {
    std::vector<LimbRing> rings;
    unsigned sides = 3;
    bool is_trunk = false;

    std::size_t facets() const { return sides * (2 * rings.size() - 1); } // a fan below, a point above
};

unsigned sides_for(double radius) {
    return radius > 0.08 ? 12 : radius > 0.03 ? 8 : radius > 0.012 ? 5 : radius > 0.006 ? 4 : 3;
}

/// Leaves out the rings between which the limb is straight.
std::vector<LimbRing> without_needless(const std::vector<LimbRing>& rings) {
    std::vector<LimbRing> kept{rings.front()};
    for (std::size_t i = 1; i + 1 < rings.size(); ++i) {
        const glm::dvec3 before = rings[i].centre - kept.back().centre,
                         after = rings[i + 1].centre - rings[i].centre;
        const double length = glm::length(before);
        const bool is_long = length > 10 * rings[i].radius + 0.05;
        const bool bends = glm::dot(before, after) < 0.97 * length * glm::length(after);
        if (length > 1e-9 && (is_long || bends))
            kept.push_back(rings[i]);
    }
    if (rings.size() > 1)
        kept.push_back(rings.back());
    return kept;
}

/// The wood as limbs, the thickest first. Each follows the thickest branch on.
std::vector<Limb> find_limbs(const std::vector<WoodNode>& wood) {
    std::vector<int> heir(wood.size(), -1);
    for (std::size_t i = 0; i < wood.size(); ++i) {
        if (wood[i].parent < 0)
            continue;
        int& first = heir[static_cast<std::size_t>(wood[i].parent)];
        if (first < 0 || wood[i].radius > wood[static_cast<std::size_t>(first)].radius)
            first = static_cast<int>(i);
    }
    std::vector<Limb> limbs;
    for (std::size_t i = 0; i < wood.size(); ++i) {
        const int parent = wood[i].parent;
        if (parent >= 0 && heir[static_cast<std::size_t>(parent)] == static_cast<int>(i))
            continue; // goes on from its parent
        std::vector<LimbRing> rings;
        if (parent >= 0) {
            const WoodNode& fork = wood[static_cast<std::size_t>(parent)];
            rings.push_back({fork.at, std::min(1.2 * wood[i].radius, 0.9 * fork.radius)});
        }
        for (int node = static_cast<int>(i); node >= 0; node = heir[static_cast<std::size_t>(node)])
            rings.push_back(
                {wood[static_cast<std::size_t>(node)].at, wood[static_cast<std::size_t>(node)].radius});
        if (rings.size() < 2)
            continue;
        const bool is_stem = parent < 0;
        Limb limb{is_stem ? rings : without_needless(rings), sides_for(rings.front().radius), is_stem};
        limbs.push_back(std::move(limb));
    }
    sort_stably(limbs,
                [](const Limb& a, const Limb& b) { return a.rings.front().radius > b.rings.front().radius; });
    return limbs;
}

/// More rings in the lowest 3 m, which light grazes, the first of them under the ground; a flare at the foot.
void dress_trunk(Limb& trunk, double furrow) {
    constexpr double dressed_height = 3;
    const double girth = trunk.rings.front().radius;
    const double step = std::clamp(0.9 * girth, 0.08, 0.3);
    std::vector<LimbRing> rings{{trunk.rings.front().centre - glm::dvec3(0, 0, 0.3), 1.25 * girth}};
    for (std::size_t i = 0; i + 1 < trunk.rings.size(); ++i) {
        const LimbRing &low = trunk.rings[i], &high = trunk.rings[i + 1];
        const double length = glm::distance(low.centre, high.centre);
        const int pieces =
            low.centre.z < dressed_height ? std::max(1, static_cast<int>(std::lround(length / step))) : 1;
        for (int piece = 0; piece < pieces; ++piece) {
            const double share = static_cast<double>(piece) / pieces;
            rings.push_back({low.centre + share * (high.centre - low.centre),
                             low.radius + share * (high.radius - low.radius)});
        }
    }
    rings.push_back(trunk.rings.back());
    for (std::size_t i = 1; i < rings.size(); ++i) {
        const double up = rings[i].centre.z - trunk.rings.front().centre.z;
        rings[i].radius *= 1 + 0.25 * std::exp(-up / (2 * girth + 1e-9));
    }
    trunk.rings = std::move(rings);
    trunk.sides = girth < 0.04 ? 8 : furrow > 0.02 ? 26 : 16;
}

class TubeBuilder {
public:
    TubeBuilder(const glm::dvec3& foot, std::uint16_t material, std::uint16_t surface, Triangles& triangles)
        : foot_(foot), material_(material), surface_(surface), triangles_(triangles) {}

    void add(const Limb& limb, double furrow) {
        const auto first = static_cast<unsigned>(triangles_.vertices.size());
        const std::size_t count = limb.rings.size();
        glm::dvec3 aside(0);
        for (std::size_t i = 0; i + 1 < count; ++i) {
            const LimbRing& ring = limb.rings[i];
            const glm::dvec3 before = i > 0 ? ring.centre - limb.rings[i - 1].centre : glm::dvec3(0);
            const glm::dvec3 axis = safe_unit(before + limb.rings[i + 1].centre - ring.centre);
            // Each ring is turned as little as can be from the one before.
            aside -= glm::dot(aside, axis) * axis;
            aside = glm::length(aside) < 1e-6 ? TangentFrame<double>(axis).first : glm::normalize(aside);
            const glm::dvec3 across = glm::cross(axis, aside);
            for (unsigned side = 0; side < limb.sides; ++side) {
                const double angle = 2 * pi * side / limb.sides;
                const double radius = ring.radius * (limb.is_trunk ? relief(furrow, side, i) : 1.0);
                triangles_.vertices.emplace_back(
                    foot_ + ring.centre + radius * (std::cos(angle) * aside + std::sin(angle) * across));
            }
        }
        const auto tip = static_cast<unsigned>(triangles_.vertices.size());
        triangles_.vertices.emplace_back(foot_ + limb.rings.back().centre);
        const auto corner = [&](std::size_t ring, unsigned side) {
            return first + static_cast<unsigned>(ring) * limb.sides + side % limb.sides;
        };
        for (std::size_t ring = 0; ring + 2 < count; ++ring)
            for (unsigned side = 0; side < limb.sides; ++side) {
                add_triangle(corner(ring, side), corner(ring, side + 1), corner(ring + 1, side + 1));
                add_triangle(corner(ring, side), corner(ring + 1, side + 1), corner(ring + 1, side));
            }
        for (unsigned side = 0; side < limb.sides; ++side)
            add_triangle(corner(count - 2, side), corner(count - 2, side + 1), tip);
        for (unsigned side = 1; side + 1 < limb.sides; ++side)
            add_triangle(first, first + side + 1, first + side);
    }

private:
    static glm::dvec3 safe_unit(const glm::dvec3& way) {
        const double length = glm::length(way);
        return length > 1e-9 ? way / length : glm::dvec3(0, 0, 1);
    }

    /// Ridges and furrows: every other side stands out, each for a few rings and then less or more. The mean
    /// radius stays.
    static double relief(double furrow, unsigned side, std::size_t ring) {
        const double depth = 0.5 + hash_to_unit(side / 2 * 1000 + (ring + side % 3) / 3, 0);
        return 1 + 0.5 * furrow * (side % 2 == 0 ? depth : -depth);
    }

    void add_triangle(unsigned a, unsigned b, unsigned c) {
        triangles_.add({a, b, c}, material_, surface_, true);
    }

    glm::dvec3 foot_;
    std::uint16_t material_;
    std::uint16_t surface_;
    Triangles& triangles_;
};

} // namespace

void build_wood(const std::vector<WoodNode>& wood, const glm::dvec3& foot, double furrow,
                std::size_t most_facets, std::uint16_t material, std::uint16_t surface,
                Triangles& triangles) {
    TubeBuilder builder(foot, material, surface, triangles);
    std::size_t facets = 0;
    for (Limb& limb : find_limbs(wood)) {
        if (limb.is_trunk)
            dress_trunk(limb, furrow);
        facets += limb.facets();
        if (facets > most_facets)
            break;
        builder.add(limb, furrow);
    }
}

} // namespace duskcast
