#pragma once
// What a single point receives from the patches: a row of links, traced once, by which its bounced light
// follows from what the sources send off.

#include <array>
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

/// Bands of distance, which a point's links are told apart by, as what is far changes little from one point
/// to the next. The first is all beyond a distance, the next all beyond half of that, and so on. Over half an
/// octave to either side of such a distance light goes over from one band to the other.
struct DistanceBands {
    static constexpr int most = 5;
    float first = 0; ///< metres, beyond which the first band lies
    int count = 1;

    /// The band that a distance in metres lies in; between two, the nearer one's share after the point.
    double place(double distance) const;
    /// Metres from which on nothing is in a band.
    double end(int band) const;
};

/// What a point sees of flat parts, as shares of all.
struct FlatSeen {
    float seen = 0;
    float open = 0; ///< were nothing in the way
};

/// The same in one band, and by direction: of eight parts of the compass at four heights.
struct BandSeen {
    static constexpr int sectors = 32;
    FlatSeen all;
    std::array<FlatSeen, sectors> sector{};
    std::array<std::uint32_t, sectors> rays{}; ///< that tell it

    static int sector_of(const glm::vec3& way);
};

/// A point that bounced light is wanted at.
struct LinkedPoint {
    glm::vec3 position; ///< on its surface
    glm::vec3 normal;
    std::uint64_t seed = 0;
    float spacing = 0; ///< metres to the next points; 0: it stands for itself alone
    DistanceBands bands = {};
    int first_band = 0;   ///< that is looked at; what is farther is known from other points
    FlatSeen beyond = {}; ///< what it sees there
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
    std::vector<PointLink> links; ///< band by band
    float sky = 0;
    float nearest = 0; ///< metres to the nearest part that sends it light, of those that count
    std::array<std::size_t, DistanceBands::most> band_end{}; ///< in `links`, one a band
    std::array<BandSeen, DistanceBands::most> band{};
};

/// The same packed, before it is joined to others.
struct PackedRow {
    std::vector<std::uint32_t> packed;
    float sky = 0;
};
PackedRow pack_row(PointRow row);
/// A row for each band from `first` on; the sky is the last one's.
std::vector<PackedRow> pack_bands(const PointRow& row, const DistanceBands& bands, int first);
/// Rows of one point as one.
PackedRow merge_rows(std::span<const PackedRow> rows);

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
