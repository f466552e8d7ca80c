// The laws that leaves at random follow: normals of a spheroid, the order along Morton's curve, counts.

#include "duskcast/site/layout.hpp"
#include "duskcast/stage/foliage.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// Means over a spheroid's surface, upright semi-axis 1 and level semi-axis `ratio`, by quadrature over the
/// angle t from the pole: the point (ratio sin t, cos t), the strip 2 pi ratio sin t |(ratio cos t, sin t)|
/// dt, the normal (sin t, ratio cos t) / |.|.
struct SpheroidMeans {
    double up = 0, square = 0; ///< of |n_z| and n_z^2
};

SpheroidMeans integrate_spheroid(double ratio) {
    SpheroidMeans means;
    double all = 0;
    constexpr int steps = 20'000;
    for (int i = 0; i < steps; ++i) {
        const double t = pi / 2 * (i + 0.5) / steps, s = std::sin(t), c = std::cos(t);
        const double strip = s * std::hypot(ratio * c, s), up = ratio * c / std::hypot(s, ratio * c);
        all += strip;
        means.up += strip * up;
        means.square += strip * up * up;
    }
    means.up /= all;
    means.square /= all;
    return means;
}

} // namespace

TEST_CASE("leaf normals are those of a spheroid's surface, by quadrature over it") {
    for (const double ratio : {0.3, 0.8, 1.0, 1.7, 4.0}) {
        const SpheroidMeans wanted = integrate_spheroid(ratio);
        Random random(21);
        constexpr int count = 60'000;
        double up = 0, square = 0;
        glm::dvec3 sum(0);
        for (int i = 0; i < count; ++i) {
            const glm::dvec3 normal = draw_leaf_normal(ratio, random);
            CHECK(std::abs(glm::length(normal) - 1) < 1e-9);
            up += std::abs(normal.z) / count;
            square += normal.z * normal.z / count;
            sum += normal / double(count);
        }
        CAPTURE(ratio);
        // Four standard errors of means of numbers within 0..1.
        CHECK(std::abs(up - wanted.up) < 4 * 0.3 / std::sqrt(count));
        CHECK(std::abs(square - wanted.square) < 4 * 0.35 / std::sqrt(count));
        CHECK(glm::length(sum) < 4 / std::sqrt(count)); // no side is preferred
    }
}

TEST_CASE("the spheroid of a leaf angle index projects what Ross and Goudriaan say") {
    // Straight down: the mean of |n_z| over the surface (Campbell 1986).
    double before = 0;
    for (const double chi : {-0.4, -0.2, 0.0, 0.2, 0.4, 0.6}) {
        const double ratio = spheroid_ratio(chi);
        const double f1 = 0.5 - 0.633 * chi - 0.33 * chi * chi;
        CAPTURE(chi);
        CHECK(integrate_spheroid(ratio).up ==
              doctest::Approx(f1 + 0.877 * (1 - 2 * f1)).epsilon(1e-5).scale(0));
        CHECK(ratio > before); // flatter leaves, flatter spheroid
        before = ratio;
    }
    CHECK(spheroid_ratio(0) == doctest::Approx(1).epsilon(1e-6));
}

TEST_CASE("Morton's order is that of the interleaved binary digits") {
    Dice dice(61);
    std::vector<glm::dvec3> centres;
    for (int i = 0; i < 500; ++i) {
        const double x = dice.uniform(-3, 5), y = dice.uniform(10, 11);
        centres.emplace_back(x, y, dice.uniform(0, 4));
    }
    centres.push_back(centres[7]); // the same place twice: the first comes first
    const glm::dvec3 low(-3, 10, 0), high(5, 11, 4);
    const std::vector<std::uint32_t> order = morton_order(centres, low, high);
    // Digit by digit, the highest first: z, y, x of each.
    const auto is_before = [&](std::uint32_t a, std::uint32_t b) {
        glm::dvec3 one = (centres[a] - low) / (high - low) * (2097151.0 / 2097152),
                   other = (centres[b] - low) / (high - low) * (2097151.0 / 2097152);
        for (int digit = 0; digit < 21; ++digit)
            for (const int axis : {2, 1, 0}) {
                if (axis == 2) {
                    one *= 2;
                    other *= 2;
                }
                const double first = std::floor(one[axis]), second = std::floor(other[axis]);
                one[axis] -= first;
                other[axis] -= second;
                if (first != second)
                    return first < second;
            }
        return a < b;
    };
    std::vector<std::uint32_t> slow(centres.size());
    for (std::uint32_t i = 0; i < slow.size(); ++i)
        slow[i] = i;
    std::sort(slow.begin(), slow.end(), is_before);
    CHECK(order == slow);
    CHECK(morton_order({}, low, high).empty());
    CHECK(morton_order({{1, 1, 1}}, {1, 1, 1}, {1, 1, 1}) ==
          std::vector<std::uint32_t>{0}); // a box of no size
}

TEST_CASE("leaves are added behind those there are, in number as their area asks") {
    Foliage foliage;
    foliage.leaf_size = 0.1;
    Shrub bed;
    bed.id = "bed";
    bed.outline = {{0, 0}, {2, 0}, {2, 1}, {0, 1}};
    bed.height = 0.5;
    bed.foliage = foliage;
    LeafSpace space = make_leaf_space(bed);
    CHECK(space.volume == doctest::Approx(1));
    Leaves leaves;
    std::size_t before = 0;
    for (const double density : {0.5, 1.3, 4.0}) {
        foliage.leaf_area_density = density;
        fill_leaves(space, foliage, 3, 11, 12, leaves);
        CHECK(leaves.size() - before == static_cast<std::size_t>(std::lround(density / leaf_area(0.1))));
        before = leaves.size();
    }
    CHECK(leaves.corners.size() == 4 * leaves.size());
    CHECK(leaves.material.back() == 11);
    CHECK(leaves.surface.back() == 12);
    // Where the foliage gives none, the plant's own word for it counts.
    foliage.leaf_area_density.reset();
    space.leaf_area_density = 2;
    Leaves other;
    fill_leaves(space, foliage, 3, 0, 0, other);
    CHECK(other.size() == static_cast<std::size_t>(std::lround(2 / leaf_area(0.1))));
}
