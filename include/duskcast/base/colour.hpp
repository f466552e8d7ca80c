#pragma once
// Colours of the screen.

#include <array>

namespace duskcast {

/// sRGB, 0..1 each, gamma-encoded.
using Colour = std::array<double, 3>;

/// Gamma encoding of IEC 61966-2-1; `linear` is clamped to 0..1.
double encode_srgb(double linear);

/// What `encode_srgb` was given; `encoded` from 0 to 1.
double decode_srgb(double encoded);

} // namespace duskcast
