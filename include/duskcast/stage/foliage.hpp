#pragma once
// Crowns, hedges and beds as leaves at random.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <glm/glm.hpp>
#include <vector>

#include "duskcast/base/random.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/stage/geometry.hpp"

namespace duskcast {

/// A region to be filled with leaves.
struct LeafSpace {
    glm::dvec3 low{0};
    glm::dvec3 high{0};
    std::function<bool(const glm::dvec3&)> contains;
    double volume = 0;            ///< m3
    double leaf_area_density = 0; ///< m2/m3, of a foliage that gives none itself
    std::vector<RunSegment> run;  ///< a hedge's middle line; empty for other plants
    double half_width = 0;        ///< of a hedge
    glm::dvec2 rise{0};           ///< of what shrubs stand on: a leaf found in here is put up by that ...
    glm::dvec2 footing{0};        ///< ... times its way from here
};

LeafSpace make_leaf_space(const Tree& tree);
LeafSpace make_leaf_space(const Shrub& shrub);

/// Ratio of the level to the upright semi-axis of the spheroid whose surface gives the leaf normals
/// (Campbell 1986), such that G straight down equals the Ross-Goudriaan value
/// 0.5 - 0.633 chi - 0.33 chi^2 + 0.877 (1 - 2 f1) (CLM5 eq. 3.3). 1 at chi = 0.
double spheroid_ratio(double leaf_angle_index);

/// A leaf normal, unit: those of that spheroid's surface, every patch of surface as likely as its area.
glm::dvec3 draw_leaf_normal(double spheroid_ratio, Random& random);

/// The centres' indices along a Morton curve through the box.
std::vector<std::uint32_t> morton_order(const std::vector<glm::dvec3>& centres, const glm::dvec3& low,
                                        const glm::dvec3& high);

/// How many of `count` leaves the first `part` of so many equal parts have. In 64 bits, which the product
/// needs where std::size_t has 32.
inline std::size_t count_in_first(std::size_t part, std::size_t parts, std::size_t count) {
    return static_cast<std::size_t>(std::uint64_t{count} * part / parts);
}

/// Adds round(density x volume / leaf area) leaves, seeded by the foliage's seed and `salt`,
/// in Morton order. Random positions give Beer-Lambert gaps: P = exp(-G u s).
/// Clumping c puts the share c of the leaves within a twig's reach (a third of a metre) of common centres,
/// 0.23 m2 of leaves round each (no source).
void fill_leaves(const LeafSpace& volume, const Foliage& foliage, std::uint32_t salt, std::uint16_t material,
                 std::uint16_t surface, Leaves& leaves);

} // namespace duskcast
