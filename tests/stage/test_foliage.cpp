// Leaves: how many, where, how they lie, and how much light gets between them.

#include "duskcast/stage/foliage.hpp"
#include "duskcast/stage/trunk.hpp"
#include "solids.hpp"

#include <numeric>

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// Projected leaf area per leaf area for light at zenith angle theta. Leaf normals are those of a spheroid of
/// upright semi-axis 1 and level one `a`, whose outline from theta is an ellipse of area pi a sqrt(a^2 cos^2
/// + sin^2); over half its surface, which is integrated ring by ring in the polar angle of its parametric
/// form.
double leaf_projection(double leaf_angle_index, double theta) {
    const double a = spheroid_ratio(leaf_angle_index);
    constexpr int rings = 4000;
    double surface = 0;
    for (int ring = 0; ring < rings; ++ring) {
        const double g = pi * (ring + 0.5) / rings;
        surface += 2 * pi * a * std::sin(g) * std::hypot(a * std::cos(g), std::sin(g)) * pi / rings;
    }
    return 2 * pi * a * std::hypot(a * std::cos(theta), std::sin(theta)) / surface;
}

Shrub make_slab(double side, double height, const Foliage& foliage) {
    Shrub shrub;
    shrub.id = "slab";
    shrub.outline = {{0, 0}, {side, 0}, {side, side}, {0, side}};
    shrub.height = height;
    shrub.foliage = foliage;
    return shrub;
}

Tree make_tree(CrownForm form, double height, double base, double width, const Foliage& foliage) {
    Tree tree;
    tree.id = "tree";
    tree.at = {3, -2};
    tree.foot = 0.5;
    tree.form = form;
    tree.height = height;
    tree.base = base;
    tree.width = width;
    tree.foliage = foliage;
    return tree;
}

Leaves make_leaves(const LeafSpace& space, const Foliage& foliage, std::uint32_t salt = 1) {
    Leaves leaves;
    fill_leaves(space, foliage, salt, 0, 0, leaves);
    return leaves;
}

/// A figure over independent seeds.
struct Estimate {
    double mean = 0;
    double error = 0; ///< standard error of the mean
};

template <class Measure> Estimate estimate(int seeds, Measure measure) {
    std::vector<double> values;
    for (int seed = 1; seed <= seeds; ++seed)
        values.push_back(measure(seed));
    Estimate result;
    result.mean = std::accumulate(values.begin(), values.end(), 0.0) / seeds;
    double squares = 0;
    for (const double value : values)
        squares += (value - result.mean) * (value - result.mean);
    result.error = std::sqrt(squares / (seeds - 1) / seeds);
    return result;
}

/// Share of rays that meet no leaf, over rays that make(dice, ray) lays.
template <class Make> double gap_share(const Leaves& leaves, int count, std::uint64_t seed, Make make) {
    const Triangles none;
    const RayKernel kernel(none, none, leaves, {}, {});
    Dice dice(seed);
    std::vector<Ray> rays(count);
    for (Ray& ray : rays) {
        ray.far_end = 100;
        make(dice, ray);
    }
    kernel.find_occluded(rays, Coherence::incoherent);
    const auto gaps =
        std::count_if(rays.begin(), rays.end(), [](const Ray& ray) { return !ray.is_occluded(); });
    return static_cast<double>(gaps) / count;
}

void check_within_three_errors(const Estimate& measured, double expected) {
    CAPTURE(measured.mean);
    CAPTURE(measured.error);
    CAPTURE(expected);
    CHECK(measured.error > 0);
    CHECK(measured.error < 0.004);
    CHECK(std::abs(measured.mean - expected) < 3 * measured.error);
}

/// Gaps of a slab 2 m high for light at zenith angle theta.
Estimate slab_gaps(Foliage foliage, double theta) {
    return estimate(6, [&](int seed) {
        foliage.seed = seed;
        const Leaves leaves = make_leaves(make_leaf_space(make_slab(8, 2, foliage)), foliage);
        return gap_share(leaves, 20'000, seed, [&](Dice& dice, Ray& ray) {
            ray.direction = glm::vec3(std::sin(theta), 0, std::cos(theta));
            const double y =
                dice.uniform(0.4, 7.6); // one after the other: compilers differ in a call's order
            const double x = dice.uniform(0.4, 7.6 - 2 * std::tan(theta));
            ray.origin = glm::vec3(x, y, 0) - 0.5f * ray.direction;
        });
    });
}

} // namespace

TEST_CASE("gaps of a slab follow Beer and Lambert") {
    // Source: P = exp(-G u s) (Monsi and Saeki 1953), G = 0.5 for spherical leaf angles (CLM5 eq. 3.3).
    Foliage foliage;
    foliage.leaf_size = 0.08;
    for (const auto& [leaves, angle] : {std::pair(0.5, 0.0), {1.0, 0.0}, {1.0, 30.0}, {1.0, 60.0}}) {
        const double density = leaves, theta_deg = angle; // clang 15 captures no part of a pair
        foliage.leaf_area_density = density;
        CAPTURE(density);
        CAPTURE(theta_deg);
        const double theta = radians_from_degrees(theta_deg);
        check_within_three_errors(slab_gaps(foliage, theta), std::exp(-0.5 * density * 2 / std::cos(theta)));
    }
    SUBCASE("leaves that lie flatter shade more from above") {
        // G straight down at chi = 0.25 is 0.6349 (CLM5 eq. 3.3).
        foliage.leaf_angle_index = 0.25;
        foliage.leaf_area_density = 1;
        check_within_three_errors(slab_gaps(foliage, 0), std::exp(-0.6349 * 2));
    }
    SUBCASE("clumped leaves let more light through") {
        foliage.leaf_area_density = 1;
        double last = std::exp(-1.0);
        for (const double clumping : {0.4, 0.8}) {
            foliage.clumping = clumping;
            const Estimate measured = slab_gaps(foliage, 0);
            CAPTURE(clumping);
            CAPTURE(measured.mean);
            CHECK(measured.mean > last + 0.005 + 3 * measured.error);
            last = measured.mean;
        }
    }
}

TEST_CASE("the mean light through a round crown is that of a sphere of leaves") {
    // Source: integral of exp(-G u s) over the disk of a sphere's shadow, T = 2 [1 - (1 + t) e^-t] / t^2,
    // t = 2 G u R; closed form, values computed from it.
    const double radius = 1.5;
    for (const auto& [depth, expected] :
         {std::pair(0.5, 0.721632), {1.0, 0.528482}, {2.0, 0.296997}, {3.0, 0.177967}, {6.0, 0.054592}}) {
        const double t = depth;
        CAPTURE(t);
        CHECK(2 * (1 - (1 + t) * std::exp(-t)) / (t * t) == doctest::Approx(expected).epsilon(1e-5));
        Foliage foliage;
        foliage.leaf_size = 0.04;
        foliage.leaf_area_density = t / radius; // G = 1/2
        const Tree tree = make_tree(CrownForm::round, 4, 1, 2 * radius, foliage);
        const Estimate measured = estimate(5, [&](int seed) {
            foliage.seed = seed;
            const Leaves leaves = make_leaves(make_leaf_space(tree), foliage);
            const glm::dvec3 centre(tree.at, tree.foot + 2.5);
            return gap_share(leaves, 20'000, seed, [&, centre](Dice& dice, Ray& ray) {
                const glm::dvec3 way = dice.direction();
                const glm::dvec3 e1 = glm::normalize(glm::cross(way, glm::dvec3(0.3, 0.5, 0.8)));
                const glm::dvec3 e2 = glm::cross(way, e1);
                const double r = radius * std::sqrt(dice.uniform());
                const double angle = dice.uniform(0, 2 * pi);
                ray.direction = glm::vec3(way);
                ray.origin =
                    glm::vec3(centre - 10.0 * way + r * (std::cos(angle) * e1 + std::sin(angle) * e2));
            });
        });
        check_within_three_errors(measured, expected);
    }
}

TEST_CASE("leaf projection is the Ross-Goudriaan value straight down, and near it elsewhere") {
    // Source: G = f1 + f2 cos(theta), f1 = 0.5 - 0.633 chi - 0.33 chi^2, f2 = 0.877 (1 - 2 f1) (CLM5
    // eq. 3.3); the table's values at 0, 30, 60 and 90 degrees are computed from it.
    struct Row {
        double chi;
        std::array<double, 4> g;
    };
    for (const Row& row : {Row{0.25, {0.6349, 0.5928, 0.4780, 0.3211}},
                           Row{-0.3, {0.3792, 0.4169, 0.5197, 0.6602}}, Row{0, {0.5, 0.5, 0.5, 0.5}}}) {
        CAPTURE(row.chi);
        for (int i = 0; i < 4; ++i) {
            const double theta = radians_from_degrees(30.0 * i);
            CAPTURE(theta);
            const double off = leaf_projection(row.chi, theta) - row.g[i];
            CAPTURE(off);
            const std::array<double, 4> stated{6e-5, 0.013, 0.008, 0.107}; // from the linear form
            CHECK(std::abs(off) < (row.chi == 0 ? 1e-6 : stated[i]));
        }
    }
    // No distribution of leaf normals has a G linear in cos(theta); the spheroid's obeys what every one must:
    // averaged over the sphere of directions, G is one half (Cauchy).
    for (const double chi : {-0.4, -0.3, 0.0, 0.25, 0.6}) {
        double mean = 0;
        const int steps = 2000;
        for (int i = 0; i < steps; ++i) // uniform in cos(theta)
            mean += leaf_projection(chi, std::acos((i + 0.5) / steps)) / steps;
        CAPTURE(chi);
        CHECK(mean == doctest::Approx(0.5).epsilon(1e-4));
    }
}

TEST_CASE("the made leaves have the projection that is promised") {
    // Source: G(direction) is the mean of |normal . direction| over leaf area; within three standard errors.
    for (const double chi : {-0.4, -0.3, 0.0, 0.25, 0.6}) {
        Foliage foliage;
        foliage.leaf_area_density = 1;
        foliage.leaf_size = 0.1;
        foliage.leaf_angle_index = chi;
        const Leaves leaves = make_leaves(make_leaf_space(make_slab(10, 1, foliage)), foliage);
        REQUIRE(leaves.size() == 40'000);
        for (const double theta_deg : {0.0, 30.0, 60.0, 90.0}) {
            const double theta = radians_from_degrees(theta_deg);
            double sum = 0;
            double squares = 0;
            for (std::size_t i = 0; i < leaves.size(); ++i) {
                const double azimuth = 0.1 * static_cast<double>(i); // every way round
                const double on =
                    std::abs(glm::dot(glm::dvec3(leaves.normal(i)),
                                      glm::dvec3(std::sin(theta) * std::cos(azimuth),
                                                 std::sin(theta) * std::sin(azimuth), std::cos(theta))));
                sum += on;
                squares += on * on;
            }
            const auto count = static_cast<double>(leaves.size());
            const double mean = sum / count;
            const double error = std::sqrt((squares / count - mean * mean) / count);
            CAPTURE(chi);
            CAPTURE(theta_deg);
            CAPTURE(error);
            CHECK(std::abs(mean - leaf_projection(chi, theta)) < 3 * error);
        }
    }
}

TEST_CASE("leaf count and area are density times volume, all within the plant") {
    Foliage foliage;
    foliage.leaf_size = 0.08;
    foliage.leaf_area_density = 1.3;
    const double leaf = 0.08 * 0.08 / 4; // rhomb half as wide as long
    const auto check = [&](const LeafSpace& space, double volume, double tolerance) {
        const Leaves leaves = make_leaves(space, foliage);
        double area = 0;
        int outside = 0;
        for (std::size_t i = 0; i < leaves.size(); ++i) {
            area += leaves.area(i);
            glm::dvec3 centre(leaves.centre(i));
            // Float rounding may put a centre just outside; towards the middle it must be inside.
            centre += 1e-5 * (0.5 * (space.low + space.high) - centre);
            outside += space.contains(centre) ? 0 : 1;
        }
        CHECK(area == doctest::Approx(foliage.leaf_area_density.value() * volume).epsilon(tolerance));
        CHECK(std::abs(static_cast<double>(leaves.size()) -
                       foliage.leaf_area_density.value() * space.volume / leaf) <= 0.51);
        CHECK(outside == 0);
    };
    for (const double clumping : {0.0, 0.7}) {
        foliage.clumping = clumping;
        CAPTURE(clumping);
        // Sphere of radius 1.5: 4/3 pi r^3. Cone: pi r^2 h / 3.
        check(make_leaf_space(make_tree(CrownForm::round, 4, 1, 3, foliage)), 4.0 / 3 * pi * 1.5 * 1.5 * 1.5,
              5e-4);
        check(make_leaf_space(make_tree(CrownForm::cone, 4, 1, 3, foliage)), pi * 1.5 * 1.5 * 3 / 3, 5e-4);
        for (const CrownForm form : {CrownForm::oval, CrownForm::column, CrownForm::vase,
                                     CrownForm::spreading, CrownForm::weeping}) {
            const Tree tree = make_tree(form, 4, 1, 3, foliage);
            CAPTURE(static_cast<int>(form));
            check(make_leaf_space(tree), crown_volume(tree), 5e-4);
        }
        check(make_leaf_space(make_slab(3, 1.5, foliage)), 3 * 3 * 1.5, 5e-4);
        Shrub bed = make_slab(1, 0.8, foliage); // an L: 4 x 3 less 2 x 2
        bed.outline = {{0, 0}, {4, 0}, {4, 1}, {2, 1}, {2, 3}, {0, 3}};
        bed.foot = 0.3;
        check(make_leaf_space(bed), 8 * 0.8, 5e-4);
    }
    SUBCASE("a long thin hedge across the axes, next to nothing of its box") {
        Shrub hedge;
        hedge.id = "hedge";
        hedge.path = {{0, 0}, {150, 150}};
        hedge.width = 0.3;
        hedge.height = 0.5;
        hedge.foliage = foliage;
        const LeafSpace space = make_leaf_space(hedge);
        const Leaves leaves = make_leaves(space, foliage);
        double worst = 0;
        double along = 0;
        for (std::size_t i = 0; i < leaves.size(); ++i) {
            const glm::vec3 centre = leaves.centre(i);
            worst = std::max<double>(worst, std::abs(centre.x - centre.y) / std::sqrt(2.0f));
            along += (centre.x + centre.y) / std::sqrt(2.0);
        }
        CHECK(worst <= 0.15 + 2e-5);
        CHECK(worst > 0.149);
        // Mean of a uniform spread over 212.1 m: the middle, within three standard errors L / sqrt(12 n).
        const double length = 150 * std::sqrt(2.0);
        const auto count = static_cast<double>(leaves.size());
        CHECK(std::abs(along / count - length / 2) < 3 * length / std::sqrt(12 * count));
    }
}

TEST_CASE("a bed's leaves are dealt out to thousands of plants, also where numbers have 32 bits") {
    constexpr std::size_t leaves = 5'999'999, plants = 4000; // their product needs 35 bits
    std::size_t given = 0, uneven = 0;
    for (std::size_t plant = 0; plant < plants; ++plant) {
        const std::size_t until = count_in_first(plant + 1, plants, leaves);
        uneven += until - given == 1499 || until - given == 1500 ? 0 : 1;
        given = until;
    }
    CHECK(uneven == 0);
    CHECK(given == leaves);
}

TEST_CASE("leaves are the same for the same seed and salt, and differ for others") {
    Foliage foliage;
    const LeafSpace space = make_leaf_space(make_slab(3, 1, foliage));
    const Leaves leaves = make_leaves(space, foliage, 5);
    CHECK(leaves.corners == make_leaves(space, foliage, 5).corners);
    CHECK(leaves.corners != make_leaves(space, foliage, 6).corners);
    foliage.seed = 2;
    CHECK(leaves.corners != make_leaves(space, foliage, 5).corners);
}

TEST_CASE("neighbouring leaves are near each other") {
    // Source: Morton 1966. Random order has a mean step of 0.6617 sides in a cube (Robbins 1978).
    Foliage foliage;
    foliage.leaf_size = 0.05;
    const Leaves leaves = make_leaves(make_leaf_space(make_slab(2, 2, foliage)), foliage);
    REQUIRE(leaves.size() > 10'000);
    double step = 0;
    for (std::size_t i = 0; i + 1 < leaves.size(); ++i)
        step += glm::distance(leaves.centre(i), leaves.centre(i + 1));
    step /= static_cast<double>(leaves.size() - 1);
    CHECK(step < 0.1 * 0.6617 * 2);
}

TEST_CASE("leaves are flat rhombs half as wide as long") {
    Foliage foliage;
    foliage.leaf_area_density = 1;
    foliage.leaf_size = 0.2;
    const Leaves leaves = make_leaves(make_leaf_space(make_slab(1, 1, foliage)), foliage);
    REQUIRE(leaves.size() == 100);
    for (std::size_t i = 0; i < leaves.size(); ++i) {
        const glm::vec3* corner = leaves.corners.data() + 4 * i;
        CHECK(glm::distance(corner[0], corner[2]) == doctest::Approx(0.2).epsilon(1e-5));
        CHECK(glm::distance(corner[1], corner[3]) == doctest::Approx(0.1).epsilon(1e-5));
        CHECK(glm::dot(corner[2] - corner[0], corner[3] - corner[1]) == doctest::Approx(0).epsilon(1e-6));
        CHECK(leaves.area(i) == doctest::Approx(0.01).epsilon(1e-5));
        CHECK(std::abs(glm::dot(leaves.normal(i), corner[1] - corner[0])) < 1e-6);
    }
}

TEST_CASE("wood is closed, stands below the canopy and in the ground") {
    Tree tree = make_tree(CrownForm::round, 9, 2.5, 5, {});
    tree.trunk_diameter = 0.4;
    Triangles wood;
    build_trunk(tree, 1, 3, 4, wood);
    const std::vector<Facet> facets = list_facets(wood);
    CHECK(count_open_edges(facets) == 0);
    // The 12-sided prism alone holds 3 r^2 a metre of height, 3 m of it below the crown.
    CHECK(sum_solid(facets).volume > 3 * 0.2 * 0.2 * 3);
    CHECK(std::all_of(wood.solid.begin(), wood.solid.end(), [](std::uint8_t solid) { return solid == 1; }));
    CHECK(wood.material.front() == 3);
    CHECK(wood.surface.front() == 4);
    const RayKernel kernel(wood, {}, {}, {Material{}, Material{}, Material{}, Material{}}, {});
    for (const double angle : {0.1, 1.3, 2.9, 4.4})
        for (const double z : {0.0, 0.5, 1.5, 2.9}) {
            const glm::vec3 way(std::cos(angle), std::sin(angle), 0);
            const Hit hit = kernel.find_hit(glm::vec3(3, -2, z) + 5.0f * way, -way, 0, 10);
            REQUIRE(hit);
            CHECK(5 - hit.distance <= 0.2001);
            CHECK(5 - hit.distance >= 0.2 * std::cos(pi / 12) - 1e-4); // a 12-sided prism's flat side
        }
    CHECK(sum_solid(facets).low.z < -0.2); // below the level ground though the tree's foot is above it
    CHECK(sum_solid(facets).high.z < 9.5 + 0.5);
}
