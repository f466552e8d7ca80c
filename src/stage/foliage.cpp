#include "duskcast/stage/foliage.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "duskcast/base/frame.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {

namespace {

/// Surface of a spheroid with upright semi-axis 1 and level semi-axis `ratio`.
double spheroid_surface(double ratio) {
    if (std::abs(ratio - 1) < 1e-9)
        return 4 * pi;
    if (ratio > 1) {
        const double e = std::sqrt(1 - 1 / (ratio * ratio));
        return 2 * pi * ratio * ratio + pi / e * std::log((1 + e) / (1 - e));
    }
    const double e = std::sqrt(1 - ratio * ratio);
    return 2 * pi * ratio * ratio + 2 * pi * ratio / e * std::asin(e);
}

/// Its projection straight down over half its surface: G for light from the zenith.
double spheroid_projection(double ratio) {
    return 2 * pi * ratio * ratio / spheroid_surface(ratio);
}

/// Interleaves the lowest 21 bits with two zeros each.
std::uint64_t spread_bits(std::uint64_t v) {
    v &= 0x1fffff;
    v = (v | v << 32) & 0x1f00000000ffff;
    v = (v | v << 16) & 0x1f0000ff0000ff;
    v = (v | v << 8) & 0x100f00f00f00f00f;
    v = (v | v << 4) & 0x10c30c30c30c30c3;
    v = (v | v << 2) & 0x1249249249249249;
    return v;
}

std::uint64_t morton_code(const glm::dvec3& share) {
    constexpr double cells = 2097151; // 2^21 - 1
    const glm::dvec3 cell = glm::clamp(share, glm::dvec3(0), glm::dvec3(1)) * cells;
    return spread_bits(static_cast<std::uint64_t>(cell.x)) |
           spread_bits(static_cast<std::uint64_t>(cell.y)) << 1 |
           spread_bits(static_cast<std::uint64_t>(cell.z)) << 2;
}

glm::dvec3 spot_inside(const LeafSpace& space, Random& random) {
    if (!space.run.empty()) { // a hedge fills little of its box, so draw along its run
        const RunSegment& last = space.run.back();
        const double along = random.uniform(0, last.along + last.length);
        const double across = random.uniform(-space.half_width, space.half_width);
        const RunSegment& segment = segment_at(space.run, along);
        return {segment.start + (along - segment.along) * segment.direction + across * segment.outward,
                random.uniform(space.low.z, space.high.z)};
    }
    // Crowns and beds are a fair share of their box; the bound only guards against an empty one.
    for (int attempt = 0; attempt < 1'000'000; ++attempt) {
        // Braces: the numbers are drawn from left to right with every compiler.
        const glm::dvec3 spot{random.uniform(space.low.x, space.high.x),
                              random.uniform(space.low.y, space.high.y),
                              random.uniform(space.low.z, space.high.z)};
        if (space.contains(spot))
            return spot;
    }
    return 0.5 * (space.low + space.high);
}

/// Leaf centres: at random, a share of them round common twigs, in Morton order.
std::vector<glm::dvec3> leaf_centres(const LeafSpace& space, const Foliage& foliage, std::size_t count,
                                     Random& random) {
    constexpr double twig_reach = 0.33;
    constexpr double twig_leaf_area =
        0.23; // m2: about 40 leaves of 6 in; enough for the shade of a small twig to count
    const auto leaves_per_twig =
        static_cast<std::size_t>(std::max(2LL, std::llround(twig_leaf_area / leaf_area(foliage.leaf_size))));
    const auto clumped =
        static_cast<std::size_t>(std::llround(foliage.clumping * static_cast<double>(count)));
    std::vector<glm::dvec3> twigs((clumped + leaves_per_twig - 1) / leaves_per_twig);
    for (glm::dvec3& twig : twigs)
        twig = spot_inside(space, random);
    std::vector<glm::dvec3> centres(count);
    for (std::size_t i = 0; i < count; ++i) {
        centres[i] = spot_inside(space, random);
        if (i >= clumped)
            continue;
        const glm::dvec3& twig = twigs[i / leaves_per_twig];
        const double reach = twig_reach * std::cbrt(random.uniform());
        const glm::dvec3 near_twig = twig + reach * random.direction();
        if (space.contains(near_twig))
            centres[i] = near_twig;
    }
    std::vector<glm::dvec3> sorted;
    sorted.reserve(count);
    for (const std::uint32_t index : morton_order(centres, space.low, space.high))
        sorted.push_back(centres[index] +
                         glm::dvec3(0, 0, glm::dot(space.rise, glm::dvec2(centres[index]) - space.footing)));
    return sorted;
}

} // namespace

LeafSpace make_leaf_space(const Tree& tree) {
    const double radius = tree.width / 2;
    LeafSpace space;
    space.low = {tree.at.x - radius, tree.at.y - radius, tree.foot + tree.base};
    space.high = {tree.at.x + radius, tree.at.y + radius, tree.foot + tree.height};
    space.contains = [tree](const glm::dvec3& spot) {
        const double r = crown_radius(tree, spot.z - tree.foot);
        const glm::dvec2 offset = glm::dvec2(spot.x, spot.y) - tree.at;
        return glm::dot(offset, offset) <= r * r;
    };
    space.volume = crown_volume(tree);
    space.leaf_area_density = leaf_area_density(tree);
    return space;
}

LeafSpace make_leaf_space(const Shrub& shrub) {
    const bool is_hedge = shrub.outline.empty();
    const std::vector<glm::dvec2>& points = is_hedge ? shrub.path : shrub.outline;
    LeafSpace space;
    space.half_width = is_hedge ? shrub.width / 2 : 0.0;
    glm::dvec2 low(points.front());
    glm::dvec2 high(points.front());
    for (const glm::dvec2& point : points) {
        low = glm::min(low, point);
        high = glm::max(high, point);
    }
    space.low = {low - space.half_width, shrub.foot};
    space.high = {high + space.half_width, shrub.foot + shrub.height};
    if (is_hedge)
        space.run = run_of(shrub.path, false);
    space.contains = [shrub, half = space.half_width, run = space.run](const glm::dvec3& spot) {
        if (spot.z < shrub.foot || spot.z > shrub.foot + shrub.height)
            return false;
        const glm::dvec2 plan(spot.x, spot.y);
        if (run.empty())
            return is_inside(shrub.outline, plan);
        return std::any_of(run.begin(), run.end(), [&](const RunSegment& segment) {
            const double along = glm::dot(plan - segment.start, segment.direction);
            return along >= 0 && along <= segment.length &&
                   std::abs(glm::dot(plan - segment.start, segment.outward)) <= half;
        });
    };
    space.rise = shrub.rise;
    space.footing = footing_of(shrub);
    space.volume = shrub_volume(shrub);
    space.leaf_area_density = leaf_area_density(shrub);
    return space;
}

double spheroid_ratio(double leaf_angle_index) {
    const double chi = leaf_angle_index;
    const double f1 = 0.5 - 0.633 * chi - 0.33 * chi * chi;
    const double wanted = f1 + 0.877 * (1 - 2 * f1);
    double low = 0.02; // G straight down rises with the ratio
    double high = 50;
    for (int i = 0; i < 100; ++i) {
        const double middle = std::sqrt(low * high);
        (spheroid_projection(middle) < wanted ? low : high) = middle;
    }
    return std::sqrt(low * high);
}

glm::dvec3 draw_leaf_normal(double ratio, Random& random) {
    const double largest = std::max(1 / ratio, 1.0);
    while (true) {
        const glm::dvec3 u = random.direction();
        const glm::dvec3 scaled(u.x / ratio, u.y / ratio, u.z);
        const double length = glm::length(scaled);
        if (random.uniform() * largest <= length)
            return scaled / length;
    }
}

std::vector<std::uint32_t> morton_order(const std::vector<glm::dvec3>& centres, const glm::dvec3& low,
                                        const glm::dvec3& high) {
    std::vector<std::pair<std::uint64_t, std::uint32_t>> keys(centres.size());
    const glm::dvec3 extent = glm::max(high - low, glm::dvec3(1e-9));
    for (std::size_t i = 0; i < centres.size(); ++i)
        keys[i] = {morton_code((centres[i] - low) / extent), static_cast<std::uint32_t>(i)};
    std::sort(keys.begin(), keys.end());
    std::vector<std::uint32_t> order;
    for (const auto& [code, index] : keys)
        order.push_back(index);
    return order;
}

void fill_leaves(const LeafSpace& space, const Foliage& foliage, std::uint32_t salt, std::uint16_t material,
                 std::uint16_t surface, Leaves& leaves) {
    const double area = leaf_area(foliage.leaf_size);
    const double density = foliage.leaf_area_density.value_or(space.leaf_area_density);
    const auto count = static_cast<std::size_t>(std::llround(density * space.volume / area));
    Random random((static_cast<std::uint64_t>(static_cast<std::uint32_t>(foliage.seed)) << 32) ^ salt);
    const double ratio = spheroid_ratio(foliage.leaf_angle_index);
    const double half_length = foliage.leaf_size / 2;
    const double half_width = foliage.leaf_size / 4;
    leaves.corners.reserve(leaves.corners.size() + 4 * count);
    for (const glm::dvec3& centre : leaf_centres(space, foliage, count, random)) {
        const glm::dvec3 normal = draw_leaf_normal(ratio, random);
        const TangentFrame<double> frame(normal);
        const double turn = random.uniform(0, 2 * pi);
        const glm::dvec3 axis = std::cos(turn) * frame.first + std::sin(turn) * frame.second;
        const glm::dvec3 across = glm::cross(normal, axis);
        leaves.corners.emplace_back(centre + half_length * axis);
        leaves.corners.emplace_back(centre + half_width * across);
        leaves.corners.emplace_back(centre - half_length * axis);
        leaves.corners.emplace_back(centre - half_width * across);
        leaves.material.push_back(material);
        leaves.surface.push_back(surface);
    }
}

} // namespace duskcast
