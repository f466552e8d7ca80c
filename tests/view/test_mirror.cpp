// Fresnel's formulas and ripples.

#include <cmath>
#include <doctest/doctest.h>

#include "../../src/view/mirror.hpp"
#include "duskcast/base/units.hpp"

using namespace duskcast;

TEST_CASE("mirror: a face reflects by Fresnel's formulas") {
    // Square-on ((n - 1) / (n + 1))^2; at Brewster's angle, tan = n, only the light polarised across, of
    // which
    // ((n^2 - 1) / (n^2 + 1))^2 is reflected; at 45 degrees R along = (R across)^2; all at a grazing angle.
    for (const double n : {1.33, 1.52}) {
        CHECK(face_reflection(1, n) == doctest::Approx(std::pow((n - 1) / (n + 1), 2)));
        CHECK(face_reflection(1 / std::hypot(1, n), n) ==
              doctest::Approx(0.5 * std::pow((n * n - 1) / (n * n + 1), 2)));
        const double root = std::sqrt(n * n - 0.5);
        const double across = std::pow((std::sqrt(0.5) - root) / (std::sqrt(0.5) + root), 2);
        CHECK(face_reflection(std::sqrt(0.5), n) == doctest::Approx(0.5 * (across + across * across)));
        CHECK(face_reflection(0, n) == doctest::Approx(1));
    }
    CHECK(face_reflection(1, water_index) ==
          doctest::Approx(0.0201).epsilon(0.005).scale(0)); // as handbooks have it
}

TEST_CASE("mirror: a pane reflects what its two faces do together") {
    // By counting the light that goes to and fro: R + T R T + T R^3 T + ..., T = 1 - R, of each polarisation.
    for (const double degrees : {0.0, 40.0, 56.66, 75.0, 88.0}) {
        const double cosine = std::cos(radians_from_degrees(degrees)), n = 1.52;
        const double inside = std::asin(std::sin(radians_from_degrees(degrees)) / n);
        const double angle = radians_from_degrees(degrees);
        double sum = 0;
        for (const bool is_across : {true, false}) {
            const double minus = angle - inside, plus = angle + inside;
            const double r = degrees == 0 ? std::pow((n - 1) / (n + 1), 2)
                             : is_across  ? std::pow(std::sin(minus) / std::sin(plus), 2)
                                          : std::pow(std::tan(minus) / std::tan(plus), 2);
            double one = r;
            for (int k = 0; k < 2000; ++k)
                one += (1 - r) * (1 - r) * std::pow(r, 2 * k + 1);
            sum += one / 2;
        }
        CHECK(pane_reflection(cosine, n) == doctest::Approx(sum).epsilon(1e-6).scale(0));
    }
    CHECK(pane_reflection(1, glass_index) == doctest::Approx(0.0817).epsilon(0.01).scale(0));
}

TEST_CASE("mirror: ripples slope by about 0.03, no way more than another, and fade with distance") {
    glm::dvec2 mean(0);
    double square = 0;
    constexpr int side = 200;
    for (int y = 0; y < side; ++y)
        for (int x = 0; x < side; ++x) {
            const glm::dvec2 slope(ripple_slope(0.11f * glm::vec2(x, y), 0));
            mean += slope / double(side * side);
            square += glm::dot(slope, slope) / (side * side);
        }
    CHECK(glm::length(mean) < 0.002);
    CHECK(std::sqrt(square) == doctest::Approx(0.03).epsilon(0.15).scale(0));
    CHECK(ripple_slope({1.3f, 0.4f}, 0) == ripple_slope({1.3f, 0.4f}, 0));
    CHECK(ripple_slope({1.3f, 0.4f}, 0) != glm::vec2(0));
    CHECK(ripple_slope({1.3f, 0.4f}, 0.5f) == glm::vec2(0));
}
