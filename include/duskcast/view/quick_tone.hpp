#pragma once
// The night's colours by tables, for pictures under a moving hand.

#include <array>
#include <cstdint>
#include <glm/glm.hpp>
#include <vector>

namespace duskcast {

/// night_colour as 8-bit sRGB, within one step of 255.
class QuickNightTone {
public:
    QuickNightTone();

    std::array<std::uint8_t, 3> at(const glm::vec3& luminance) const; ///< cd/m2 per channel

private:
    struct Entry {
        float tone, colourful;
    };
    Entry find(float luminance) const;

    std::vector<Entry> entries_;        ///< by luminance, evenly within each doubling
    std::vector<std::uint8_t> encoded_; ///< by the square root of the linear value
};

} // namespace duskcast
