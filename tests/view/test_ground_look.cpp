// Grass, mulch and paving in pictures.

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "../../src/view/ground_look.hpp"

using namespace duskcast;

TEST_CASE("ground look: every kind keeps its mean, stays above 0 and fades where it is too fine to see") {
    for (const GroundKind kind :
         {GroundKind::lawn, GroundKind::bed, GroundKind::mulch, GroundKind::paving, GroundKind::water}) {
        CAPTURE(name_of(kind));
        double spread_before = 1e9;
        for (const float width : {0.0f, 0.02f, 0.2f, 10.0f}) {
            CAPTURE(width);
            constexpr int side = 500;
            constexpr float reach = 40; // metres: many of the largest patches
            glm::dvec3 sum(0);
            double spread = 0;
            float lowest = 1;
            for (int i = 0; i < side; ++i)
                for (int j = 0; j < side; ++j) {
                    const glm::vec2 at(reach * (float(i) + 0.37f) / side - 13,
                                       reach * (float(j) + 0.61f) / side - 28);
                    const glm::vec3 level = ground_level(kind, at, width);
                    sum += glm::dvec3(level);
                    spread += std::abs(static_cast<double>(level.g) - 1);
                    lowest = std::min({lowest, level.r, level.g, level.b});
                }
            const glm::dvec3 mean = sum / double(side * side);
            for (int channel = 0; channel < 3; ++channel)
                CHECK(mean[channel] == doctest::Approx(1).epsilon(0.01));
            CHECK(lowest > 0);
            CHECK(spread <= spread_before);
            spread_before = spread;
            const bool is_even = kind == GroundKind::water || width > 1;
            CHECK((spread == 0) == is_even);
        }
    }
}
