#include "duskcast/view/quick_tone.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/tone.hpp"

namespace duskcast {
namespace {

constexpr int first_octave = -24, last_octave = 8; // of luminance, cd/m2: from what is black to past white
constexpr int steps_an_octave = 32;
constexpr int encoded_steps = 4096;

std::uint32_t bits_of(float value) {
    std::uint32_t bits = 0;
    std::memcpy(&bits, &value, sizeof bits);
    return bits;
}

// IEEE 754: eight bits of exponent, 127 for 1, before twenty-three of fraction.
constexpr std::uint32_t first_bits = static_cast<std::uint32_t>(127 + first_octave) << 23;
constexpr int dropped_bits = 23 - 5; // 2^5 steps an octave

} // namespace

QuickNightTone::QuickNightTone() {
    static_assert(1 << 5 == steps_an_octave);
    for (int octave = first_octave; octave <= last_octave; ++octave)
        for (int step = 0; step < steps_an_octave; ++step) {
            const double luminance = std::ldexp(1 + step / static_cast<double>(steps_an_octave), octave);
            entries_.push_back({static_cast<float>(night_tone(luminance)),
                                static_cast<float>(night_colourfulness(luminance))});
        }
    for (int i = 0; i <= encoded_steps; ++i) {
        const double root = i / static_cast<double>(encoded_steps);
        encoded_.push_back(static_cast<std::uint8_t>(std::lround(255 * encode_srgb(root * root))));
    }
}

QuickNightTone::Entry QuickNightTone::find(float luminance) const {
    const std::uint32_t bits = bits_of(luminance);
    if (!(luminance > 0) || bits < first_bits)
        return entries_.front();
    const std::size_t at = (bits - first_bits) >> dropped_bits;
    if (at + 1 >= entries_.size())
        return entries_.back();
    const float share =
        static_cast<float>(bits & ((1u << dropped_bits) - 1)) * (1 / static_cast<float>(1u << dropped_bits));
    const Entry &low = entries_[at], &high = entries_[at + 1];
    return {low.tone + share * (high.tone - low.tone),
            low.colourful + share * (high.colourful - low.colourful)};
}

std::array<std::uint8_t, 3> QuickNightTone::at(const glm::vec3& luminance) const {
    static const glm::vec3 weights(luminance_of({1, 0, 0}), luminance_of({0, 1, 0}), luminance_of({0, 0, 1}));
    static const glm::vec3 by_white = 1.0f / glm::vec3(night_white_colour()), grey(night_grey_colour());
    const float y = glm::dot(weights, luminance);
    if (!(y > 0))
        return {0, 0, 0};
    const Entry entry = find(y);
    glm::vec3 hue = glm::max(luminance, glm::vec3(0)) * by_white;
    hue *= 1 / glm::dot(weights, hue);
    hue = grey + entry.colourful * (hue - grey);
    const float tone = entry.tone, most = std::max({hue.x, hue.y, hue.z});
    const float keep = most * tone > 1 && most > 1 ? std::max(0.0f, (1 / tone - 1) / (most - 1)) : 1.0f;
    std::array<std::uint8_t, 3> colour{};
    for (int i = 0; i < 3; ++i) {
        const float even = tone * (1 + keep * (hue[i] - 1));
        const float linear = std::clamp(0.5f * (even + find(y * hue[i]).tone), 0.0f, 1.0f);
        colour[static_cast<std::size_t>(i)] =
            encoded_[static_cast<std::size_t>(std::sqrt(linear) * encoded_steps + 0.5f)];
    }
    return colour;
}

} // namespace duskcast
