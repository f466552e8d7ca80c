// Generators, evenly spread points and frames.

#include <doctest/doctest.h>

#include "duskcast/base/frame.hpp"
#include "duskcast/base/random.hpp"

using namespace duskcast;

TEST_CASE("SplitMix64 gives its published numbers") {
    // The first numbers of the reference program for the seed 1234567 (from memory).
    Random random(1234567);
    CHECK(random.bits() == 6457827717110365317u);
    CHECK(random.bits() == 3203168211198807973u);
    CHECK(random.bits() == 9817491932198370423u);
}

TEST_CASE("numbers of every generator fill 0..1 evenly") {
    // Mean 1/2 and variance 1/12 of the uniform distribution; four standard errors of 200,000 numbers are
    // 0.0026 and 0.0007.
    Random random(3);
    PathRandom path(77);
    constexpr int count = 200'000;
    for (int kind = 0; kind < 3; ++kind) {
        CAPTURE(kind);
        double mean = 0, square = 0;
        int outside = 0;
        for (int i = 0; i < count; ++i) {
            const double x = kind == 0   ? random.uniform()
                             : kind == 1 ? path.uniform()
                                         : static_cast<double>(hash_to_unit(i, 3));
            outside += x >= 0 && x < 1 ? 0 : 1;
            mean += x / count;
            square += x * x / count;
        }
        CHECK(outside == 0);
        CHECK(std::abs(mean - 0.5) < 0.0026);
        CHECK(std::abs(square - mean * mean - 1.0 / 12) < 0.0007);
    }
}

TEST_CASE("paths of neighbouring sensors and seeds have nothing in common") {
    // Correlation of independent numbers: four standard errors of 20,000 pairs are 0.028.
    for (const std::uint64_t seed : {join_seeds(7, 2), join_seeds(8, 1), std::uint64_t{8}}) {
        PathRandom one(seed == 8 ? 7 : join_seeds(7, 1)), other(seed);
        double sum = 0;
        for (int i = 0; i < 20'000; ++i)
            sum += (one.uniform() - 0.5) * (other.uniform() - 0.5) * 12 / 20'000;
        CHECK(std::abs(sum) < 0.028);
    }
}

TEST_CASE("points on disk and sphere have the moments of even ones") {
    // Mean square radius of a disk 1/2; of a sphere's coordinates 1/3.
    PathRandom random(6);
    double square = 0;
    glm::dvec2 mean(0);
    for (int i = 0; i < 100'000; ++i) {
        const glm::dvec2 at = random.on_disk();
        square += glm::dot(at, at) / 100'000;
        mean += at / 100'000.0;
    }
    CHECK(std::abs(square - 0.5) < 4 * std::sqrt(1.0 / 12 / 100'000));
    CHECK(glm::length(mean) < 4 * std::sqrt(0.5 / 100'000));
    Random directions(9);
    glm::dvec3 drawn(0), spread(0);
    for (int i = 0; i < 100'000; ++i) {
        const glm::dvec3 a = directions.direction(), b(spherical_fibonacci(i, 100'000));
        drawn += a * a / 100'000.0;
        spread += b * b / 100'000.0;
    }
    for (int axis = 0; axis < 3; ++axis) {
        CHECK(std::abs(drawn[axis] - 1.0 / 3) < 4 * std::sqrt(4.0 / 45 / 100'000));
        CHECK(spread[axis] == doctest::Approx(1.0 / 3).epsilon(1e-6));
    }
    CHECK(spherical_fibonacci(0, 1000).z > 0.99f);
}

TEST_CASE("a tangent frame is right-handed and square, whatever its normal") {
    Random random(21);
    double worst = 0;
    for (int i = 0; i < 1000; ++i) {
        const glm::dvec3 normal = i == 0   ? glm::dvec3(0, 0, 1)
                                  : i == 1 ? glm::dvec3(0, 0, -1)
                                           : random.direction();
        const TangentFrame<double> frame(normal);
        worst =
            std::max({worst, std::abs(glm::dot(frame.first, normal)), std::abs(glm::length(frame.first) - 1),
                      glm::distance(glm::cross(frame.first, frame.second), normal)});
    }
    CHECK(worst < 1e-14);
}

TEST_CASE("points of a circle are cosine and sine, rounded from double") {
    // Half the gap between floats below 1 is 2^-25; the doubles' own error hardly adds to it.
    int nearest = 0;
    constexpr int count = 100'000;
    for (int i = 0; i <= count; ++i) {
        const auto angle = static_cast<float>(2 * pi) * static_cast<float>(i) / count;
        const glm::dvec2 exact(std::cos(static_cast<double>(angle)), std::sin(static_cast<double>(angle)));
        const glm::vec2 point = circle_point(angle);
        REQUIRE(std::abs(static_cast<double>(point.x) - exact.x) < 0x1.001p-25);
        REQUIRE(std::abs(static_cast<double>(point.y) - exact.y) < 0x1.001p-25);
        nearest += point == glm::vec2(exact) ? 1 : 0;
    }
    CHECK(nearest > 0.999 * count);
    CHECK(circle_point(0) == glm::vec2(1, 0));
}
