#pragma once
// A link of the bounce operator in 32 bits: the partner's index and the exchange area on a logarithmic scale.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

namespace duskcast {

inline constexpr int level_bits = 12;
inline constexpr int levels = 1 << level_bits;
inline constexpr double least_exchange = 1e-8; ///< m2
inline constexpr double octaves = 42;          ///< up to 44,000 m2; a step is 0.7 %

inline const std::array<float, levels> exchange_table = [] {
    std::array<float, levels> table{};
    for (int level = 0; level < levels; ++level)
        table[level] = static_cast<float>(least_exchange * std::exp2(octaves * level / (levels - 1)));
    return table;
}();

inline std::uint32_t make_link(std::uint32_t partner, double exchange) {
    const double level = std::log2(exchange / least_exchange) * (levels - 1) / octaves;
    return partner << level_bits |
           static_cast<std::uint32_t>(std::clamp(std::round(level), 0.0, static_cast<double>(levels - 1)));
}

inline std::uint32_t partner_of(std::uint32_t link) {
    return link >> level_bits;
}
inline float exchange_of(std::uint32_t link) {
    return exchange_table[link & (levels - 1)];
}

/// Smoothing: steps of exchange between neighbours, and the greatest share in a step (stable below 1/4).
inline constexpr int smoothing_steps = 6;
inline constexpr float most_smoothing = 0.2f;
inline constexpr float least_smoothing = 1e-4f;

} // namespace duskcast
