// Trunks and limbs: closed bodies, as thick and as long as trees are, grown to their leaves.

#include "duskcast/stage/trunk.hpp"
#include "plant_body.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Triangles build_wood_of(const std::vector<WoodNode>& wood, double furrow, std::size_t most_facets,
                        const glm::dvec3& foot = glm::dvec3(0)) {
    Triangles triangles;
    build_wood(wood, foot, furrow, most_facets, 3, 7, triangles);
    return triangles;
}

/// A random tree of nodes, each beyond its parent.
std::vector<WoodNode> draw_wood(Dice& dice, int nodes) {
    std::vector<WoodNode> wood{{{0, 0, 0}, -1}};
    for (int i = 1; i < nodes; ++i) {
        const int parent = static_cast<int>(dice.uniform(0, i));
        const glm::dvec3 way = dice.direction() + glm::dvec3(0, 0, 1.2);
        wood.push_back({wood[parent].at + 0.4 * glm::normalize(way), parent});
    }
    return wood;
}

Tree make_plain_tree(CrownForm form) {
    Tree tree;
    tree.id = "tree";
    tree.at = {4, -1};
    tree.foot = 0.2;
    tree.height = 7;
    tree.base = 2;
    tree.width = 4;
    tree.form = form;
    tree.trunk_diameter = 0.3;
    return tree;
}

} // namespace

TEST_CASE("wood of every kind is closed, looks outwards, and stands in the ground") {
    for (const PlantKind& kind : plant_kinds()) {
        CAPTURE(std::string(kind.name));
        Random random(4);
        const PlantBody body = make_body(std::string(kind.name), 3000);
        const PlantPlan plan = plan_plant(body, random);
        const std::vector<Facet> facets =
            list_facets(build_wood_of(plan.wood, kind.furrow, most_wood_facets));
        CHECK(facets.size() <= most_wood_facets);
        if (facets.empty()) {
            // Only what has no stems at all has no wood.
            const bool is_soft = kind.habit == PlantHabit::blades || kind.habit == PlantHabit::rosette ||
                                 kind.habit == PlantHabit::wands;
            CHECK(is_soft);
            continue;
        }
        CHECK(count_open_edges(facets) == 0);
        const SolidSums sums = sum_solid(facets);
        CHECK(glm::length(sums.normals) < 1e-4 * sums.area);
        CHECK(sums.volume > 0);
        check_bodies(facets, 12, 1);
        if (kind.habit != PlantHabit::fronds || body.tree.base > 0.2 * body.tree.height)
            CHECK(sums.low.z < -0.2); // no light passes under a trunk
    }
}

TEST_CASE("wood nodes come after their parents and thin out towards the tips") {
    for (const PlantKind& kind : plant_kinds()) {
        CAPTURE(std::string(kind.name));
        Random random(9);
        const PlantBody body = make_body(std::string(kind.name), 3000);
        const PlantPlan plan = plan_plant(body, random);
        CHECK(plan.leaves.size() == body.leaves);
        double thickest = 0;
        int thicker = 0;
        for (std::size_t i = 0; i < plan.wood.size(); ++i) {
            const WoodNode& node = plan.wood[i];
            REQUIRE(node.parent < static_cast<int>(i));
            CHECK(node.radius >= 0);
            CHECK(std::isfinite(glm::length(node.at)));
            thickest = std::max(thickest, node.radius);
            if (node.parent >= 0)
                thicker += node.radius > plan.wood[node.parent].radius + 0.004 ? 1 : 0;
        }
        // Of conifers a bough is as thick as it is long, whatever the trunk has come to at its place.
        const bool is_conifer = kind.habit == PlantHabit::tiered || kind.habit == PlantHabit::tufted;
        CHECK(thicker <= (is_conifer ? static_cast<int>(plan.wood.size()) / 4 : 0));
        if (!plan.wood.empty() && body.tree.base > 0.2 * body.tree.height)
            CHECK(thickest == doctest::Approx(trunk_diameter(body.tree) / 2).epsilon(0.35).scale(0));
    }
}

TEST_CASE("at every fork the branches carry together what the limb does") {
    // r^n = sum of the branches' r^n, n = 2.3 (Murray 1927; Minamino and Tateno 2014), on trees at random.
    Dice dice(7);
    for (int trial = 0; trial < 20; ++trial) {
        std::vector<WoodNode> wood = draw_wood(dice, 120);
        set_radii(wood, 0.3);
        std::vector<double> carried(wood.size());
        std::vector<int> branches(wood.size());
        int tips = 0;
        for (const WoodNode& node : wood)
            if (node.parent >= 0) {
                carried[node.parent] += std::pow(node.radius, 2.3);
                ++branches[node.parent];
            }
        CHECK(wood[0].radius == doctest::Approx(0.3).scale(0));
        double tip = 0;
        for (std::size_t i = 0; i < wood.size(); ++i) {
            if (branches[i] == 0) {
                CHECK((tip == 0 || wood[i].radius == doctest::Approx(tip).scale(0))); // all tips are alike
                tip = wood[i].radius;
                ++tips;
            } else {
                CHECK(std::pow(wood[i].radius, 2.3) == doctest::Approx(carried[i]).epsilon(1e-9).scale(0));
            }
        }
        CHECK(tips * std::pow(tip, 2.3) == doctest::Approx(std::pow(0.3, 2.3)).epsilon(1e-9).scale(0));
    }
    // Several stems are as thick as they are said to be, each by itself.
    std::vector<WoodNode> two{
        {{0, 0, 0}, -1}, {{1, 0, 0}, -1}, {{0, 0, 1}, 0}, {{0, 1, 1}, 0}, {{1, 0, 1}, 1}};
    set_radii(two, 0.05);
    CHECK(two[0].radius == doctest::Approx(0.05).scale(0));
    CHECK(two[1].radius == doctest::Approx(0.05).scale(0));
    CHECK(two[4].radius == doctest::Approx(0.05).scale(0)); // one branch carries all
}

TEST_CASE("a straight limb is a tapered tube of so many sides") {
    // A fork's limb begins at 1.2 of its radius in its parent, and ends in a point.
    const std::vector<WoodNode> wood{
        {{0, 0, 0}, -1, 0.05}, {{0, 0, 2}, 0, 0.05}, {{0, 0, 2.5}, 1, 0.05}, {{1, 0, 2}, 1, 0.02}};
    const Triangles all = build_wood_of(wood, 0, 5000, {3, 4, 0.5});
    CHECK(std::all_of(all.solid.begin(), all.solid.end(), [](std::uint8_t one) { return one == 1; }));
    CHECK(std::all_of(all.material.begin(), all.material.end(), [](std::uint16_t one) { return one == 3; }));
    CHECK(std::all_of(all.surface.begin(), all.surface.end(), [](std::uint16_t one) { return one == 7; }));
    std::vector<Facet> branch;
    for (const Facet& facet : list_facets(all))
        if (std::all_of(facet.begin(), facet.end(),
                        [](const glm::vec3& corner) { return std::abs(corner.z - 2.5f) < 0.03f; }))
            branch.push_back(facet);
    // A cone of 5 sides (12 to 30 mm thick): r = 1.2 x 20 mm over 1 m.
    CHECK(branch.size() == 5 + 3);
    const SolidSums sums = sum_solid(branch);
    CHECK(sums.volume == doctest::Approx(polygon_share(5) * 0.024 * 0.024 / 3).epsilon(1e-3).scale(0));
    CHECK(sums.low.x == doctest::Approx(3));
    CHECK(sums.high.x == doctest::Approx(4));
    CHECK(count_open_edges(branch) == 0);
}

TEST_CASE("a trunk is as thick as it is said to be, wider at its foot, and its ridges take nothing away") {
    const double radius = 0.2;
    std::vector<WoodNode> wood;
    for (int i = 0; i <= 10; ++i)
        wood.push_back({{0, 0, 0.5 * i}, i - 1, radius});
    double smooth_volume = 0;
    for (const double furrow : {0.0, 0.08}) {
        CAPTURE(furrow);
        const Triangles trunk = build_wood_of(wood, furrow, 4000);
        const std::vector<Facet> facets = list_facets(trunk);
        CHECK(count_open_edges(facets) == 0);
        double sum = 0, least = 1, most = 0, foot = 0;
        int count = 0;
        for (const glm::vec3& vertex : trunk.vertices) {
            const double off = std::hypot(vertex.x, vertex.y);
            if (vertex.z > 2.2f && vertex.z < 2.8f) { // above the flare, e^(-2.2 / 0.4) of a quarter
                sum += off, ++count;
                least = std::min(least, off), most = std::max(most, off);
            }
            if (std::abs(vertex.z) < 0.02f) // at the ground; what is below it is no wider
                foot = std::max(foot, off);
        }
        REQUIRE(count > 20);
        CHECK(sum / count == doctest::Approx(radius).epsilon(0.01).scale(0));
        CHECK(most - least >= (furrow > 0 ? 0.8 * furrow * radius : 0));
        CHECK(most - least <= 2.2 * furrow * radius + 2e-3);
        CHECK(foot > 1.2 * radius);
        CHECK(foot < 1.3 * radius * (1 + furrow));
        const double volume = sum_solid(facets).volume;
        if (furrow > 0)
            CHECK(volume == doctest::Approx(smooth_volume).epsilon(0.03).scale(0));
        smooth_volume = volume;
    }
}

TEST_CASE("where facets are few the thinnest limbs are left out") {
    Dice dice(2);
    std::vector<WoodNode> wood = draw_wood(dice, 400);
    set_radii(wood, 0.15);
    const auto measure = [&](std::size_t most) {
        const std::vector<Facet> facets = list_facets(build_wood_of(wood, 0.03, most));
        CHECK(facets.size() <= most);
        CHECK(count_open_edges(facets) == 0);
        return sum_solid(facets).volume;
    };
    const double all = measure(100'000);
    CHECK(measure(3000) > 0.5 * all); // the thickest come first
    double before = 0;
    for (const std::size_t most : {3000u, 5000u, 9000u}) {
        const double some = measure(most);
        CHECK(some > before);
        CHECK(some <= all * (1 + 1e-9));
        before = some;
    }
    CHECK(measure(9000) > 0.8 * all); // what is left out is next to nothing
}

TEST_CASE("wood grows from above the lowest place alone, and no node is farther than a step") {
    Dice dice(12);
    std::vector<glm::dvec3> targets;
    for (int i = 0; i < 80; ++i)
        targets.push_back(glm::dvec3(0, 0, 3) + 1.2 * dice.direction());
    for (int i = 0; i < 8; ++i) // and some that are nearer to the bare stem
        targets.emplace_back(0.9 * std::cos(i), 0.9 * std::sin(i), 0.8);
    std::vector<WoodNode> wood;
    for (int i = 0; i <= 8; ++i)
        wood.push_back({{0, 0, 0.3 * i}, i - 1});
    const std::size_t trunk = wood.size();
    grow_wood(wood, targets, 0.1, 0.7, 1.5);
    for (std::size_t i = trunk; i < wood.size(); ++i) {
        CHECK(wood[wood[i].parent].at.z >= 1.5);
        CHECK(glm::distance(wood[i].at, wood[wood[i].parent].at) == doctest::Approx(0.1).scale(0));
    }
    // Limbs that like to climb leave the trunk lower than those that do not care.
    const auto mean_fork = [&](double rise) {
        std::vector<WoodNode> grown(wood.begin(), wood.begin() + static_cast<std::ptrdiff_t>(trunk));
        grow_wood(grown, targets, 0.1, rise, 0);
        double sum = 0;
        int forks = 0;
        for (std::size_t i = trunk; i < grown.size(); ++i)
            if (grown[i].parent < static_cast<int>(trunk)) {
                sum += grown[grown[i].parent].at.z;
                ++forks;
            }
        REQUIRE(forks > 0);
        return sum / forks;
    };
    CHECK(mean_fork(1.5) < mean_fork(0));
    // Nothing to grow to: nothing grows.
    std::vector<WoodNode> alone{{{0, 0, 0}, -1}};
    grow_wood(alone, {}, 0.1, 0.7, 0);
    CHECK(alone.size() == 1);
}

TEST_CASE("a plain tree's wood is closed, and its limbs end within the crown, whatever its form") {
    for (const CrownForm form : {CrownForm::round, CrownForm::oval, CrownForm::column, CrownForm::cone,
                                 CrownForm::vase, CrownForm::spreading, CrownForm::weeping}) {
        CAPTURE(static_cast<int>(form));
        const Tree tree = make_plain_tree(form);
        Triangles wood;
        build_trunk(tree, 5, 0, 0, wood);
        const std::vector<Facet> facets = list_facets(wood);
        CHECK(count_open_edges(facets) == 0);
        check_bodies(facets, 15, 3);
        const SolidSums sums = sum_solid(facets);
        CHECK(sums.low.z < -0.2);
        CHECK(sums.high.z < tree.foot + tree.height + 0.5);
        // Eleven limbs, each 3/4 of the crown's radius out, with twigs of 0.35 of its length.
        for (const glm::vec3& vertex : wood.vertices)
            CHECK(std::hypot(vertex.x - 4, vertex.y + 1) < 1.25 * tree.width / 2);
        // Trunk: a prism of 12 sides up to the crown, then four frusta down to a quarter of its girth.
        std::vector<Facet> trunk(facets.begin(), facets.begin() + 5 * 24 + 20);
        double volume = polygon_share(12) * 0.15 * 0.15 * (0.3 + 0.2 + 2);
        for (int piece = 0; piece < 4; ++piece) {
            const auto area = [](int at) {
                return polygon_share(12) * std::pow(0.15 * (1 - 0.75 * at / 4.0), 2);
            };
            volume += frustum_volume(0.65 * 5 / 4, area(piece), area(piece + 1));
        }
        CHECK(sum_solid(trunk).volume == doctest::Approx(volume).epsilon(1e-4).scale(0));
        // The seed turns the branches and leaves the trunk.
        Triangles other;
        Tree reseeded = tree;
        reseeded.foliage.seed = 2;
        build_trunk(reseeded, 5, 0, 0, other);
        CHECK(other.vertices.size() == wood.vertices.size());
        CHECK(std::equal(wood.vertices.begin(), wood.vertices.begin() + 72, other.vertices.begin()));
        CHECK(other.vertices != wood.vertices);
    }
}
