#pragma once
// Random numbers that are the same with every compiler and library.

#include <cmath>
#include <cstdint>
#include <glm/glm.hpp>

#include "duskcast/base/units.hpp"

namespace duskcast {

/// SplitMix64 (Steele, Lea and Flood 2014).
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(seed) {}

    std::uint64_t bits() {
        std::uint64_t z = (state_ += 0x9e3779b97f4a7c15u);
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        return z ^ (z >> 31);
    }

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

} // namespace duskcast
