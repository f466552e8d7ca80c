#pragma once
// What a single point receives from the patches: a row of links, traced once, by which its bounced light
// follows from what the sources send off.

#include <cstdint>
#include <glm/glm.hpp>
#include <span>
#include <vector>

#include "duskcast/light/source_tree.hpp"

namespace duskcast {

/// The share of what a point sees that is one source, and the trend of that share over the source's rectangle
/// (FactorTrend), in 64 bits.
struct PointLink {
    std::uint32_t source;          ///< << 12 | level of the share on a logarithmic scale
    std::int16_t trend_u, trend_v; ///< of most_trend, in parts of 32767
};

std::uint32_t source_of(const PointLink& link);
float share_of(const PointLink& link);
PointLink make_point_link(std::uint32_t source, double share, double trend_u = 0, double trend_v = 0);

/// Rows of links, one a point.
struct PointLinks {
    std::vector<std::uint32_t> first{0}; ///< points + 1: where each one's links begin
    std::vector<PointLink> links;
    std::vector<float> sky; ///< share of what each sees that is sky

    std::size_t size() const { return sky.size(); }
    std::size_t bytes() const;
    /// Lux by channel: from the sources and from a sky that gives `ambient` lx on open level ground.
    PatchLight receive(std::size_t point, std::span<const SourceLight> lights, float ambient) const;
};

/// A point that bounced light is wanted at.
struct LinkedPoint {
    glm::vec3 position; ///< on its surface
    glm::vec3 normal;
    std::uint64_t seed = 0;
    float spacing = 0; ///< metres to the next points; 0: it stands for itself alone
};

/// What the rays of a point met beside flat parts, as shares.
struct RestSeen {
    double leaves = 0; ///< and small facets
    double sky = 0;
    double lost = 0;
    int rays = 0;
};

/// A row before it is packed.
struct PointRow {
    std::vector<PointLink> links;
    float sky = 0;
    float nearest = 0; ///< metres to the nearest part that sends it light, of those that count
};

class PointTracer {
public:
    PointTracer(const Patches& patches, const SourceTree& tree) : patches_(patches), tree_(tree) {}

    /// The flat parts and the sky as a point sees them, by configuration factors and shadow rays. With what
    /// `rest` says of all else their shares add up to one. Thread-safe.
    PointRow trace(const LinkedPoint& point, const RestSeen& rest) const;

private:
    const Patches& patches_;
    const SourceTree& tree_;
};

/// Joins rows in their order.
PointLinks join_rows(std::vector<PointRow>& rows);

} // namespace duskcast
