// Windows and doors by their trade sizes, and what height fields are made of: numbers by place, noise, eased
// steps.

#include "../../src/stage/relief_shapes.hpp"
#include "cells.hpp"
#include "duskcast/stage/relief.hpp"
#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

TEST_CASE("glass is what frames, sashes and bars leave of an opening") {
    // Common practice, no source: frames and sashes of 2 in, bars of 7/8 in, a picture window's of 1 1/2 in.
    OpeningLook look{.size = {in(48), in(60)}, .reflectance = glm::vec3(0.2f), .trim = glm::vec3(0.6f)};
    const auto glass = [&](OpeningStyle style) {
        look.style = style;
        const auto relief = make_opening(look);
        return 48 * 60 * share_of({0, 0}, look.size, 600, [&](const glm::vec2& at) {
                   return relief->spot(at).is_glass;
               });
    };
    CHECK(glass(OpeningStyle::plain) == doctest::Approx(44 * 56).epsilon(0.01).scale(0));
    CHECK(glass(OpeningStyle::picture) == doctest::Approx(41 * 53).epsilon(0.01).scale(0));
    // Two casements of 22 in: 26 in or so each fit into 44.
    CHECK(glass(OpeningStyle::casement) == doctest::Approx(2 * 18 * 52).epsilon(0.01).scale(0));
    // Two sashes that lap by 1 1/2 in at the middle: 28 3/4 in high each, less 4; of the lower, the upper
    // one's meeting rail hides nothing, as it lies behind.
    CHECK(glass(OpeningStyle::double_hung) == doctest::Approx(2 * 40 * 24.75).epsilon(0.02).scale(0));
    CHECK(glass(OpeningStyle::double_hung_6_over_6) ==
          doctest::Approx(2 * (40 - 2 * 0.875) * (24.75 - 0.875)).epsilon(0.02).scale(0));
    CHECK(glass(OpeningStyle::panel_door) == 0);
    CHECK(glass(OpeningStyle::garage_door) == 0);
    // The upper part of a glazed door: 3 x 3 lights within stiles of 4 1/2 in.
    look.size = {in(36), in(80)};
    look.style = OpeningStyle::glazed_door;
    const auto door = make_opening(look);
    const double lights = 36 * 80 * share_of({0, 0}, look.size, 800, [&](const glm::vec2& at) {
                              return door->spot(at).is_glass;
                          });
    const double wide = 32 - 9 - 2 * 0.875, high = 78 * 0.55 - 9 - 2 * 0.875;
    CHECK(lights == doctest::Approx(wide * high).epsilon(0.02).scale(0));
}

TEST_CASE("panels are sunk into their leaf: as many as doors and garage doors of a size have") {
    const auto count_panels = [](const OpeningLook& look) {
        const auto relief = make_opening(look);
        // The grooves round panels are the deepest places; each panel's middle is raised within its groove.
        float deepest = 0;
        constexpr int side = 500;
        visit_cells(glm::vec2(0), look.size, side,
                    [&](const glm::vec2& at) { deepest = std::min(deepest, relief->height(at)); });
        return count_parts(look.size, side,
                           [&](const glm::vec2& at) { return relief->height(at) < 0.9f * deepest; });
    };
    CHECK(count_panels({.style = OpeningStyle::panel_door, .size = {in(36), in(80)}}) == 6);
    // Sections of about 21 in, panels of about 24 in: 4 x 4 of a single garage door, 4 x 8 of a double one.
    CHECK(count_panels({.style = OpeningStyle::garage_door, .size = {in(8 * 12), in(7 * 12)}}) == 4 * 4);
    CHECK(count_panels({.style = OpeningStyle::garage_door, .size = {in(16 * 12), in(7 * 12)}}) == 4 * 8);
}

TEST_CASE("numbers by place are spread evenly, and their streams know nothing of one another") {
    // Uniform: mean 1/2, variance 1/12; uncorrelated to three standard errors of 1 / (12 sqrt n).
    constexpr int side = 200;
    std::array<double, 3> mean{}, square{};
    double across = 0, beside = 0;
    const auto off = [](int x, int y, unsigned stream) {
        return static_cast<double>(random_at({x, y}, stream)) - 0.5;
    };
    for (int y = -side / 2; y < side / 2; ++y)
        for (int x = -side / 2; x < side / 2; ++x) {
            for (unsigned stream = 0; stream < 3; ++stream) {
                const double one = off(x, y, stream);
                CHECK((one >= -0.5 && one < 0.5));
                mean[stream] += one / (side * side);
                square[stream] += one * one / (side * side);
            }
            across += off(x, y, 0) * off(x, y, 1) / (side * side);
            beside += off(x, y, 0) * off(x + 1, y, 0) / (side * side);
        }
    const double error = 1 / (12.0 * side);
    for (unsigned stream = 0; stream < 3; ++stream) {
        CHECK(std::abs(mean[stream]) < 3 * std::sqrt(12.0) * error);
        CHECK(square[stream] == doctest::Approx(1 / 12.0).epsilon(0.02).scale(0));
    }
    CHECK(std::abs(across) < 3 * error);
    CHECK(std::abs(beside) < 3 * error);
}

TEST_CASE("eased steps are level at both ends, and noise passes through its numbers without a jump") {
    CHECK(ease(-1) == 0);
    CHECK(ease(0) == 0);
    CHECK(ease(0.5f) == 0.5f);
    CHECK(ease(1) == 1);
    CHECK(ease(7) == 1);
    for (float x = 0.05f; x < 1; x += 0.05f) { // 3 x^2 - 2 x^3, point-symmetric
        CHECK(ease(x) == doctest::Approx(3 * x * x - 2 * x * x * x).epsilon(1e-5).scale(0));
        CHECK(ease(x) + ease(1 - x) == doctest::Approx(1).epsilon(1e-6));
    }
    CHECK(ease(1e-3f) < 4e-6f);
    double mean = 0;
    Dice dice(3);
    for (int i = 0; i < 20'000; ++i) {
        const glm::vec2 at(dice.uniform(-40, 40), dice.uniform(-40, 40));
        const float value = noise_at(at, 2);
        CHECK((value >= -1 && value <= 1));
        mean += static_cast<double>(value) / 20'000;
        // Steepest in the middle of a step: 1.5 times the step, of 2 at most.
        CHECK(std::abs(noise_at(at + glm::vec2(0.001f, 0), 2) - value) < 0.0032f);
        CHECK(std::abs(noise_at(at + glm::vec2(0, 0.001f), 2) - value) < 0.0032f);
    }
    CHECK(std::abs(mean) < 0.03);
    for (int x = -3; x < 4; ++x)
        CHECK(noise_at(glm::vec2(x, 2 * x + 1), 4) == 2 * random_at({x, 2 * x + 1}, 4) - 1);
}
