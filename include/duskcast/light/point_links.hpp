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
/// (FactorTrend).
struct PointLink {
    std::uint32_t source = 0;
    float share = 0;
    float trend_u = 0, trend_v = 0;
};

/// Rows of links, one a point, by ascending source. A link takes 32 bits: the step from the source before it,
/// the share on a logarithmic scale and the trends on a square one. What a share is rounded by the links
/// after it make up for, so that a row keeps its sum.
struct PointLinks {
    std::vector<std::uint32_t> first{0}; ///< points + 1: where each one's links begin
    std::vector<std::uint32_t> packed;
    std::vector<float> sky; ///< share of what each sees that is sky

    std::size_t size() const { return sky.size(); }
    std::size_t bytes() const;
    /// A row's links, as far as packing left them.
    std::vector<PointLink> links_of(std::size_t point) const;
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

/// What a point receives, before it is packed.
struct PointRow {
    std::vector<PointLink> links;
    float sky = 0;
    float nearest = 0; ///< metres to the nearest part that sends it light, of those that count
};

/// The same packed, before it is joined to others.
struct PackedRow {
    std::vector<std::uint32_t> packed;
    float sky = 0;
    float nearest = 0;
};
PackedRow pack_row(PointRow row);

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
PointLinks join_rows(std::vector<PackedRow>& rows);

} // namespace duskcast
