#pragma once
// Links of the bounce operator, 24 bits each: the step from the partner before it in its row, and the
// exchange area on a logarithmic scale. Level 0 is a link to nothing, whose step counts 4096-fold.

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <vector>

namespace duskcast {

inline constexpr int level_bits = 12;
inline constexpr int levels = 1 << level_bits;
inline constexpr double least_exchange = 1e-8; ///< m2
inline constexpr double octaves = 42;          ///< up to 44,000 m2; a step is 0.7 %

/// From level 1 on.
inline const std::array<float, levels> exchange_table = [] {
    std::array<float, levels> table{};
    for (int level = 1; level < levels; ++level)
        table[level] = static_cast<float>(least_exchange * std::exp2(octaves * (level - 1) / (levels - 2)));
    return table;
}();

inline constexpr std::size_t link_bytes = 3;

/// Adds links to a row, by ascending partner. What is behind the last one is read with it and must be there
/// (`close`).
class LinkWriter {
public:
    explicit LinkWriter(std::vector<std::uint8_t>& bytes) : bytes_(bytes) {}

    void begin_row() { before_ = 0; }
    void add(std::uint32_t partner, double exchange) {
        const std::uint32_t step = partner - before_;
        before_ = partner;
        if (step >= levels)
            put(step >> level_bits << level_bits);
        const double level = 1 + std::log2(exchange / least_exchange) * (levels - 2) / octaves;
        put((step & (levels - 1)) << level_bits |
            static_cast<std::uint32_t>(std::clamp(std::round(level), 1.0, levels - 1.0)));
    }
    std::size_t count() const { return bytes_.size() / link_bytes; }
    void close() {
        bytes_.push_back(0);
        bytes_.shrink_to_fit();
    }

private:
    void put(std::uint32_t link) {
        for (std::size_t k = 0; k < link_bytes; ++k)
            bytes_.push_back(static_cast<std::uint8_t>(link >> (8 * k)));
    }

    std::vector<std::uint8_t>& bytes_;
    std::uint32_t before_ = 0;
};

/// Reads a row's links one after the other; those to nothing have no exchange.
class LinkReader {
public:
    LinkReader(const std::vector<std::uint8_t>& bytes, std::size_t first)
        : at_(bytes.data() + first * link_bytes) {}

    void next() {
        static_assert(std::endian::native == std::endian::little);
        std::uint32_t link;
        std::memcpy(&link, at_, sizeof(link));
        at_ += link_bytes;
        level_ = link & (levels - 1);
        partner_ += (link >> level_bits & (levels - 1)) << (level_ == 0 ? level_bits : 0);
    }
    std::uint32_t partner() const { return partner_; }
    float exchange() const { return exchange_table[level_]; }

private:
    const std::uint8_t* at_;
    std::uint32_t partner_ = 0, level_ = 0;
};

/// Smoothing: steps of exchange between neighbours, and the greatest share in a step (stable below 1/4).
inline constexpr int smoothing_steps = 6;
inline constexpr float most_smoothing = 0.2f;
inline constexpr float least_smoothing = 1e-4f;

} // namespace duskcast
