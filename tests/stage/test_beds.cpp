// Beds, rows and hedges of named plants: where their plants stand and how evenly they fill the ground.

#include "duskcast/site/layout.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/stage/named_plant.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

struct Built {
    Triangles wood;
    Leaves leaves;

    /// Share of the leaves that lie where the predicate holds.
    template <class IsIn> double share(IsIn is_in) const {
        std::size_t count = 0;
        for (std::size_t leaf = 0; leaf < leaves.size(); ++leaf)
            count += is_in(glm::dvec3(leaves.centre(leaf))) ? 1 : 0;
        return static_cast<double>(count) / static_cast<double>(leaves.size());
    }
};

Built build(const Shrub& shrub, std::uint32_t salt = 1) {
    Built made;
    build_named_shrub(shrub, salt, {0, 1, 2}, 3, made.wood, made.leaves);
    return made;
}

Shrub make_bed(const std::string& words, std::vector<glm::dvec2> outline) {
    Shrub bed = make_usual_shrub(words);
    bed.id = "bed";
    bed.outline = std::move(outline);
    return bed;
}

Shrub make_hedge(const std::string& words, std::vector<glm::dvec2> path, double width) {
    Shrub hedge = make_usual_shrub(words);
    hedge.id = "hedge";
    hedge.path = std::move(path);
    hedge.width = width;
    return hedge;
}

} // namespace

TEST_CASE("a bed is filled evenly, whatever grows in it") {
    for (const char* words : {"roses", "hosta", "lavender", "azalea", "fern"}) {
        CAPTURE(words);
        const Shrub bed = make_bed(words, {{1, 2}, {9, 2}, {9, 6}, {1, 6}});
        const Built made = build(bed);
        const double wanted = leaf_area_density(bed) * shrub_volume(bed) / leaf_area(bed);
        CHECK(std::abs(static_cast<double>(made.leaves.size()) - wanted) <= 0.51);
        for (const bool is_right : {false, true}) // a quarter each, as far as whole plants allow
            for (const bool is_upper : {false, true})
                CHECK(made.share([&](const glm::dvec3& at) {
                    return (at.x > 5) == is_right && (at.y > 4) == is_upper;
                }) == doctest::Approx(0.25).epsilon(0.2).scale(0));
        CHECK(made.share([&](const glm::dvec3& at) { return is_inside(bed.outline, glm::dvec2(at)); }) >
              0.98);
        CHECK(made.share([&](const glm::dvec3& at) { return at.z >= 0 && at.z <= bed.height; }) == 1);
        CHECK(made.wood.size() <= most_wood_facets);
        CHECK(std::all_of(made.leaves.surface.begin(), made.leaves.surface.end(),
                          [](std::uint16_t one) { return one == 3; }));
        CHECK(std::all_of(made.leaves.material.begin(), made.leaves.material.end(),
                          [](std::uint16_t one) { return one == 1; }));
    }
}

TEST_CASE("nothing grows in a bed's notch, and both arms have their share") {
    // An L of 6 x 2 and 2 x 4: three fifths in the long arm.
    const Shrub bed = make_bed("azalea", {{0, 0}, {6, 0}, {6, 2}, {2, 2}, {2, 6}, {0, 6}});
    const Built made = build(bed);
    CHECK(made.share([](const glm::dvec3& at) { return at.x > 2.05 && at.y > 2.05; }) < 0.01);
    CHECK(made.share([](const glm::dvec3& at) { return at.y < 2; }) ==
          doctest::Approx(0.6).epsilon(0.12).scale(0));
    // A raised bed stands on its wall.
    Shrub raised = bed;
    raised.foot = 0.8;
    const Built high = build(raised);
    REQUIRE(high.leaves.size() == made.leaves.size());
    double worst = 0;
    for (std::size_t i = 0; i < high.leaves.corners.size(); ++i)
        worst = std::max(worst, static_cast<double>(glm::distance(
                                    high.leaves.corners[i] - glm::vec3(0, 0, 0.8f), made.leaves.corners[i])));
    CHECK(worst < 1e-5);
}

TEST_CASE("in a bed too small for a lattice one plant stands in the middle") {
    const Shrub bed = make_bed("hydrangea", {{5, 5}, {5.4, 5}, {5.4, 5.4}, {5, 5.4}});
    const Built made = build(bed);
    REQUIRE(made.leaves.size() > 10);
    glm::dvec2 mean(0);
    for (std::size_t leaf = 0; leaf < made.leaves.size(); ++leaf)
        mean += glm::dvec2(made.leaves.centre(leaf)) / static_cast<double>(made.leaves.size());
    CHECK(glm::distance(mean, glm::dvec2(5.2, 5.2)) < 0.1);
    // A sliver that no point of a lattice lies in has its plant at the mean of its corners.
    const Shrub sliver = make_bed("hydrangea", {{0, 0}, {3, 2.9}, {3, 3}, {0, 0.1}});
    CHECK(build(sliver).leaves.size() > 0);
}

TEST_CASE("a hedge is as dense on every stretch of its line and as wide as it is cut") {
    for (const char* words : {"boxwood hedge", "yew", "privet"}) {
        CAPTURE(words);
        // 4 m to the east, 3 m to the north, 2 m aslant.
        const Shrub hedge =
            make_hedge(words, {{0, 0}, {4, 0}, {4, 3}, {4 + std::sqrt(2.0), 3 + std::sqrt(2.0)}}, 0.7);
        const Built made = build(hedge);
        const double wanted = leaf_area_density(hedge) * shrub_volume(hedge) / leaf_area(hedge);
        CHECK(std::abs(static_cast<double>(made.leaves.size()) - wanted) <= 0.51);
        const std::vector<RunSegment> run = run_of(hedge.path, false);
        double far = 0;
        std::array<double, 3> on{};
        for (std::size_t leaf = 0; leaf < made.leaves.size(); ++leaf) {
            const glm::dvec2 at(made.leaves.centre(leaf));
            far = std::max(far, distance_to_line(at, hedge.path, false));
            std::size_t best = 0;
            double least = 1e9;
            for (std::size_t i = 0; i < run.size(); ++i)
                if (const double off = distance_to_line(at, {hedge.path[i], hedge.path[i + 1]}, false);
                    off < least) {
                    least = off;
                    best = i;
                }
            on[best] += 1 / static_cast<double>(made.leaves.size());
        }
        CHECK(far < 0.35 * std::sqrt(2.0) + 1e-3); // corners of pieces
        CHECK(far > 0.3);
        CHECK(on[0] ==
              doctest::Approx(4 / 9.0).epsilon(0.05).scale(0)); // in the corners one and the other overlap
        CHECK(on[1] == doctest::Approx(3 / 9.0).epsilon(0.05).scale(0));
        CHECK(on[2] == doctest::Approx(2 / 9.0).epsilon(0.05).scale(0));
        // Its top is as full as its foot: a cut hedge is a box.
        const double upper = made.share([&](const glm::dvec3& at) { return at.z > hedge.height / 2; });
        CHECK(upper > 0.4);
        CHECK(upper < 0.75);
        CHECK(count_open_edges(list_facets(made.wood)) == 0);
        CHECK(made.wood.size() <= most_wood_facets);
        for (const glm::vec3& vertex : made.wood.vertices)
            CHECK(vertex.z < hedge.height + 0.05);
    }
}

TEST_CASE("what has no branches stands in a row, one plant after the other") {
    const Shrub row = make_hedge("lavender", {{0, 1}, {5, 1}}, 0.6);
    const Tree usual = make_usual_tree("lavender", row.height);
    const double width = std::min(row.width, usual.width);
    const int plants = static_cast<int>(std::lround(5 / (0.85 * width)));
    REQUIRE(plants > 3);
    const Built made = build(row);
    // Each plant has its stretch of the line, with as many leaves.
    std::vector<int> leaves(static_cast<std::size_t>(plants));
    for (std::size_t leaf = 0; leaf < made.leaves.size(); ++leaf) {
        const glm::vec3 at = made.leaves.centre(leaf);
        CHECK(std::abs(at.y - 1) <= width / 2 + 1e-3);
        const int plant = static_cast<int>(std::floor(at.x / 5 * static_cast<float>(plants)));
        if (plant >= 0 && plant < plants)
            ++leaves[static_cast<std::size_t>(plant)];
    }
    const double each = static_cast<double>(made.leaves.size()) / plants;
    for (const int count : leaves)
        CHECK(count == doctest::Approx(each).epsilon(0.2).scale(0));
    // Low down the plants stand apart.
    int low_between = 0, low_at = 0;
    for (std::size_t leaf = 0; leaf < made.leaves.size(); ++leaf) {
        const glm::vec3 at = made.leaves.centre(leaf);
        if (at.z > 0.12 * row.height)
            continue;
        const double place = static_cast<double>(at.x) / 5 * plants,
                     off = std::abs(place - std::floor(place) - 0.5);
        (off > 0.4 ? low_between : low_at) += 1;
    }
    CHECK(low_at > 0);
    CHECK(low_between < 0.1 * low_at); // a fifth, were they spread evenly
}

TEST_CASE("beds and hedges are the same every time, and others with another salt or seed") {
    for (const bool is_hedge : {false, true}) {
        Shrub shrub = is_hedge ? make_hedge("boxwood hedge", {{0, 0}, {3, 0}}, 0.5)
                               : make_bed("roses, in bloom", {{0, 0}, {3, 0}, {3, 2}, {0, 2}});
        const Built once = build(shrub, 4), again = build(shrub, 4), other = build(shrub, 5);
        CHECK(once.leaves.corners == again.leaves.corners);
        CHECK(once.wood.vertices == again.wood.vertices);
        CHECK(once.leaves.corners != other.leaves.corners);
        CHECK(once.leaves.size() == other.leaves.size());
        shrub.foliage.seed = 9;
        CHECK(build(shrub, 4).leaves.corners != once.leaves.corners);
        const auto blossoms = std::count(once.leaves.material.begin(), once.leaves.material.end(), 2);
        CHECK((blossoms > 0) == !is_hedge);
    }
}
