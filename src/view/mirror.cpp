#include "mirror.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/random.hpp"

namespace duskcast {
namespace {

/// Of the light polarised across the plane of incidence and along it.
glm::dvec2 polarised_reflection(double cosine, double index) {
    const double inside = std::sqrt(1 - (1 - cosine * cosine) / (index * index));
    const double across = (cosine - index * inside) / (cosine + index * inside);
    const double along = (index * cosine - inside) / (index * cosine + inside);
    return {across * across, along * along};
}

} // namespace

double face_reflection(double cosine, double index) {
    const glm::dvec2 share = polarised_reflection(std::clamp(cosine, 0.0, 1.0), index);
    return (share.x + share.y) / 2;
}

double pane_reflection(double cosine, double index) {
    const glm::dvec2 share = polarised_reflection(std::clamp(cosine, 0.0, 1.0), index);
    return share.x / (1 + share.x) + share.y / (1 + share.y);
}

glm::vec2 ripple_slope(const glm::vec2& at, float width) {
    struct Wave {
        glm::vec2 number; ///< radians a metre
        float length;
        float phase;
    };
    static const std::array<Wave, 7> waves = [] {
        std::array<Wave, 7> made;
        for (std::size_t i = 0; i < made.size(); ++i) {
            const float length = 0.15f * std::pow(6.0f, static_cast<float>(i) / 6);
            const auto turned = static_cast<float>(2 * pi) * hash_to_unit(i, 0);
            made[i] = {static_cast<float>(2 * pi) / length * circle_point(turned), length,
                       static_cast<float>(2 * pi) * hash_to_unit(i, 1)};
        }
        return made;
    }();
    constexpr float steepest = 0.017f; // seven times its square, halved: 0.03 in all
    glm::vec2 slope(0);
    for (const Wave& wave : waves) {
        const float kept = std::clamp(2 - 4 * width / wave.length, 0.0f, 1.0f);
        if (kept > 0)
            slope += kept * steepest * std::cos(glm::dot(wave.number, at) + wave.phase) * wave.length /
                     static_cast<float>(2 * pi) * wave.number;
    }
    return slope;
}

} // namespace duskcast
