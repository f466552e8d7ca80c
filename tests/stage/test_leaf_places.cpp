// How leaves are laid on twigs, and what the kinds of plants look like by their habit.

#include "duskcast/stage/foliage.hpp"
#include "plant_body.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A ball of leaves 2 m wide on a stem of 1 m.
PlantBody make_ball(std::size_t leaves, double leaf_angle_index = 0) {
    PlantBody body;
    body.tree = make_usual_tree("oak", 3);
    body.tree.base = 1;
    body.tree.width = 2;
    body.tree.form = CrownForm::round;
    body.tree.foliage.leaf_angle_index = leaf_angle_index;
    body.tree.foliage.leaf_size = 0.1;
    body.words = read_plant("oak");
    body.contains = [](const glm::dvec3& place) { return glm::distance(place, glm::dvec3(0, 0, 2)) <= 1; };
    body.leaves = leaves;
    return body;
}

/// The plan of a plant as its words have it, with so many leaves.
struct Planned {
    Tree tree;
    PlantPlan plan;
};

Planned plan(const std::string& words, std::size_t leaves = 4000) {
    const PlantBody body = make_body(words, leaves);
    Random random(6);
    return {body.tree, plan_plant(body, random)};
}

template <class Value> double mean_of(const PlantPlan& plan, Value value) {
    double sum = 0;
    for (const LeafPlace& leaf : plan.leaves)
        sum += value(leaf) / static_cast<double>(plan.leaves.size());
    return sum;
}

double level_of(const glm::dvec3& place) {
    return std::hypot(place.x, place.y);
}

} // namespace

TEST_CASE("a leaf's axis and normal are unit and square to each other, of every kind") {
    for (const PlantKind& kind : plant_kinds()) {
        CAPTURE(std::string(kind.name));
        const Planned made = plan(std::string(kind.name), 1500);
        REQUIRE(made.plan.leaves.size() == 1500);
        for (const LeafPlace& leaf : made.plan.leaves) {
            CHECK(glm::length(leaf.axis) == doctest::Approx(1).epsilon(1e-9));
            CHECK(glm::length(leaf.normal) == doctest::Approx(1).epsilon(1e-9));
            CHECK(std::abs(glm::dot(leaf.axis, leaf.normal)) < 1e-6);
            CHECK(!leaf.is_blossom); // nothing blooms unless it is said
        }
        // Plants grow round their stem: the mean of their leaves is about its axis.
        glm::dvec3 middle(0);
        for (const LeafPlace& leaf : made.plan.leaves)
            middle += leaf.centre / 1500.0;
        CHECK(level_of(middle) < 0.12 * made.tree.width);
        CHECK(middle.z > made.tree.base);
        CHECK(middle.z < made.tree.height);
    }
}

TEST_CASE("a layer takes as many leaves as the plant has, and none more") {
    const PlantBody body = make_ball(5);
    Random random(1);
    PlantPlan plan;
    LeafLayer layer(body, random, plan);
    layer.add({0, 0, 2}, {0, 0, 1});
    layer.add_along({0, 0, 2}, {1, 0, 0}, 0.5, true);
    CHECK(!layer.is_full());
    layer.add_shoot({0, 0, 2}, {0, 0, 1}, 10, false);
    CHECK(layer.is_full());
    layer.add({0, 0, 2}, {0, 0, 1});
    layer.add_along({0, 0, 2}, {1, 0, 0}, 0.5);
    CHECK(plan.leaves.size() == 5);
    CHECK(plan.leaves[1].is_blossom);
    CHECK(plan.leaves[1].axis == glm::dvec3(1, 0, 0));
}

TEST_CASE("leaves keep their angle distribution when their tips are turned to the light") {
    // G straight down, the mean of |n_z|, is the spheroid's as before: f1 + f2 (CLM5 eq. 3.3).
    for (const double chi : {-0.3, 0.0, 0.4}) {
        const PlantBody body = make_ball(20'000, chi);
        Random random(3);
        PlantPlan plan;
        LeafLayer layer(body, random, plan);
        while (!layer.is_full())
            layer.add({0, 0, 2}, {0.3, 0, -1});
        const double f1 = 0.5 - 0.633 * chi - 0.33 * chi * chi;
        CAPTURE(chi);
        CHECK(mean_of(plan, [](const LeafPlace& leaf) { return std::abs(leaf.normal.z); }) ==
              doctest::Approx(f1 + 0.877 * (1 - 2 * f1)).epsilon(0.01).scale(0));
        const glm::dvec3 wanted = glm::normalize(glm::dvec3(0.3, 0, -1));
        double least = 1;
        for (const LeafPlace& leaf : plan.leaves) { // nothing in the leaf's plane points nearer to it
            const double best = std::sqrt(std::max(0.0, 1 - std::pow(glm::dot(leaf.normal, wanted), 2)));
            least = std::min(least, glm::dot(leaf.axis, wanted) - best);
        }
        CHECK(least > -1e-6);
    }
}

TEST_CASE("the flatter sprays are laid, the more they face up") {
    double before = -1;
    for (const double flatness : {0.0, 0.5, 1.0}) {
        const PlantBody body = make_ball(4000);
        Random random(4);
        PlantPlan plan;
        LeafLayer layer(body, random, plan);
        while (!layer.is_full())
            layer.add_along({0, 0, 2}, {1, 0.4, -0.3}, flatness);
        const double up = mean_of(plan, [](const LeafPlace& leaf) { return std::abs(leaf.normal.z); });
        CHECK(up > before + 0.05);
        before = up;
        const double least_lean = 0.3 / std::sqrt(1 + 0.16 + 0.09); // of the axis: the normal is square to it
        if (flatness == 0) // turned evenly: the mean of |cos| is 2 / pi
            CHECK(up ==
                  doctest::Approx(2 / pi * std::sqrt(1 - least_lean * least_lean)).epsilon(0.03).scale(0));
        if (flatness == 1)
            CHECK(up == doctest::Approx(std::sqrt(1 - least_lean * least_lean)).epsilon(1e-6).scale(0));
    }
}

TEST_CASE("leaves that would lie outside are drawn in, and the others stay where they are") {
    const PlantBody body = make_ball(2000);
    Random random(5);
    PlantPlan plan;
    LeafLayer layer(body, random, plan);
    Dice dice(5);
    for (int i = 0; i < 2000; ++i) {
        const glm::dvec3 wanted = glm::dvec3(0, 0, 2) + 1.6 * dice.uniform() * dice.direction();
        layer.add_along(wanted, {0, 0, 1}, 0);
        const glm::dvec3& placed = plan.leaves.back().centre;
        CHECK(body.contains(placed));
        if (body.contains(wanted) && std::abs(wanted.z - 2) < 0.99)
            CHECK(glm::distance(placed, wanted) < 1e-12);
        else
            CHECK(glm::distance(placed, wanted) < 1.2);
    }
}

TEST_CASE("places in a crown are found evenly over its volume") {
    // Of a ball: mean distance from its middle 3/4 r, an eighth within half its radius, half in each half.
    const PlantBody body = make_ball(0);
    Random random(8);
    constexpr int count = 20'000;
    double distance = 0, inner = 0, upper = 0, right = 0;
    for (int i = 0; i < count; ++i) {
        const glm::dvec3 place = find_place(body, random);
        const double off = glm::distance(place, glm::dvec3(0, 0, 2));
        CHECK(off <= 1);
        distance += off / count;
        inner += (off < 0.5 ? 1.0 : 0.0) / count;
        upper += (place.z > 2 ? 1.0 : 0.0) / count;
        right += (place.x > 0 ? 1.0 : 0.0) / count;
    }
    CHECK(distance == doctest::Approx(0.75).epsilon(0.005).scale(0));
    CHECK(inner == doctest::Approx(0.125).epsilon(0.06).scale(0)); // three standard errors: 0.007
    CHECK(upper == doctest::Approx(0.5).epsilon(0.022).scale(0));  // 0.0106
    CHECK(right == doctest::Approx(0.5).epsilon(0.022).scale(0));
    PlantBody nowhere = body;
    nowhere.contains = [](const glm::dvec3&) { return false; };
    CHECK(find_place(nowhere, random) == glm::dvec3(0, 0, 2)); // the middle
}

TEST_CASE("a shoot carries its leaves round it by the golden angle, a truss its petals on a ball") {
    const PlantBody body = make_ball(100);
    Random random(2);
    PlantPlan plan;
    LeafLayer layer(body, random, plan);
    const glm::dvec3 from(0.1, 0, 2);
    layer.add_shoot(from, {0, 0, 0.5}, 10, false);
    REQUIRE(plan.leaves.size() == 10);
    // Seen from above, the leaves' azimuths step by the golden angle, 137.5 degrees.
    for (std::size_t i = 1; i < 10; ++i) {
        const glm::dvec3 before = plan.leaves[i - 1].centre - from, now = plan.leaves[i].centre - from;
        double step = std::atan2(now.y, now.x) - std::atan2(before.y, before.x);
        step -= 2 * pi * std::floor(step / (2 * pi));
        CHECK(std::min(step, 2 * pi - step) == doctest::Approx(2.39996).epsilon(1e-3).scale(0));
    }
    for (const LeafPlace& leaf : plan.leaves) { // the twig is 0.22 leaves long for each of them
        CHECK(leaf.centre.z - from.z > -0.1);
        CHECK(leaf.centre.z - from.z < 0.22 * 0.1 * 10 + 0.1);
        CHECK(level_of(leaf.centre - from) < 0.08 + 1e-9);
        CHECK(level_of(leaf.centre - from) > 0.03);
    }
    PlantBody truss = make_ball(40);
    truss.words = read_plant("hydrangea, in bloom");
    REQUIRE(truss.kind().truss > 0);
    PlantPlan flowers;
    LeafLayer petals(truss, random, flowers);
    petals.add_shoot(from, {0, 0, 1}, 40, true);
    for (const LeafPlace& petal : flowers.leaves) {
        CHECK(petal.is_blossom);
        CHECK(glm::distance(petal.centre, from) == doctest::Approx(truss.kind().truss).scale(0));
        CHECK(glm::dot(petal.normal, glm::normalize(petal.centre - from)) == doctest::Approx(1)); // its skin
    }
}

TEST_CASE("each habit has the shape that tells it from the others") {
    const auto share = [](const PlantPlan& plan, auto is_in) {
        return mean_of(plan, [&](const LeafPlace& leaf) { return is_in(leaf) ? 1.0 : 0.0; });
    };
    SUBCASE("a palm's feathers hang from one point at the top of a bare trunk") {
        const Planned palm = plan("palm");
        CHECK(share(palm.plan, [&](const LeafPlace& leaf) { return leaf.centre.z > palm.tree.base; }) > 0.99);
        const double heart = palm.tree.base + 0.45 * (palm.tree.height - palm.tree.base);
        // Close to the trunk nothing hangs far below the heart; at the tips much does.
        const auto hangs = [&](const LeafPlace& leaf, double from, double to) {
            const double off = level_of(leaf.centre) / (palm.tree.width / 2);
            return off > from && off < to &&
                   leaf.centre.z < heart - 0.15 * (palm.tree.height - palm.tree.base);
        };
        CHECK(share(palm.plan, [&](const LeafPlace& leaf) { return hangs(leaf, 0.5, 1); }) >
              2 * share(palm.plan, [&](const LeafPlace& leaf) { return hangs(leaf, 0, 0.25); }));
    }
    SUBCASE("a grass is narrow at its foot and wide above it") {
        const Planned grass = plan("fountain grass");
        double low = 0, wide = 0;
        for (const LeafPlace& leaf : grass.plan.leaves) {
            double& most = leaf.centre.z < 0.2 * grass.tree.height ? low : wide;
            most = std::max(most, level_of(leaf.centre));
        }
        CHECK(low < 0.7 * wide);
        CHECK(wide > 0.35 * grass.tree.width);
        // Blades run along themselves: those at the foot point up, those at the rim outwards or down.
        const double foot = mean_of(grass.plan, [&](const LeafPlace& leaf) {
            return leaf.centre.z < 0.3 * grass.tree.height ? leaf.axis.z : 0.0;
        });
        CHECK(foot > 0);
    }
    SUBCASE("a grass in bloom carries plumes above its blades") {
        const Planned grass = plan("fountain grass, in bloom");
        double lowest = 1e9, count = 0;
        for (const LeafPlace& leaf : grass.plan.leaves)
            if (leaf.is_blossom) {
                lowest = std::min(lowest, leaf.centre.z);
                count += 1 / static_cast<double>(grass.plan.leaves.size());
                CHECK(leaf.axis.z > 0.9); // upright
            }
        CHECK(count == doctest::Approx(read_plant("fountain grass").kind->bloom).epsilon(0.02).scale(0));
        CHECK(lowest > 0.8 * grass.tree.height);
    }
    SUBCASE("a hosta's leaves rise in the middle and lie at the rim") {
        const Planned hosta = plan("hosta");
        double inner = 0, outer = 0;
        int count_inner = 0, count_outer = 0;
        for (const LeafPlace& leaf : hosta.plan.leaves) {
            const double off = level_of(leaf.centre) / (hosta.tree.width / 2);
            if (off < 0.35)
                inner += leaf.axis.z, ++count_inner;
            else if (off > 0.7)
                outer += leaf.axis.z, ++count_outer;
        }
        REQUIRE(std::min(count_inner, count_outer) > 100);
        CHECK(inner / count_inner > 0.2);
        CHECK(outer / count_outer < 0);
    }
    SUBCASE("a willow hangs lower than the wood that carries it") {
        const Planned willow = plan("willow");
        double limbs = 0, count = 0;
        for (const WoodNode& node : willow.plan.wood)
            if (node.radius > 0.03 && level_of(node.at) > 0.15 * willow.tree.width)
                limbs += node.at.z, ++count;
        REQUIRE(count > 5);
        CHECK(mean_of(willow.plan, [](const LeafPlace& leaf) { return leaf.centre.z; }) < limbs / count);
        // Its leaves point down, those of an oak do not.
        const auto axis = [](const LeafPlace& leaf) { return leaf.axis.z; };
        CHECK(mean_of(willow.plan, axis) < -0.3);
        CHECK(mean_of(plan("oak").plan, axis) > mean_of(willow.plan, axis) + 0.2);
    }
    SUBCASE("a spruce has boughs from its foot, a pine a bare stem and its needles at the boughs' ends") {
        const auto inside = [](const LeafPlace& leaf, const Tree& tree) {
            return level_of(leaf.centre) / std::max(0.05, crown_radius(tree, leaf.centre.z));
        };
        const Planned spruce = plan("spruce"), pine = plan("pine");
        CHECK(spruce.tree.base < 0.1 * spruce.tree.height);
        CHECK(pine.tree.base > 0.1 * pine.tree.height);
        CHECK(mean_of(pine.plan, [&](const LeafPlace& leaf) { return inside(leaf, pine.tree); }) > 0.5);
        // Sprays lie flat, and what is laid in whorls leaves room between them.
        CHECK(mean_of(spruce.plan, [](const LeafPlace& leaf) { return std::abs(leaf.normal.z); }) > 0.6);
    }
    SUBCASE("a cypress is all steep sprays near its skin") {
        const Planned cypress = plan("arborvitae");
        CHECK(mean_of(cypress.plan, [](const LeafPlace& leaf) { return leaf.axis.z; }) > 0.5);
        CHECK(share(cypress.plan, [&](const LeafPlace& leaf) {
                  return level_of(leaf.centre) > 0.5 * crown_radius(cypress.tree, leaf.centre.z);
              }) > 0.75); // evenly filled it were three quarters
    }
    SUBCASE("lavender flowers at the tips of its stems") {
        const Planned lavender = plan("lavender, in bloom");
        double leaves = 0, flowers = 0, count = 0;
        for (const LeafPlace& leaf : lavender.plan.leaves) {
            (leaf.is_blossom ? flowers : leaves) += leaf.centre.z;
            count += leaf.is_blossom ? 1 : 0;
        }
        const double rest = static_cast<double>(lavender.plan.leaves.size()) - count;
        REQUIRE(count > 100);
        CHECK(flowers / count > leaves / rest + 0.2 * lavender.tree.height);
        CHECK(count / (count + rest) == doctest::Approx(lavender.tree.foliage.leaf == LeafKind::twigs
                                                            ? 0
                                                            : read_plant("lavender").kind->bloom)
                                            .epsilon(0.1)
                                            .scale(0));
    }
    SUBCASE("a hydrangea's flowers are where the light is") {
        const Planned bush = plan("hydrangea, in bloom");
        const auto off = [&](const LeafPlace& leaf) {
            const glm::dvec3 middle(0, 0, bush.tree.base + 0.35 * (bush.tree.height - bush.tree.base));
            return glm::distance(leaf.centre, middle);
        };
        double leaves = 0, flowers = 0, count = 0;
        for (const LeafPlace& leaf : bush.plan.leaves) {
            (leaf.is_blossom ? flowers : leaves) += off(leaf);
            count += leaf.is_blossom ? 1 : 0;
        }
        REQUIRE(count > 100);
        CHECK(flowers / count > leaves / (static_cast<double>(bush.plan.leaves.size()) - count));
    }
    SUBCASE("what has many stems has them round its foot") {
        const Planned clump = plan("multi-stem birch"), single = plan("birch");
        const auto count_stems = [](const PlantPlan& plan) {
            return std::count_if(plan.wood.begin(), plan.wood.end(),
                                 [](const WoodNode& node) { return node.parent < 0; });
        };
        CHECK(count_stems(single.plan) == 1);
        CHECK(count_stems(clump.plan) == 4);
        CHECK(count_stems(plan("boxwood").plan) == 7);
        glm::dvec3 mean(0);
        for (const WoodNode& node : clump.plan.wood)
            if (node.parent < 0)
                mean += node.at / 4.0;
        CHECK(level_of(mean) < 0.5 * trunk_diameter(clump.tree)); // on all sides
    }
}
