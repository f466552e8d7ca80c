// Roofs on the stage. Areas and volumes are closed forms of solid geometry; heights are the lower envelope of
// the planes, worked out point by point and compared with rays.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/base/random.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/roof_plan.hpp"
#include "duskcast/stage/stage.hpp"

using namespace duskcast;

namespace {

Site make_house(double width, double depth) {
    Site site;
    site.walls = {{.id = "house",
                   .path = {{0, 0}, {width, 0}, {width, depth}, {0, depth}},
                   .closed = true,
                   .height = 3}};
    site.sensor_spacing = 0.5;
    site.ground_spacing = 2;
    site.ground.margin = 2;
    return site;
}

/// Sums over the facets of the roof's surfaces.
struct Sums {
    double volume = 0, tops = 0; ///< m3, and m2 of the covering
    glm::dvec3 normals{0};       ///< nothing where bodies are closed
    double highest = 0, lowest = 1e9;
};

Sums sum_roof(const Stage& stage, const std::string& roof) {
    Sums sums;
    for (std::size_t i = 0; i < stage.opaque.size(); ++i) {
        const Surface& surface = stage.surfaces[stage.opaque.surface[i]];
        if (surface.part_of != roof)
            continue;
        CHECK(stage.opaque.solid[i] == 1);
        const glm::uvec3& corner = stage.opaque.corners[i];
        const glm::dvec3 a(stage.opaque.vertices[corner.x]), b(stage.opaque.vertices[corner.y]),
            c(stage.opaque.vertices[corner.z]);
        const glm::dvec3 normal = glm::cross(b - a, c - a) / 2.0;
        sums.normals += normal;
        sums.volume += glm::dot(a, normal) / 3; // divergence theorem
        if (surface.id == roof)
            sums.tops += glm::length(normal);
        sums.highest = std::max({sums.highest, a.z, b.z, c.z});
        sums.lowest = std::min({sums.lowest, a.z, b.z, c.z});
    }
    return sums;
}

/// z of what lies uppermost there.
double top_of(const Stage& stage, const glm::dvec2& point) {
    const Hit hit = stage.kernel->find_hit({point.x, point.y, 50}, {0, 0, -1}, 0, 100);
    return hit ? 50 - static_cast<double>(hit.distance) : -1;
}

} // namespace

TEST_CASE("a hip roof's covering is its plan over the cosine of the slope, and its bodies are closed") {
    Site site = make_house(12, 8);
    site.roofs = {{.id = "roof",
                   .form = RoofForm::hip,
                   .wall = "house",
                   .rise_in_12 = 9,
                   .overhang = 0,
                   .thickness = 0.2}};
    const auto stage = build_stage(site, ".");
    const Sums sums = sum_roof(*stage, "roof");
    CHECK(sums.tops == doctest::Approx(12 * 8 * std::sqrt(1 + 0.75 * 0.75)).epsilon(1e-6));
    CHECK(stage->surfaces[stage->find_surface("roof")].area == doctest::Approx(sums.tops).epsilon(1e-5));
    CHECK(glm::length(sums.normals) < 1e-3);
    // A hip roof is a prism between two half pyramids: slope x W^2 (3 L - W) / 12, on the edge's thickness.
    // Its underside is a tenth of a millimetre above the wall's top.
    CHECK(sums.volume == doctest::Approx(12 * 8 * 0.1999 + 0.75 * 64 * (36 - 8) / 12).epsilon(1e-5));
    CHECK(sums.highest == doctest::Approx(3.2 + 3));
}

TEST_CASE("rays from above meet a roof where its planes are, and nothing of the sky is seen from inside") {
    Site site = make_house(12, 8);
    site.walls[0].eave = Eave{.depth = 0.5, .thickness = 0.2, .rake_depth = 0.3};
    for (const RoofForm form : {RoofForm::hip, RoofForm::gable, RoofForm::shed}) {
        site.roofs = {{.id = "roof", .form = form, .wall = "house", .rise_in_12 = 7, .overhang = 0.4}};
        const RoofPlan plan = plan_roof(site, site.roofs[0]);
        const auto stage = build_stage(site, ".");
        Random random(17);
        for (int i = 0; i < 2000; ++i) {
            const glm::dvec2 point(-0.25 + 12.5 * static_cast<double>(random.uniform()),
                                   -0.45 + 8.4 * static_cast<double>(random.uniform()));
            if (form == RoofForm::shed && point.y > 8)
                continue;
            CAPTURE(point.x);
            CAPTURE(point.y);
            CHECK(top_of(*stage, point) == doctest::Approx(plan.top_at(point)).epsilon(1e-5));
            Ray up = make_ray({point.x, point.y, 2.9}, {point.x, point.y, 50}, 1);
            stage->kernel->find_occluded({&up, 1}, Coherence::incoherent);
            CHECK(up.is_occluded()); // a lamp above lights nothing below
        }
    }
}

TEST_CASE("a gable gets a roof that runs back into the slope, or over it") {
    // The cross roof's planes rise as the gable's edges do; its ridge meets the slope where that is as high.
    Site site = make_house(14, 10);
    site.walls[0].eave = Eave{.depth = 0.4, .thickness = 0.2, .rake_depth = 0.3};
    site.walls[0].gables = {{.id = "low", .from = 2, .width = 4, .peak = 5},
                            {.id = "high", .from = 8, .width = 5, .peak = 8}};
    site.roofs = {{.id = "roof", .wall = "house", .rise_in_12 = 6}};
    const auto stage = build_stage(site, ".");
    const RoofPlan plan = plan_roof(site, site.roofs[0]);
    const double ridge = 3.2 + 5.4 * 0.5;
    REQUIRE(plan.ridge() == doctest::Approx(ridge));
    for (double back = 0.2; back < 9.8; back += 0.3)
        for (double off = -1.9; off < 2; off += 0.2) {
            const double low = 3.2 + 2 - std::abs(off) * 1.0, high = 3.2 + 5 - std::abs(off) * 2;
            const bool is_before_meeting = back < 2 / 0.5 - 0.4;
            const double main_low = plan.top_at({4 + off, back}), main_high = plan.top_at({10.5 + off, back});
            CAPTURE(back);
            CAPTURE(off);
            CHECK(top_of(*stage, {4 + off, back}) ==
                  doctest::Approx(is_before_meeting ? std::max(low, main_low) : main_low).epsilon(1e-5));
            CHECK(top_of(*stage, {10.5 + off, back}) ==
                  doctest::Approx(std::max(high, main_high)).epsilon(1e-5));
        }
}

TEST_CASE("a roof leaves the panes of its gables to be seen") {
    Site site = make_house(14, 10);
    site.walls[0].gables = {{.id = "g", .from = 2, .width = 8, .peak = 8}};
    site.walls[0].openings = {
        {.id = "w", .from = 5.5, .width = 1, .sill = 3.2, .height = 1.5, .reveal = 0.15}};
    site.roofs = {{.id = "roof", .wall = "house", .rise_in_12 = 8}};
    const auto stage = build_stage(site, ".");
    for (const double z : {3.3, 3.9, 4.6})
        for (const double x : {5.6, 6.0, 6.4}) {
            const Hit hit = stage->kernel->find_hit({x, -5, z}, {0, 1, 0}, 0, 20);
            CHECK(static_cast<double>(hit.distance) == doctest::Approx(5.15));
            CHECK(stage->surface_of(hit, {x, 0.15, z}) == stage->find_surface("house.w"));
        }
}

TEST_CASE("a roof leaves the sensors of its house's walls and soffits where they were") {
    Site site = make_house(14, 10);
    site.walls[0].eave = Eave{.depth = 0.4, .thickness = 0.2, .rake_depth = 0.3};
    site.walls[0].gables = {{.id = "g", .from = 2, .width = 4, .peak = 5}};
    site.walls[0].openings = {{.id = "w", .from = 8, .width = 1, .sill = 1, .height = 1}};
    const auto bare = build_stage(site, ".");
    site.roofs = {{.id = "roof", .form = RoofForm::hip, .wall = "house", .has_gutters = true}};
    const auto roofed = build_stage(site, ".");
    for (const char* id : {"house", "house.soffit"}) {
        const Surface &before = bare->surfaces[bare->find_surface(id)],
                      &after = roofed->surfaces[roofed->find_surface(id)];
        REQUIRE(before.count == after.count);
        CHECK(before.area == doctest::Approx(after.area).epsilon(1e-9));
        for (std::uint32_t i = 0; i < before.count; ++i)
            CHECK(bare->sensors.position(before.first + i) == roofed->sensors.position(after.first + i));
    }
}

TEST_CASE("the courses of a covering reflect what its finish does in the mean") {
    for (const RoofCover cover : {RoofCover::shingle, RoofCover::slate, RoofCover::metal, RoofCover::tile}) {
        Site site = make_house(20, 16);
        site.roofs = {{.id = "roof",
                       .form = RoofForm::shed,
                       .wall = "house",
                       .rise_in_12 = 4,
                       .overhang = 0,
                       .cover = cover}};
        const auto stage = build_stage(site, ".");
        glm::dvec3 sum(0);
        double least = 1, most = 0;
        constexpr int side = 400;
        for (int i = 0; i < side; ++i)
            for (int j = 0; j < side; ++j) {
                const glm::vec3 from(20.0f * (i + 0.5f) / side, 16.0f * (j + 0.5f) / side, 50);
                const Hit hit = stage->kernel->find_hit(from, {0, 0, -1}, 0, 100);
                REQUIRE(hit);
                const glm::dvec3 one(stage->reflectance_at(hit, from - glm::vec3(0, 0, hit.distance)));
                sum += one;
                least = std::min(least, one.y), most = std::max(most, one.y);
            }
        const glm::dvec3 finish = finish_of(cover).reflectance;
        for (int channel = 0; channel < 3; ++channel)
            CHECK(sum[channel] / (side * side) == doctest::Approx(finish[channel]).epsilon(0.01));
        CHECK(most > 1.3 * least); // courses are to be seen
        CHECK(most < 1);
    }
}

TEST_CASE("a porch: columns from the ground to the underside, round and tapered") {
    Site site;
    site.ground_spacing = 1;
    site.roofs = {{.id = "porch",
                   .form = RoofForm::shed,
                   .outline = {{0, 0}, {4, 0}, {4, 2}, {0, 2}},
                   .height = 2.6,
                   .rise_in_12 = 3,
                   .overhang = 0.2,
                   .columns = Columns{.count = 3, .diameter = 0.3, .top_diameter = 0.2, .foot = 0.1}}};
    const auto stage = build_stage(site, ".");
    const double inset = 0.3 * 1.12 / 2;
    for (const double x : {inset, 2.0, 4 - inset})
        for (const double share : {0.2, 0.5, 0.8}) {
            // A chord of a 20-sided prism is nearer than its circle by 1 - cos(9 deg) at most.
            const double z = 0.22 + share * (2.6 - 0.24 - 0.1), radius = 0.15 - share * 0.05;
            const Hit hit = stage->kernel->find_hit({x, inset - 5, z}, {0, 1, 0}, 0, 10);
            REQUIRE(hit);
            CHECK(static_cast<double>(hit.distance) > 5 - radius - 1e-4);
            CHECK(static_cast<double>(hit.distance) < 5 - radius * std::cos(0.158) + 1e-4);
        }
    const Sums sums = sum_roof(*stage, "porch");
    CHECK(glm::length(sums.normals) < 1e-3);
    CHECK(sums.lowest == doctest::Approx(0.1));
    CHECK(sums.highest == doctest::Approx(2.6 + 0.15 + 2.2 * 0.25));
    // Under the roof: its underside is where it says.
    const Hit under = stage->kernel->find_hit({2, 1, 1}, {0, 0, 1}, 0, 10);
    CHECK(static_cast<double>(under.distance) == doctest::Approx(1.6001));
    // A square column has flat sides.
    site.roofs[0].columns = Columns{.count = 1, .form = ColumnForm::square, .diameter = 0.3};
    const auto square = build_stage(site, ".");
    for (const double off : {-0.14, 0.0, 0.14}) {
        const Hit hit = square->kernel->find_hit({2 + off, inset - 5, 1.5}, {0, 1, 0}, 0, 10);
        CHECK(static_cast<double>(hit.distance) == doctest::Approx(5 - 0.15).epsilon(1e-4));
    }
}

TEST_CASE("chimneys end two feet above the ridge unless they say, and gutters hang beyond the eaves") {
    Site site = make_house(12, 8);
    site.roofs = {{.id = "roof",
                   .wall = "house",
                   .rise_in_12 = 6,
                   .overhang = 0.4,
                   .thickness = 0.2,
                   .has_gutters = true,
                   .chimneys = {{.id = "flue", .at = {3, 4}},
                                {.id = "tall", .at = {9, 3}, .width = 1, .depth = 1, .height = 8}}}};
    const auto stage = build_stage(site, ".");
    const double ridge = 3.2 + 4.4 * 0.5;
    CHECK(top_of(*stage, {3, 4}) == doctest::Approx(ridge + 0.6096));
    CHECK(top_of(*stage, {9, 3}) == doctest::Approx(8));
    CHECK(top_of(*stage, {9.55, 3}) == doctest::Approx(8));    // its cap is wider than its stack
    CHECK(top_of(*stage, {6, -0.45}) == doctest::Approx(3.2)); // a gutter's brim at the edge's height
    CHECK(top_of(*stage, {6, 8.45}) == doctest::Approx(3.2));
    CHECK(std::abs(top_of(*stage, {6, -0.6})) < 1e-4); // the ground beyond it
    CHECK(stage->find_surface("roof.flue") >= 0);
    CHECK(glm::length(sum_roof(*stage, "roof").normals) < 1e-3);
}
