#pragma once
// A colour of a photo's pixel in six bytes: phones take pictures of fifty megapixels.

#include <cstdint>
#include <cstring>
#include <glm/glm.hpp>

namespace duskcast {

/// Linear channels from 2^-22 to 512, each good to one part in 4,096; what is darker becomes 0, what is
/// brighter the brightest. A number has five bits of exponent and eleven of fraction, and no sign.
class ShortColour {
public:
    ShortColour() = default;
    explicit ShortColour(const glm::vec3& linear)
        : channels_(pack(linear.x), pack(linear.y), pack(linear.z)) {}

    glm::vec3 linear() const { return {unpack(channels_.x), unpack(channels_.y), unpack(channels_.z)}; }

private:
    static constexpr std::uint32_t offset = (127u - 23u) << 23; ///< of a float's exponent (IEEE 754)
    static constexpr int dropped = 12;                          ///< bits of its fraction

    static std::uint16_t pack(float value) {
        if (!(value >= 0x1p-22f))
            return 0;
        value = value < 511.875f ? value : 511.875f;
        std::uint32_t bits = 0;
        std::memcpy(&bits, &value, sizeof bits);
        return static_cast<std::uint16_t>((bits - offset + (1u << (dropped - 1))) >> dropped);
    }
    static float unpack(std::uint16_t packed) {
        const std::uint32_t bits = packed == 0 ? 0 : (static_cast<std::uint32_t>(packed) << dropped) + offset;
        float value = 0;
        std::memcpy(&value, &bits, sizeof value);
        return value;
    }

    glm::u16vec3 channels_{0};
};

} // namespace duskcast
