#pragma once
// How far one picture is from another, in numbers.

#include <cstdint>
#include <string>
#include <vector>

namespace duskcast::test {

/// Row 0 at the top; red, green and blue, a byte each.
struct Pixels {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> rgb;
};

/// Throws std::runtime_error when it is no PNG.
Pixels decode_png(const std::string& bytes);

/// A picture half as wide and high; each pixel is the mean of four.
Pixels halve(const Pixels& pixels);

/// A pixel counts as changed when a channel of it differs by more levels than this, of 255.
inline constexpr int changed_level = 12;

struct Difference {
    bool is_same_size = true; ///< without it the others say nothing
    int greatest = 0;         ///< levels, in any channel of any pixel
    double mean = 0;          ///< levels, over all channels of all pixels
    double changed_share = 0; ///< of the pixels
};

/// How far apart two machines may draw the same picture. Rays meet the same facets on every processor; the last
/// bits of sines and cosines are the C library's, and with them a ray may meet another leaf, a shadow's edge
/// another pixel. Measured between three ray kernels that differed in their last bits, at most: pages without
/// rays 0; plates mean 0.004, changed 0.004 %; views mean 0.028, changed 0.10 %.
struct Tolerance {
    double mean = 0;
    double changed_share = 0;

    bool allows(const Difference& difference) const {
        return difference.is_same_size && difference.mean <= mean &&
               difference.changed_share <= changed_share;
    }
};
inline constexpr Tolerance drawn_tolerance{0.002, 0.00002}; ///< no rays
inline constexpr Tolerance plate_tolerance{0.01, 0.0002};
inline constexpr Tolerance view_tolerance{0.06, 0.002};

Difference find_difference(const Pixels& one, const Pixels& other);

} // namespace duskcast::test
