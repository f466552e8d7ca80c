// Leaves' outlines in pictures.

#include <cmath>
#include <doctest/doctest.h>

#include "../../src/view/leaf_look.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/view/view_trace.hpp"
#include "lamps.hpp"

using namespace duskcast;

namespace {

/// One leaf aslant in space, through which some light passes unless it is of wood.
Stage make_leaf_stage(float length, float ratio, bool is_wood = false) {
    const glm::vec3 axis = 0.5f * length * glm::normalize(glm::vec3(1, 2, 2)),
                    across = 0.5f * ratio * length * glm::normalize(glm::vec3(2, 1, -2)), centre(4, -7, 5);
    Stage stage;
    stage.materials.resize(1);
    stage.materials[0].transmittance = glm::vec3(is_wood ? 0.0f : 0.05f);
    stage.leaves.corners = {centre + axis, centre + across, centre - axis, centre - across};
    stage.leaves.material = {0}, stage.leaves.surface = {0};
    return stage;
}

Camera look_from_nearby() {
    return make_camera({"eye", {4, -9, 5}, {4, -7, 5}, radians_from_degrees(30)}, 1000, 1000);
}

/// Calls `visit(x, y)` at the middles of small squares, in half diagonals of a rhomb; returns their area.
template <typename Visit> double walk_over(const Visit& visit) {
    constexpr int side = 3600;
    constexpr float reach = 6.4f; // twigs reach beyond leaves
    for (int i = 0; i < side; ++i)
        for (int j = 0; j < side; ++j)
            visit(glm::vec2(reach * (2 * (float(i) + 0.5f) / side - 1),
                            reach * (2 * (float(j) + 0.5f) / side - 1)));
    return std::pow(2.0 * reach / side, 2);
}

Site make_crown_site(const std::string& plant) {
    Site site{.is_as_new = true};
    site.trees = {make_usual_tree(plant)};
    site.trees[0].id = "tree";
    site.ground_spacing = 4;
    site.leaf_sensors = 10;
    return site;
}

} // namespace

TEST_CASE("leaf look: every outline has the area of its rhomb and lies in its box") {
    // A rhomb's area is half the product of its diagonals: 2 in half diagonals.
    for (const LeafShape shape :
         {LeafShape::rhomb, LeafShape::single, LeafShape::spray, LeafShape::needles, LeafShape::twigs}) {
        CAPTURE(static_cast<int>(shape));
        const LeafBox box = box_of(shape);
        double inside = 0, outside = 0;
        const double square = walk_over([&](const glm::vec2& at) {
            const bool is_in_box =
                glm::all(glm::greaterThan(at, box.low)) && glm::all(glm::lessThan(at, box.high));
            if (find_blade(shape, at))
                (is_in_box ? inside : outside) += 1;
        });
        CHECK(square * inside == doctest::Approx(2).epsilon(0.003));
        CHECK(outside == 0);
    }
}

TEST_CASE("leaf look: a leaf with folds, ribs and shades gives as much light as a flat one") {
    struct Case {
        float length, ratio;
        LeafShape shape;
        bool is_wood = false;
    };
    for (const Case& one : {Case{0.06f, 0.5f, LeafShape::single}, Case{0.2f, 0.6f, LeafShape::spray},
                            Case{0.3f, 0.1f, LeafShape::rhomb}, Case{0.2f, 0.3f, LeafShape::needles},
                            Case{0.2f, 0.6f, LeafShape::twigs, true}}) {
        CAPTURE(one.length);
        const Stage stage = make_leaf_stage(one.length, one.ratio, one.is_wood);
        const auto look = LeafLook::make(stage, look_from_nearby());
        if (!look) {
            CHECK(one.shape == LeafShape::rhomb); // nothing to show
            continue;
        }
        const glm::vec3* corner = stage.leaves.corners.data();
        const glm::vec3 centre = stage.leaves.centre(0), along = 0.5f * (corner[0] - corner[2]),
                        across = 0.5f * (corner[1] - corner[3]);
        for (const float width : {0.0f, 0.004f, 0.05f}) {
            double sum = 0, count = 0, spread = 0;
            walk_over([&](const glm::vec2& at) {
                const glm::vec3 place = centre + at.x * along + at.y * across;
                if (!find_blade(one.shape, at))
                    return;
                const double level = static_cast<double>(look->level(0, place, width));
                sum += level, spread += std::abs(level - 1), count += 1;
            });
            CHECK(sum / count == doctest::Approx(1).epsilon(0.004));
            const bool is_comb = one.shape == LeafShape::needles || one.shape == LeafShape::twigs;
            if (width == 0 && !is_comb)
                CHECK(spread / count > 0.1);
            if (width > 0.01f && one.shape == LeafShape::single)
                CHECK(spread == 0); // finer than is looked at
        }
    }
}

TEST_CASE("leaf look: one sees as much through a crown of outlines as through one of rhombs") {
    for (const char* plant : {"linden, medium, 20 ft", "spruce, 25 ft", "bare linden, 20 ft"}) {
        CAPTURE(plant);
        const auto stage = build_stage(make_crown_site(plant), ".");
        const Camera camera =
            make_camera({"eye", {0, -14, 1.5}, {0, 0, 3.5}, radians_from_degrees(32)}, 300, 300);
        REQUIRE(LeafLook::make(*stage, camera));
        const auto lamp = test::make_point("L", glm::vec3(2, -9, 0.3f));
        const ViewImage rhombs = trace_view(*stage, {lamp}, camera, 1);
        const ViewImage shown = trace_view(*stage, {lamp}, camera, 1, {}, {}, nullptr, Detail::fine);
        double open = 0, shown_open = 0, light = 0, shown_light = 0, differs = 0;
        for (std::size_t i = 0; i < rhombs.luminance.size(); ++i) {
            open += static_cast<double>(1 - rhombs.open_share[i]);
            shown_open += static_cast<double>(1 - shown.open_share[i]);
            light += luminance_of(glm::dvec3(rhombs.luminance[i]));
            shown_light += luminance_of(glm::dvec3(shown.drawn_luminance()[i]));
            differs += rhombs.open_share[i] != shown.open_share[i] ? 1 : 0;
        }
        CHECK(shown_open == doctest::Approx(open).epsilon(0.01));
        CHECK(shown_light == doctest::Approx(light).epsilon(0.01));
        CHECK(differs > 2000);
    }
}
