#include "duskcast/light/point_links.hpp"

#include <algorithm>
#include <cmath>

#include "exchange_levels.hpp"
#include "light_sum.hpp"
#include "link_candidates.hpp"

namespace duskcast {

namespace {

constexpr double most_trend = 3.0; // where the horizon leaves an edge alone
constexpr double trend_steps = 32767;

/// What counts as near: where this share of all that a point sees of flat parts is nearer.
constexpr double near_share = 0.03;
constexpr double leafy_share = 0.02; ///< of a view: leaves hide as they please, so neighbours tell little

std::int16_t pack_trend(double trend) {
    return static_cast<std::int16_t>(std::lround(std::clamp(trend / most_trend, -1.0, 1.0) * trend_steps));
}

} // namespace

std::uint32_t source_of(const PointLink& link) {
    return partner_of(link.source);
}

float share_of(const PointLink& link) {
    return exchange_of(link.source);
}

PointLink make_point_link(std::uint32_t source, double share, double trend_u, double trend_v) {
    return {make_link(source, share), pack_trend(trend_u), pack_trend(trend_v)};
}

namespace {

/// What a point sees of a source.
struct Share {
    std::uint32_t source;
    double factor, trend_u, trend_v;
};

/// Metres within which `share` of all factors lies.
double find_nearest_share(std::vector<std::pair<double, double>>& seen_at, double share) {
    std::sort(seen_at.begin(), seen_at.end());
    for (const auto& [distance, factor] : seen_at)
        if ((share -= factor) < 0)
            return distance;
    return 1e9;
}

/// What a point sees of the flat parts.
void find_shares(const Patches& patches, const SourceTree& tree, const LinkedPoint& point, bool is_leafy,
                 std::vector<Share>& shares, float& nearest) {
    const Candidates candidates = find_candidates(patches, tree, point, is_leafy);
    nearest = candidates.nearest_edge_on;
    std::vector<std::pair<double, double>> seen_at; // metres, factor
    double seen = 0;
    for (const Candidate& candidate : candidates.list) {
        if (candidate.seen == 0)
            continue;
        const double factor = candidate.share.factor * candidate.seen / candidate.rays;
        seen_at.emplace_back(candidate.distance, factor);
        seen += factor;
        if (!candidate.is_part) {
            shares.push_back(
                {tree.node(candidate.node).source, factor, candidate.share.trend_u, candidate.share.trend_v});
            continue;
        }
        const SourceTree::Plane& plane = tree.planes()[candidate.plane];
        const PatchBlend blend = patches.blend_inside(plane.face, plane.is_front, candidate.place.middle_u(),
                                                      candidate.place.middle_v());
        for (int k = 0; k < PatchBlend::spots; ++k)
            if (blend.weight[k] > 0)
                shares.push_back({blend.patch[k], factor * static_cast<double>(blend.weight[k]), 0, 0});
    }
    constexpr float touching = 1e-6f; // 0 would say that it is not known
    nearest = std::max(touching,
                       std::min(nearest, static_cast<float>(find_nearest_share(seen_at, near_share * seen))));
}

/// Adds up what is of the same source, in the order of the sources.
void join_shares(std::vector<Share>& shares) {
    std::stable_sort(shares.begin(), shares.end(),
                     [](const Share& a, const Share& b) { return a.source < b.source; });
    std::size_t count = 0;
    for (const Share& share : shares) {
        if (count > 0 && shares[count - 1].source == share.source) {
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

} // namespace

PointRow PointTracer::trace(const LinkedPoint& point, const RestSeen& rest) const {
    PointRow row;
    std::vector<Share> shares;
    find_shares(patches_, tree_, point, rest.leaves > leafy_share, shares, row.nearest);
    join_shares(shares);
    double flat = 0;
    for (const Share& share : shares)
        flat += share.factor;

    // All that is seen adds up to one. The few rays to the sky and to nowhere say less than the flat parts
    // and leave them what they leave, as far as their own scatter allows; then the flat parts give way.
    double sky_scale = 0;
    if (const double gone = rest.sky + rest.lost; gone > 0) {
        const double scatter = std::min(1.0, 2 / std::sqrt(gone * rest.rays));
        sky_scale = std::clamp((1 - flat - rest.leaves) / gone, 1 - scatter, 1 + scatter);
    }
    const double gap = std::max(0.0, 1 - rest.leaves - sky_scale * (rest.sky + rest.lost)) - flat;
    // Among leaves their own scatter is more than the flat parts'.
    const double leaf_scatter = 2 * std::sqrt(rest.leaves * (1 - rest.leaves) / std::max(1, rest.rays));
    const double beyond = gap - std::clamp(gap, -leaf_scatter, leaf_scatter);
    const double flat_scale = flat > 0 ? std::max(0.0, flat + beyond) / flat : 0;
    for (const Share& share : shares)
        row.links.push_back(
            make_point_link(share.source, share.factor * flat_scale, share.trend_u, share.trend_v));
    row.sky = static_cast<float>(rest.sky * sky_scale);
    return row;
}

PointLinks join_rows(std::vector<PointRow>& rows) {
    PointLinks joined;
    std::size_t count = 0;
    for (const PointRow& row : rows)
        count += row.links.size();
    joined.links.reserve(count);
    for (PointRow& row : rows) {
        joined.links.insert(joined.links.end(), row.links.begin(), row.links.end());
        joined.first.push_back(static_cast<std::uint32_t>(joined.links.size()));
        joined.sky.push_back(row.sky);
        row.links = {};
    }
    return joined;
}

PatchLight PointLinks::receive(std::size_t point, std::span<const SourceLight> lights, float ambient) const {
    constexpr float step = static_cast<float>(most_trend / trend_steps);
    LightSum all;
    for (std::uint32_t l = first[point]; l < first[point + 1]; ++l) {
        const PointLink& link = links[l];
        const SourceLight& light = lights[partner_of(link.source)];
        const float trend = 1 + step * (static_cast<float>(link.trend_u) * light.centroid_u +
                                        static_cast<float>(link.trend_v) * light.centroid_v);
        all.add(exchange_of(link.source) * std::max(0.0f, trend), light.sent);
    }
    const PatchLight sum = all.light();
    const float sky_light = ambient * sky[point];
    return {sum.r + sky_light, sum.g + sky_light, sum.b + sky_light, 0};
}

std::size_t PointLinks::bytes() const {
    return links.size() * sizeof(PointLink) + first.size() * sizeof(first[0]) + sky.size() * sizeof(float);
}

} // namespace duskcast
