#pragma once
// Random and evenly spread numbers that are the same with every compiler and library.

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <glm/glm.hpp>

#include "duskcast/base/units.hpp"

namespace duskcast {

/// pi (3 - sqrt 5): points turned by it, one after the other, fill a disk or a sphere evenly (Vogel 1979).
inline constexpr double golden_angle = 2.399963229728653;

/// 1 / p and 1 / p^2 with p^3 = p + 1, the plastic number: steps of an additive recurrence that fills a
/// square evenly (Roberts 2018, from memory).
inline constexpr double plastic_step = 0.7548776662466927;
inline constexpr double other_plastic_step = 0.5698402909980532;

/// The part of x after the point, 0..1.
inline float wrap_unit(double x) {
    return static_cast<float>(x - std::floor(x));
}

/// Scatters the bits of a number: the finaliser of SplitMix64 (Steele, Lea and Flood 2014).
inline std::uint64_t mix_bits(std::uint64_t z) {
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

/// The odd number next to 2^64 divided by the golden ratio, SplitMix64's step.
inline constexpr std::uint64_t golden_step = 0x9e3779b97f4a7c15u;

/// A seed made of another and a number, such as of a part within a whole.
inline std::uint64_t join_seeds(std::uint64_t seed, std::uint64_t number) {
    return mix_bits(seed ^ mix_bits((number + 1) * golden_step));
}

/// A number in [0, 1) that looks random and depends on its place alone. `which`: 0..7, one of several there.
inline float hash_to_unit(std::uint64_t place, std::uint64_t which) {
    return static_cast<float>(mix_bits((place * 8 + which + 1) * golden_step) >> 40) * 0x1.0p-24f;
}

/// Cosine and sine of an angle from 0 to 2 pi, rounded from double. Libraries give floats that differ in the
/// last bit, and a ray may then meet something else. From Taylor's series, whose first term left out is below
/// 1e-11 within an eighth of a turn.
inline glm::vec2 circle_point(float angle) {
    const double quarters = std::floor(static_cast<double>(angle) * (2 / pi) + 0.5);
    const double x = static_cast<double>(angle) - quarters * (pi / 2), square = x * x;
    constexpr double sine_terms[] = {-1.0 / 39'916'800, 1.0 / 362'880, -1.0 / 5040, 1.0 / 120, -1.0 / 6, 1};
    constexpr double cosine_terms[] = {
        1.0 / 479'001'600, -1.0 / 3'628'800, 1.0 / 40'320, -1.0 / 720, 1.0 / 24, -1.0 / 2, 1};
    double sine = 0, cosine = 0;
    for (const double term : sine_terms)
        sine = sine * square + term;
    for (const double term : cosine_terms)
        cosine = cosine * square + term;
    const auto c = static_cast<float>(cosine), s = static_cast<float>(x * sine);
    switch (static_cast<int>(quarters) % 4) {
    case 0:
        return {c, s};
    case 1:
        return {-s, c};
    case 2:
        return {-c, -s};
    default:
        return {s, -c};
    }
}

/// Point `index` of `count` spread evenly over the unit sphere, from the top down: spherical Fibonacci points
/// (Hannay and Nye 2004).
inline glm::vec3 spherical_fibonacci(int index, int count) {
    const double z = 1 - (2.0 * index + 1) / count;
    const double level = std::sqrt(1 - z * z);
    const double angle = golden_angle * index;
    return {static_cast<float>(level * std::cos(angle)), static_cast<float>(level * std::sin(angle)),
            static_cast<float>(z)};
}

/// SplitMix64 (Steele, Lea and Flood 2014).
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(seed) {}

    std::uint64_t bits() { return mix_bits(state_ += golden_step); }

    /// Uniform in [0, 1).
    double uniform() { return static_cast<double>(bits() >> 11) * 0x1.0p-53; }
    double uniform(double low, double high) { return low + (high - low) * uniform(); }

    /// Uniform on the unit sphere.
    glm::dvec3 direction() {
        const double z = uniform(-1, 1);
        const double angle = uniform(0, 2 * pi);
        const double level = std::sqrt(std::max(0.0, 1 - z * z));
        return {level * std::cos(angle), level * std::sin(angle), z};
    }

private:
    std::uint64_t state_;
};

/// PCG-XSH-RR with 32 bits out (O'Neill 2014): for paths, of which each sensor has a seed of its own. A
/// second generator and finaliser, so that the reference shares no random numbers with what it checks.
class PathRandom {
public:
    explicit PathRandom(std::uint64_t seed) : state_(scatter(seed)) {}

    /// Uniform in [0, 1).
    double uniform() {
        const std::uint64_t state = state_;
        state_ = state * 6364136223846793005u + 1442695040888963407u;
        const auto mixed = static_cast<std::uint32_t>((state >> 18 ^ state) >> 27);
        const auto turn = static_cast<int>(state >> 59);
        return std::rotr(mixed, turn) * 0x1.0p-32;
    }

    /// Uniform on the unit disk.
    glm::dvec2 on_disk() {
        const double radius = std::sqrt(uniform());
        const double angle = 2 * pi * uniform();
        return {radius * std::cos(angle), radius * std::sin(angle)};
    }

private:
    /// Neighbouring seeds must not start at neighbouring states (the 64-bit finaliser of MurmurHash3).
    static std::uint64_t scatter(std::uint64_t bits) {
        bits = (bits ^ bits >> 33) * 0xff51afd7ed558ccdu;
        bits = (bits ^ bits >> 33) * 0xc4ceb9fe1a85ec53u;
        return bits ^ bits >> 33;
    }

    std::uint64_t state_;
};

} // namespace duskcast
