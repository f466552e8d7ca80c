#include "duskcast/light/point_links.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>

#include "light_sum.hpp"
#include "link_candidates.hpp"

namespace duskcast {

namespace {

// A packed link, from the lowest bit: level of the share, two trends, the step from the source before. Level
// 0 is a link to nothing, whose other bits are a longer step.
constexpr int share_bits = 10, link_trend_bits = 6, step_bits = 10;
constexpr std::uint32_t share_levels = 1u << share_bits, trend_levels = 1u << link_trend_bits;
constexpr int first_trend_bit = share_bits, second_trend_bit = share_bits + link_trend_bits,
              first_step_bit = share_bits + 2 * link_trend_bits;
static_assert(first_step_bit + step_bits == 32);

constexpr double share_octaves = 20.5, most_share = 1.41; ///< a level is 1.4 %
constexpr double most_trend = 3.0;                        ///< where the horizon leaves an edge alone
constexpr int middle_trend = trend_levels / 2;

const std::array<float, share_levels> share_table = [] {
    std::array<float, share_levels> table{};
    for (std::uint32_t level = 1; level < share_levels; ++level)
        table[level] = static_cast<float>(
            most_share * std::exp2(share_octaves * (level + 1.0 - share_levels) / (share_levels - 2)));
    return table;
}();

/// Finer about zero, where most trends are.
const std::array<float, trend_levels> trend_table = [] {
    std::array<float, trend_levels> table{};
    for (std::uint32_t level = 1; level < trend_levels; ++level) {
        const double root = (static_cast<double>(level) - middle_trend) / (middle_trend - 1);
        table[level] = static_cast<float>(most_trend * root * std::abs(root));
    }
    return table;
}();

std::uint32_t pack_trend(float trend) {
    const double share = std::clamp(static_cast<double>(trend) / most_trend, -1.0, 1.0);
    const long step = std::lround(std::copysign(std::sqrt(std::abs(share)), share) * (middle_trend - 1));
    return static_cast<std::uint32_t>(middle_trend + step);
}

/// The level whose share, of those next to a link's own, leaves least of `wanted`; 0 where that is next to
/// nothing.
std::uint32_t pack_share(float share, double wanted) {
    if (wanted < static_cast<double>(share_table[1]) / 2)
        return 0;
    const double level = std::log2(std::max(static_cast<double>(share), 1e-12) / most_share) *
                             (share_levels - 2) / share_octaves +
                         (share_levels - 1);
    const double last = share_levels - 1;
    const auto nearest = static_cast<std::uint32_t>(std::clamp(std::round(level), 1.0, last));
    std::uint32_t best = nearest;
    for (const std::uint32_t other : {nearest - 1, nearest + 1})
        if (other >= 1 && other < share_levels &&
            std::abs(static_cast<double>(share_table[other]) - wanted) <
                std::abs(static_cast<double>(share_table[best]) - wanted))
            best = other;
    return best;
}

/// Calls `take` with source, share and trends of each link.
template <class Take> void read_links(std::span<const std::uint32_t> packed, const Take& take) {
    constexpr std::uint32_t trend_mask = trend_levels - 1;
    std::uint32_t source = 0;
    for (const std::uint32_t link : packed) {
        const std::uint32_t level = link & (share_levels - 1);
        if (level == 0) {
            source += link >> share_bits;
            continue;
        }
        source += link >> first_step_bit;
        take(source, share_table[level], trend_table[(link >> first_trend_bit) & trend_mask],
             trend_table[(link >> second_trend_bit) & trend_mask]);
    }
}

/// What counts as near: where this share of all that a point sees of flat parts is nearer.
constexpr double near_share = 0.03;
constexpr double leafy_share = 0.02; ///< of a view: leaves hide as they please, so neighbours tell little

/// What a point sees of a source.
struct Share {
    int band;
    std::uint32_t source;
    double factor, trend_u, trend_v;
};

/// Metres within which `share` of all factors lies. Mostly that is a few of them, so they are not sorted.
double find_nearest_share(std::vector<std::pair<double, double>>& seen_at, double share) {
    const auto is_farther = std::greater<>();
    std::make_heap(seen_at.begin(), seen_at.end(), is_farther);
    for (auto end = seen_at.end(); end != seen_at.begin(); --end) {
        const auto [distance, factor] = seen_at.front();
        if ((share -= factor) < 0)
            return distance;
        std::pop_heap(seen_at.begin(), end, is_farther);
    }
    return 1e9;
}

/// Adds what a point sees of a source to one band or, where that lies between two, to both.
class BandSums {
public:
    BandSums(const Patches& patches, const SourceTree& tree, const LinkedPoint& point, PointRow& row,
             std::vector<Share>& shares)
        : patches_(patches), tree_(tree), point_(point), row_(row), shares_(shares) {}

    void add(const Candidate& candidate) {
        const auto farther = static_cast<int>(candidate.band);
        // `factor` is that of the bands looked at alone.
        const double nearer = farther < point_.first_band ? 1 : candidate.band - farther;
        add(candidate, farther, 1 - nearer);
        add(candidate, farther + 1, nearer);
    }

private:
    void add(const Candidate& candidate, int band, double part) {
        if (!(part > 0))
            return;
        const double open = candidate.share.factor * part;
        const double factor = open * candidate.seen / candidate.rays;
        note(candidate, row_.band[band], open, factor);
        if (candidate.seen == 0)
            return;
        if (!candidate.is_part) {
            shares_.push_back({band, tree_.node(candidate.node).source, factor, candidate.share.trend_u,
                               candidate.share.trend_v});
            return;
        }
        const SourceTree::Plane& plane = tree_.planes()[candidate.plane];
        const PatchBlend blend = patches_.blend_inside(plane.face, plane.is_front, candidate.place.middle_u(),
                                                       candidate.place.middle_v());
        for (int k = 0; k < PatchBlend::spots; ++k)
            if (blend.weight[k] > 0)
                shares_.push_back(
                    {band, blend.patch[k], factor * static_cast<double>(blend.weight[k]), 0, 0});
    }

    void note(const Candidate& candidate, BandSeen& band, double open, double seen) const {
        band.all.open += static_cast<float>(open);
        band.all.seen += static_cast<float>(seen);
        const Patches::Face& face = patches_.faces()[tree_.planes()[candidate.plane].face];
        const glm::dvec3 middle =
            face.origin + candidate.place.middle_u() * face.across + candidate.place.middle_v() * face.upward;
        const int sector = BandSeen::sector_of(glm::vec3(middle) - point_.position);
        band.sector[sector].open += static_cast<float>(open);
        band.sector[sector].seen += static_cast<float>(seen);
        band.rays[sector] += static_cast<std::uint32_t>(candidate.rays);
    }

    const Patches& patches_;
    const SourceTree& tree_;
    const LinkedPoint& point_;
    PointRow& row_;
    std::vector<Share>& shares_;
};

/// What a point sees of the flat parts.
std::vector<Share> find_shares(const Patches& patches, const SourceTree& tree, const LinkedPoint& point,
                               bool is_leafy, PointRow& row) {
    const Candidates candidates = find_candidates(patches, tree, point, is_leafy);
    std::vector<Share> shares;
    std::vector<std::pair<double, double>> seen_at; // metres, factor
    auto seen = static_cast<double>(point.beyond.seen);
    BandSums bands(patches, tree, point, row, shares);
    for (const Candidate& candidate : candidates.list) {
        if (candidate.rays == 0)
            continue;
        bands.add(candidate);
        const double factor = candidate.share.factor * candidate.seen / candidate.rays;
        seen_at.emplace_back(candidate.distance, factor);
        seen += factor;
    }
    constexpr float touching = 1e-6f; // 0 would say that it is not known
    row.nearest =
        std::max(touching, std::min(candidates.nearest_edge_on,
                                    static_cast<float>(find_nearest_share(seen_at, near_share * seen))));
    return shares;
}

/// Adds up what is of the same source in one band, in the order of bands and sources.
void join_shares(std::vector<Share>& shares) {
    std::stable_sort(shares.begin(), shares.end(), [](const Share& a, const Share& b) {
        return std::pair(a.band, a.source) < std::pair(b.band, b.source);
    });
    std::size_t count = 0;
    for (const Share& share : shares) {
        if (count > 0 && shares[count - 1].source == share.source && shares[count - 1].band == share.band) {
            Share& sum = shares[count - 1];
            const double all = sum.factor + share.factor;
            sum.trend_u = (sum.factor * sum.trend_u + share.factor * share.trend_u) / all;
            sum.trend_v = (sum.factor * sum.trend_v + share.factor * share.trend_v) / all;
            sum.factor = all;
        } else {
            shares[count++] = share;
        }
    }
    shares.resize(count);
}

/// By ascending source.
PackedRow pack_links(std::vector<PointLink> links, float sky) {
    PackedRow packed{.packed = {}, .sky = sky};
    std::stable_sort(links.begin(), links.end(),
                     [](const PointLink& a, const PointLink& b) { return a.source < b.source; });
    std::uint32_t before = 0;
    double left = 0; // of the links before
    for (const PointLink& link : links) {
        const double wanted = static_cast<double>(link.share) + left;
        const std::uint32_t level = pack_share(link.share, wanted);
        left = wanted - static_cast<double>(share_table[level]);
        if (level == 0)
            continue;
        std::uint32_t step = link.source - before;
        before = link.source;
        if (step >> step_bits != 0) {
            packed.packed.push_back(step << share_bits);
            step = 0;
        }
        packed.packed.push_back(level | pack_trend(link.trend_u) << first_trend_bit |
                                pack_trend(link.trend_v) << second_trend_bit | step << first_step_bit);
    }
    packed.packed.shrink_to_fit();
    return packed;
}

} // namespace

PointRow PointTracer::trace(const LinkedPoint& point, const RestSeen& rest) const {
    PointRow row;
    std::vector<Share> shares = find_shares(patches_, tree_, point, rest.leaves > leafy_share, row);
    join_shares(shares);
    double own = 0;
    for (const Share& share : shares)
        own += share.factor;
    const double flat = own + static_cast<double>(point.beyond.seen);

    // All that is seen adds up to one. The few rays to the sky and to nowhere are those of the patch about
    // the point, which may see other than the point does: they share what the flat parts leave.
    const double gone = rest.sky + rest.lost;
    const double sky_scale = gone > 0 ? std::max(0.0, 1 - flat - rest.leaves) / gone : 0;
    const double gap = std::max(0.0, 1 - rest.leaves - sky_scale * gone) - flat;
    // Among leaves their own scatter is more than the flat parts'.
    const double leaf_scatter = 2 * std::sqrt(rest.leaves * (1 - rest.leaves) / std::max(1, rest.rays));
    const double beyond = gap - std::clamp(gap, -leaf_scatter, leaf_scatter);
    // What was found between other points is left as it is, and its error must not be all a near thing's.
    const double most_scale = point.first_band > 0 ? 1.5 : 1e9, least_scale = point.first_band > 0 ? 0.5 : 0;
    const double own_scale = own > 0 ? std::clamp((own + beyond) / own, least_scale, most_scale) : 0;
    for (const Share& share : shares) {
        row.links.push_back({share.source, static_cast<float>(share.factor * own_scale),
                             static_cast<float>(share.trend_u), static_cast<float>(share.trend_v)});
        row.band_end[share.band] = row.links.size();
    }
    for (int band = 0; band < DistanceBands::most; ++band) {
        if (band > 0)
            row.band_end[band] = std::max(row.band_end[band], row.band_end[band - 1]);
        row.band[band].all.seen *= static_cast<float>(own_scale);
    }
    row.sky = static_cast<float>(rest.sky * sky_scale);
    return row;
}

double DistanceBands::place(double distance) const {
    if (count == 1)
        return 0;
    // Even steps within an octave: any smooth scale serves, and every C library gives the same bits of this.
    int octave = 0;
    const double share = std::frexp(static_cast<double>(first) / distance, &octave); // 1/2 to 1
    return std::clamp(octave + 2 * share - std::numbers::sqrt2, 0.0, count - 1.0);
}

double DistanceBands::end(int band) const {
    return band > 0 ? std::ldexp(static_cast<double>(first) * std::numbers::sqrt2, 1 - band) : 1e9;
}

int BandSeen::sector_of(const glm::vec3& way) {
    const int turn = (way.x > 0 ? 1 : 0) + (way.y > 0 ? 2 : 0) + (std::abs(way.x) > std::abs(way.y) ? 4 : 0);
    const float half = 0.5f * glm::length(way);
    return turn + 8 * ((way.z > 0 ? 1 : 0) + (std::abs(way.z) > half ? 2 : 0));
}

PackedRow pack_row(PointRow row) {
    return pack_links(std::move(row.links), row.sky);
}

std::vector<PackedRow> pack_bands(const PointRow& row, const DistanceBands& bands, int first) {
    std::vector<PackedRow> packed;
    for (int band = first; band < bands.count; ++band) {
        const auto begin =
                       row.links.begin() + static_cast<std::ptrdiff_t>(band > 0 ? row.band_end[band - 1] : 0),
                   end = row.links.begin() + static_cast<std::ptrdiff_t>(row.band_end[band]);
        packed.push_back(pack_links({begin, end}, band + 1 == bands.count ? row.sky : 0));
    }
    return packed;
}

PackedRow merge_rows(std::span<const PackedRow> rows) {
    std::vector<PointLink> links;
    float sky = 0;
    for (const PackedRow& row : rows) {
        read_links(row.packed, [&](std::uint32_t source, float share, float trend_u, float trend_v) {
            links.push_back({source, share, trend_u, trend_v});
        });
        sky += row.sky;
    }
    return pack_links(std::move(links), sky);
}

PointLinks join_rows(std::vector<PackedRow>& rows) {
    PointLinks joined;
    std::size_t count = 0;
    for (const PackedRow& row : rows)
        count += row.packed.size();
    joined.packed.reserve(count);
    for (PackedRow& row : rows) {
        joined.packed.insert(joined.packed.end(), row.packed.begin(), row.packed.end());
        joined.first.push_back(static_cast<std::uint32_t>(joined.packed.size()));
        joined.sky.push_back(row.sky);
        row.packed = {};
    }
    return joined;
}

std::vector<PointLink> PointLinks::links_of(std::size_t point) const {
    std::vector<PointLink> links;
    read_links(std::span(packed).subspan(first[point], first[point + 1] - first[point]),
               [&](std::uint32_t source, float share, float trend_u, float trend_v) {
                   links.push_back({source, share, trend_u, trend_v});
               });
    return links;
}

PatchLight PointLinks::receive(std::size_t point, std::span<const SourceLight> lights, float ambient) const {
    LightSum all;
    read_links(std::span(packed).subspan(first[point], first[point + 1] - first[point]),
               [&](std::uint32_t source, float share, float trend_u, float trend_v) {
                   const SourceLight& light = lights[source];
                   const float trend = 1 + (trend_u * light.centroid_u + trend_v * light.centroid_v);
                   all.add(share * std::max(0.0f, trend), light.sent);
               });
    const PatchLight sum = all.light();
    const float sky_light = ambient * sky[point];
    return {sum.r + sky_light, sum.g + sky_light, sum.b + sky_light, 0};
}

std::size_t PointLinks::bytes() const {
    return (packed.size() + first.size()) * sizeof(std::uint32_t) + sky.size() * sizeof(float);
}

} // namespace duskcast
