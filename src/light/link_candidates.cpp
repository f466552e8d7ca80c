#include "link_candidates.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "duskcast/base/random.hpp"

namespace duskcast {

namespace {

/// Rectangles are halved until their longer side is at most this share of their distance ...
constexpr double far_size = 0.4;
constexpr double leafy_size = 0.2;    ///< the same where leaves or trunks hide parts of it
constexpr double near_size = 0.5;     ///< ... parts of a single cell until this,
constexpr int most_halvings = 6;      ///< of a cell
constexpr double small_factor = 3e-4; ///< ... or until this is all they can weigh

constexpr double sampled_size =
    0.5; ///< side over distance from which on four points are too few for a factor
constexpr double least_factor = 1e-5; ///< smaller ones stand for their neighbours or leave it to them

constexpr double flat_as_seen = 0.05; ///< rise over distance below which a plane seen edge-on weighs nothing
constexpr double edge_on_factor = 0.01; ///< what the next point must see of it at the least

constexpr int most_splits = 8;       ///< of a rectangle that is seen in part
constexpr double least_split = 2e-3; ///< share of all that is seen of flat parts

constexpr double large_factor = 5e-4;        ///< is looked at in any case
constexpr int first_rays = 2, more_rays = 3; ///< at a rectangle; more where its neighbours are seen otherwise
constexpr double more_factor = 5e-4;         ///< and it weighs this
constexpr double rays_among_leaves = 20000;  ///< of a point behind leaves that sees nothing but flat parts,
constexpr double most_among_leaves = 3000;   ///< at most
constexpr double least_among_leaves = 64;

/// Finds candidates for one point.
class CandidateFinder {
public:
    CandidateFinder(const Patches& patches, const SourceTree& tree, const LinkedPoint& point,
                    const glm::vec3& origin, double size)
        : patches_(patches), tree_(tree), point_(point), origin_(origin), normal_(point.normal),
          spacing_(point.spacing), size_(size), end_(point.bands.end(point.first_band)),
          thinned_(least_factor * static_cast<double>(hash_to_unit(point.seed, 3))) {}

    std::vector<Candidate> find() {
        for (std::uint32_t i = 0; i < tree_.planes().size(); ++i) {
            const SourceTree::Plane& plane = tree_.planes()[i];
            if (glm::distance(origin_, plane.middle) > plane.reach + end_)
                continue;
            look_at_plane(i);
            look_along(plane);
            if (at_.height > least_height)
                visit(plane.root);
        }
        return std::move(found_);
    }

    /// Adds a candidate's halves to others.
    void split(const Candidate& candidate, std::vector<Candidate>& others) {
        found_.clear();
        look_at_plane(candidate.plane);
        for (const std::uint32_t half : {candidate.node + 1, tree_.node(candidate.node).second}) {
            const PlaneRectangle place = tree_.node(half).rectangle();
            const Position position = position_of(place);
            if (position.highest > 0)
                add_whole(half, place, position);
        }
        others.insert(others.end(), found_.begin(), found_.end());
    }

    /// Metres to the nearest plane whose side another point next to this one may see, in quarters.
    double nearest_edge_on() const { return nearest_edge_on_; }

private:
    void look_at_plane(std::uint32_t index) {
        const SourceTree::Plane& plane = tree_.planes()[index];
        const Patches::Face& face = patches_.faces()[plane.face];
        const glm::dvec3 way = origin_ - face.origin;
        at_ = {.u = glm::dot(way, face.across),
               .v = glm::dot(way, face.upward),
               .height = glm::dot(way, plane.normal),
               .normal_u = glm::dot(normal_, face.across),
               .normal_v = glm::dot(normal_, face.upward),
               .normal_up = glm::dot(normal_, plane.normal)};
        plane_ = index;
    }

    /// A plane that is seen edge-on from near: on one side of it light grows from nothing, on the other is
    /// none.
    void look_along(const SourceTree::Plane& plane) {
        if (std::abs(at_.height) > static_cast<double>(spacing_) || std::abs(at_.normal_up) > 0.99)
            return;
        const PlaneRectangle place = tree_.node(plane.root).rectangle();
        const double u = std::max({place.u0 - at_.u, 0.0, at_.u - place.u1});
        const double v = std::max({place.v0 - at_.v, 0.0, at_.v - place.v1});
        const double distance = std::hypot(u, v);
        const double rise = position_of(place).highest;
        if (!(rise > flat_as_seen * distance))
            return;
        // What the next point may see of it at most.
        const double square = std::max(distance * distance, 1e-6);
        const double most = std::min(place.area() / square, 2.0) * std::min(1.0, rise / distance) *
                            std::min(1.0, static_cast<double>(spacing_) / distance) / pi;
        if (most > edge_on_factor)
            nearest_edge_on_ = std::min(nearest_edge_on_, distance / 4);
    }

    static constexpr double least_height = 1e-5;

    struct Position {
        double lowest, highest; ///< metres above the horizon
        double distance;
    };

    Position position_of(const PlaneRectangle& place) const {
        const double low =
            at_.above_horizon(at_.normal_u > 0 ? place.u0 : place.u1, at_.normal_v > 0 ? place.v0 : place.v1);
        const double high =
            at_.above_horizon(at_.normal_u > 0 ? place.u1 : place.u0, at_.normal_v > 0 ? place.v1 : place.v0);
        const double u = std::max({place.u0 - at_.u, 0.0, at_.u - place.u1});
        const double v = std::max({place.v0 - at_.v, 0.0, at_.v - place.v1});
        return {low, high, std::sqrt(u * u + v * v + at_.height * at_.height)};
    }

    void visit(std::uint32_t index) {
        const SourceTree::Node& node = tree_.node(index);
        const PlaneRectangle place = node.rectangle();
        const Position position = position_of(place);
        if (!(position.highest > 0) || position.distance > end_)
            return;
        const double side = std::max(place.width(), place.height());
        const double square = position.distance * position.distance;
        const double most = place.area() * position.highest * at_.height / (pi * square * square);
        if (!node.is_parted && ((position.lowest >= 0 && side <= size_ * position.distance) ||
                                (side < position.distance && most < small_factor))) {
            add_whole(index, place, position);
            return;
        }
        if (node.is_cell()) {
            halve(index, place, most_halvings);
            return;
        }
        visit(index + 1);
        visit(node.second);
    }

    void add_whole(std::uint32_t index, const PlaneRectangle& place, const Position& position) {
        const double side = std::max(place.width(), place.height());
        FactorTrend share = position.lowest >= 0 ? sample_factor(at_, place) : measure_cut_factor(at_, place);
        if (position.lowest >= 0 && side > sampled_size * position.distance)
            share.factor = measure_factor(at_, place);
        add(index, place, position, false, share, tree_.node(index).filled);
    }

    /// Parts of a cell, between whose middle and its neighbours' light changes.
    void halve(std::uint32_t index, const PlaneRectangle& place, int left) {
        const SourceTree::Node& cell = tree_.node(index);
        const Position position = position_of(place);
        if (!(position.highest > 0) || position.distance > end_)
            return;
        const double side = std::max(place.width(), place.height());
        if (left == 0 || side <= near_size * position.distance) {
            const bool is_cut =
                patches_.area[cell.source] < 0.999f * static_cast<float>(cell.rectangle().area());
            const double there = is_cut ? find_covered_share(cell.source, place) : 1;
            if (!(there > 0))
                return;
            const bool is_whole = position.lowest >= 0;
            const double factor = is_whole && side < near_size * position.distance
                                      ? sample_factor(at_, place).factor
                                      : measure_factor(at_, place);
            // What is buried of it shows by the rays.
            const double solid =
                cell.sending() / std::min(static_cast<double>(cell.area), cell.rectangle().area());
            add(index, place, position, true, {.factor = factor}, there * solid);
            return;
        }
        PlaneRectangle first = place, second = place;
        if (place.width() >= place.height())
            first.u1 = second.u0 = place.middle_u();
        else
            first.v1 = second.v0 = place.middle_v();
        halve(index, first, left - 1);
        halve(index, second, left - 1);
    }

    /// How much of a part of a cell there is.
    double find_covered_share(std::uint32_t patch, const PlaneRectangle& place) const {
        constexpr int side = 4;
        int covered = 0;
        for (int i = 0; i < side * side; ++i) {
            const double u = (i % side + 0.5) / side, v = (i / side + 0.5) / side;
            covered +=
                patches_.covers(patch, point_at(place.u0 + u * place.width(), place.v0 + v * place.height()))
                    ? 1
                    : 0;
        }
        return static_cast<double>(covered) / (side * side);
    }

    glm::dvec3 point_at(double u, double v) const {
        const Patches::Face& face = patches_.faces()[tree_.planes()[plane_].face];
        return face.origin + u * face.across + v * face.upward;
    }

    void add(std::uint32_t node, const PlaneRectangle& place, const Position& position, bool is_part,
             FactorTrend share, double filled) {
        const double away_u = place.middle_u() - at_.u, away_v = place.middle_v() - at_.v;
        const double band =
            point_.bands.place(std::sqrt(away_u * away_u + away_v * away_v + at_.height * at_.height));
        if (point_.first_band > 0)
            filled *= std::clamp(band - (point_.first_band - 1), 0.0, 1.0);
        share.factor *= filled;
        if (share.factor < least_factor) {
            // So many of the small ones that their sum stays: neighbours stand for each other.
            thinned_ += share.factor;
            if (thinned_ < least_factor)
                return;
            thinned_ -= least_factor;
            share.factor = least_factor;
        }
        found_.push_back({place, plane_, node, is_part, share, position.distance, band});
    }

    const Patches& patches_;
    const SourceTree& tree_;
    const LinkedPoint& point_;
    glm::dvec3 origin_, normal_;
    float spacing_;
    double size_;    ///< of a rectangle at most, as a share of its distance
    double end_;     ///< metres from which on nothing is looked at
    double thinned_; ///< sum of factors below the least, less what stands for them
    double nearest_edge_on_ = 1e9;
    PlaneReceiver at_;
    std::uint32_t plane_ = 0;
    std::vector<Candidate> found_;
};

/// Shadow rays from one point to candidates.
class CandidateRays {
public:
    CandidateRays(const Patches& patches, const SourceTree& tree, const LinkedPoint& point,
                  const glm::vec3& origin)
        : patches_(patches), tree_(tree), origin_(origin),
          normal_(point.normal), shift_{hash_to_unit(point.seed, 0), hash_to_unit(point.seed, 1),
                                        hash_to_unit(point.seed, 2)} {}

    /// Adds as many rays to each candidate as `count_rays` gives.
    template <class CountRays> void cast(std::vector<Candidate>& candidates, const CountRays& count_rays) {
        rays_.clear();
        owner_.clear();
        for (std::uint32_t i = 0; i < candidates.size(); ++i)
            for (int k = 0, count = count_rays(i); k < count; ++k) {
                // In its place: a ray that is made elsewhere and copied costs a wait for its halves.
                Ray& ray = rays_.emplace_back();
                ray.origin = origin_;
                ray.direction = spot_on(candidates[i], candidates[i].rays + k) - origin_;
                ray.far_end = 1;
                owner_.push_back(i);
            }
        patches_.stage().kernel->find_occluded(rays_, Coherence::incoherent);
        for (std::size_t r = 0; r < rays_.size(); ++r) {
            ++candidates[owner_[r]].rays;
            candidates[owner_[r]].seen += rays_[r].is_occluded() ? 0 : 1;
        }
    }

private:
    /// Of a rectangle that the horizon cuts, a spot above it: what lies below weighs nothing.
    glm::vec3 spot_on(const Candidate& candidate, int index) {
        constexpr int most_tries = 8;
        glm::vec3 spot = draw_spot(candidate, index);
        for (int i = 1; i < most_tries && !(glm::dot(normal_, spot - origin_) > 0); ++i)
            spot = draw_spot(candidate, index + i);
        return spot;
    }

    /// Spread over the rectangle and, from candidate to candidate, over all places in one.
    glm::vec3 draw_spot(const Candidate& candidate, int index) {
        const SourceTree::Plane& plane = tree_.planes()[candidate.plane];
        const Patches::Face& face = patches_.faces()[plane.face];
        const std::uint64_t step = drawn_++;
        const float a = wrap_unit(shift_[0] + static_cast<double>(step) * plastic_step);
        const float b = wrap_unit(shift_[1] + static_cast<double>(step) * other_plastic_step);
        const SourceTree::Node* node = &tree_.node(candidate.node);
        const auto is_full = [](const SourceTree::Node& of) {
            return of.area >= 0.999f * static_cast<float>(of.rectangle().area());
        };
        PlaneRectangle place = candidate.place;
        if (!candidate.is_part && !is_full(*node)) {
            // Down to a cell, or what fills its rectangle: each half as likely as it is large.
            float choice = wrap_unit(shift_[2] + index * golden_share);
            std::uint32_t at = candidate.node;
            while (!node->is_cell() && !is_full(*node)) {
                const float first = tree_.node(at + 1).area / node->area;
                const bool is_first = choice < first;
                choice = is_first ? choice / first : (choice - first) / (1 - first);
                at = is_first ? at + 1 : node->second;
                node = &tree_.node(at);
            }
            if (!is_full(*node)) {
                const std::span<const glm::vec3> open = tree_.open_spots(node->source);
                const auto spot = static_cast<std::size_t>(a * static_cast<float>(open.size()));
                return step_off(
                    open.empty()
                        ? patches_.point_on(node->source, std::clamp(choice, 0.0f, 1.0f), a, b).position
                        : open[std::min(spot, open.size() - 1)],
                    glm::vec3(plane.normal));
            }
            place = node->rectangle();
        }
        const double u = place.u0 + static_cast<double>(a) * place.width();
        const double v = place.v0 + static_cast<double>(b) * place.height();
        return step_off(glm::vec3(face.origin + u * face.across + v * face.upward), glm::vec3(plane.normal));
    }

    static constexpr double golden_share = 0.6180339887498949;

    const Patches& patches_;
    const SourceTree& tree_;
    glm::vec3 origin_, normal_;
    std::array<float, 3> shift_;
    std::uint64_t drawn_ = 0;
    std::vector<Ray> rays_;
    std::vector<std::uint32_t> owner_;
};

/// An edge runs through what is seen in part, and through where neighbours are seen otherwise.
std::vector<std::uint8_t> find_mixed(const std::vector<Candidate>& candidates) {
    std::vector<std::uint8_t> is_mixed;
    is_mixed.reserve(candidates.size());
    for (const Candidate& candidate : candidates)
        is_mixed.push_back(candidate.seen > 0 && candidate.seen < candidate.rays ? 1 : 0);
    for (std::size_t i = 1; i < candidates.size(); ++i)
        if (candidates[i].plane == candidates[i - 1].plane &&
            (candidates[i].seen > 0) != (candidates[i - 1].seen > 0))
            is_mixed[i] = is_mixed[i - 1] = 1;
    return is_mixed;
}

/// Leaves hide by chance: rays in proportion to factors, whatever their neighbours meet, or a doubt would be
/// settled in favour of what is seen more often.
std::vector<Candidate> look_through_leaves(std::vector<Candidate> candidates, double beyond,
                                           CandidateRays& rays) {
    double all = beyond;
    for (const Candidate& candidate : candidates)
        all += candidate.share.factor;
    const double each = all / std::clamp(all * rays_among_leaves, least_among_leaves, most_among_leaves);
    double left = each / 2;
    std::vector<Candidate> kept;
    std::vector<int> counts;
    for (Candidate& candidate : candidates) {
        int count = static_cast<int>(std::lround(candidate.share.factor / each));
        if (candidate.share.factor < each) {
            // So many of the small ones that their sum stays: neighbours stand for each other.
            left += candidate.share.factor;
            if (left < each)
                continue;
            left -= each;
            candidate.share.factor = each;
            count = 1;
        }
        kept.push_back(candidate);
        counts.push_back(count);
    }
    rays.cast(kept, [&](std::uint32_t i) { return counts[i]; });
    return kept;
}

} // namespace

Candidates find_candidates(const Patches& patches, const SourceTree& tree, const LinkedPoint& point,
                           bool is_leafy) {
    const glm::vec3 origin = step_off(point.position, point.normal);
    CandidateFinder finder(patches, tree, point, origin, is_leafy ? leafy_size : far_size);
    std::vector<Candidate> candidates = finder.find();
    const auto nearest_edge_on = static_cast<float>(finder.nearest_edge_on());
    CandidateRays rays(patches, tree, point, origin);
    if (is_leafy)
        return {look_through_leaves(std::move(candidates), static_cast<double>(point.beyond.open), rays),
                nearest_edge_on};
    // Of rectangles in a row every second one; what lies between two that are seen alike is taken to be seen
    // like them.
    const auto is_beside = [&](std::uint32_t i, std::uint32_t other) {
        return other < candidates.size() && candidates[other].plane == candidates[i].plane;
    };
    const auto is_alone = [&](std::uint32_t i) { return !is_beside(i, i - 1) && !is_beside(i, i + 1); };
    const auto is_new = [&](std::uint32_t i) { return candidates[i].rays == 0 ? first_rays : 0; };
    const auto is_worth_more = [&](std::uint32_t i) { return candidates[i].share.factor > more_factor; };
    rays.cast(candidates, [&](std::uint32_t i) {
        if (is_alone(i))
            return is_worth_more(i) ? first_rays + more_rays : first_rays;
        return i % 2 == 0 || candidates[i].share.factor > large_factor || !is_beside(i, i - 1) ||
                       !is_beside(i, i + 1)
                   ? first_rays
                   : 0;
    });
    for (std::uint32_t i = 1; i + 1 < candidates.size(); ++i)
        if (candidates[i].rays == 0 && candidates[i - 1].rays == candidates[i + 1].rays &&
            candidates[i - 1].seen == candidates[i + 1].seen) {
            candidates[i].rays = candidates[i - 1].rays;
            candidates[i].seen = candidates[i - 1].seen;
        }
    rays.cast(candidates, is_new);
    std::vector<std::uint8_t> is_mixed = find_mixed(candidates);
    const double least = least_split * std::accumulate(candidates.begin(), candidates.end(),
                                                       static_cast<double>(point.beyond.seen),
                                                       [](double sum, const Candidate& one) {
                                                           return sum + (one.seen > 0 ? one.share.factor : 0);
                                                       });
    const auto is_to_split = [&](std::uint32_t i) {
        const Candidate& whole = candidates[i];
        return is_mixed[i] && !whole.is_part && !tree.node(whole.node).is_cell() &&
               !(whole.share.factor < least);
    };
    std::vector<Candidate> finer;
    for (int round = 0; round < most_splits; ++round) {
        std::uint32_t done = 0;
        finer.clear();
        for (std::uint32_t i = 0; i < candidates.size(); ++i) {
            if (!is_to_split(i))
                continue;
            finer.insert(finer.end(), candidates.begin() + done, candidates.begin() + i);
            finder.split(candidates[i], finer);
            done = i + 1;
        }
        if (done == 0)
            break;
        finer.insert(finer.end(), candidates.begin() + done, candidates.end());
        std::swap(candidates, finer);
        rays.cast(candidates, is_new);
        is_mixed = find_mixed(candidates);
    }
    rays.cast(candidates,
              [&](std::uint32_t i) { return is_mixed[i] != 0 && is_worth_more(i) ? more_rays : 0; });
    return {std::move(candidates), nearest_edge_on};
}

} // namespace duskcast
