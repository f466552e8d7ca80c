// What sensors see of spots that lie close together, by passing every facet over the sensors it can hide them
// from.

#include <algorithm>
#include <array>
#include <atomic>
#include <bit>
#include <cmath>
#include <memory>

#include "cube_cells.hpp"
#include "duskcast/base/parallel.hpp"
#include "facet_tree_data.hpp"

namespace duskcast {

namespace {

constexpr float float_step = 0x1p-23f; ///< between floats near one

/// Sensors in the order of the cells of a cube map about the spots' centre.
class SensorCells {
public:
    SensorCells(const SpotBounds& bounds, std::span<const SpotSensor> sensors) {
        std::vector<glm::vec3> ways(sensors.size());
        float square = 0, square_gap = 0, earliest = 1, latest = 0;
        for (std::size_t i = 0; i < sensors.size(); ++i) {
            ways[i] = sensors[i].origin - bounds.centre;
            const float own = glm::dot(ways[i], ways[i]), left = 1 - sensors[i].far_end;
            square = std::max(square, own);
            square_gap = std::max(square_gap, left * left * own);
            earliest = std::min(earliest, sensors[i].far_end);
            latest = std::max(latest, sensors[i].far_end);
        }
        const float reach = std::sqrt(square) * (1 + 4 * float_step);
        const float gap = std::sqrt(square_gap) * (1 + 8 * float_step) + (1 - earliest) * bounds.radius;
        cells_ = sort_into_cells(ways);
        set_bounds(bounds, reach, gap);
        view_.is_level = bounds.below == 0 && bounds.above == 0 && latest < 1 - 4 * float_step;
    }
    SensorCells(const SensorCells&) = delete;
    SensorCells& operator=(const SensorCells&) = delete;

    const CellView& view() const { return view_; }
    const std::vector<std::uint32_t>& order() const { return cells_.order; }

private:
    void set_bounds(const SpotBounds& bounds, float reach, float gap) {
        view_.faces = cells_.faces.data();
        view_.start = cells_.start.data();
        view_.x = cells_.x.data();
        view_.y = cells_.y.data();
        view_.z = cells_.z.data();
        view_.tile_far = cells_.tile_far;
        for (int axis = 0; axis < 3; ++axis)
            view_.centre[axis] = bounds.centre[axis];
        view_.from_origin = std::abs(bounds.centre.x) + std::abs(bounds.centre.y) + std::abs(bounds.centre.z);
        // Spots are floats, and sensors less the centre are.
        const float room = 4 * float_step * (view_.from_origin + reach + bounds.radius) + 1e-6f;
        view_.radius = bounds.radius * (1 + 1e-5f) + room;
        view_.below = std::min(view_.radius, bounds.below + room);
        view_.above = std::min(view_.radius, bounds.above + room);
        view_.reach = reach;
        view_.end_gap = gap + room;
    }

    CubeCells cells_;
    CellView view_;
};

/// A Ledger with its memory.
class LedgerBook {
public:
    explicit LedgerBook(std::size_t sensors) : dark_(sensors / 8 + 2, 0), head_(sensors, no_facets) {
        ledger_.dark = dark_.data();
        ledger_.head = head_.data();
        ledger_.grow = grow;
        ledger_.owner = this;
    }
    LedgerBook(const LedgerBook&) = delete;
    LedgerBook& operator=(const LedgerBook&) = delete;

    Ledger& ledger() { return ledger_; }
    bool is_dark(std::uint32_t sensor) const { return (dark_[sensor >> 3] >> (sensor & 7) & 1) != 0; }

private:
    static void grow(Ledger& ledger) {
        LedgerBook& book = *static_cast<LedgerBook*>(ledger.owner);
        const std::size_t size =
            std::max<std::size_t>(book.head_.size(), 2 * static_cast<std::size_t>(ledger.capacity));
        std::unique_ptr<Suspect[]> suspects(new Suspect[size]); // left as it is: pages are taken when written
        std::copy_n(ledger.suspects, ledger.count, suspects.get());
        book.suspects_ = std::move(suspects);
        ledger.suspects = book.suspects_.get();
        ledger.capacity = static_cast<std::uint32_t>(std::min<std::size_t>(size, no_facets));
    }

    std::vector<std::uint8_t> dark_;
    std::vector<std::uint32_t> head_;
    std::unique_ptr<Suspect[]> suspects_;
    Ledger ledger_;
};

/// The rays of one sensor at a time.
class SpotLook {
public:
    SpotLook(std::span<const SpotPlan> plans, const MakeSpots& make_spots, float radius)
        : plans_(plans), make_spots_(make_spots), radius_(radius) {}

    /// `find_seen(rays, wanted)` tells which of the rays reach their spots.
    template <class FindSeen>
    SpotsSeen look(std::size_t number, const SpotSensor& sensor, float distance, FindSeen find_seen) {
        const SpotPlan& plan = plans_[sensor.plan];
        const int pilots = look_once(number, sensor, distance, 0, plan.pilots, find_seen);
        if (pilots == 0 || pilots == plan.pilots || plan.from == plan.to)
            return {static_cast<std::uint8_t>(pilots), static_cast<std::uint8_t>(plan.pilots)};
        const int more = look_once(number, sensor, distance, plan.from, plan.to, find_seen);
        const int samples = plan.to - plan.from;
        return {static_cast<std::uint8_t>(plan.is_instead ? more : pilots + more),
                static_cast<std::uint8_t>(plan.is_instead ? samples : plan.pilots + samples)};
    }

private:
    template <class FindSeen>
    int look_once(std::size_t number, const SpotSensor& sensor, float distance, int from, int to,
                  FindSeen find_seen) {
        make_spots_(number, from, to, x_.data(), y_.data(), z_.data());
        SpotRays rays;
        for (int axis = 0; axis < 3; ++axis)
            rays.origin[axis] = sensor.origin[axis];
        rays.far_end = sensor.far_end;
        rays.length = (distance + radius_) * (1 + 8 * float_step);
        rays.count = to - from;
        rays.x = x_.data();
        rays.y = y_.data();
        rays.z = z_.data();
        const std::uint64_t wanted = ~std::uint64_t{0} >> (most_spots - rays.count);
        return std::popcount(find_seen(rays, wanted));
    }

    std::span<const SpotPlan> plans_;
    const MakeSpots& make_spots_;
    float radius_;
    std::array<float, most_spots + facet_lanes> x_{}, y_{}, z_{};
};

/// Subtrees of about equal size, more than there are threads.
std::vector<FacetRef> open_tree(const TreeView& tree) {
    std::vector<FacetRef> refs{tree.root};
    for (std::size_t i = 0; i < refs.size() && refs.size() < 256;) {
        if (refs[i] & block_bit) {
            ++i;
            continue;
        }
        const TreeNode& node = tree.nodes[refs[i]];
        refs.erase(refs.begin() + static_cast<std::ptrdiff_t>(i));
        for (const FacetRef child : node.child)
            if (child != no_facets)
                refs.push_back(child);
    }
    return refs;
}

} // namespace

void FacetTree::find_visible(const SpotBounds& bounds, std::span<const SpotPlan> plans,
                             const MakeSpots& make_spots, std::span<const SpotSensor> sensors,
                             std::span<SpotsSeen> seen) const {
    const TreeView& view = tree_->view;
    const LaneKernels& kernels = tree_->kernels;
    if (sensors.empty())
        return;
    const auto see_all = [&](const SpotSensor& sensor) {
        const auto pilots = static_cast<std::uint8_t>(plans[sensor.plan].pilots);
        return SpotsSeen{pilots, pilots};
    };
    if (view.root == no_facets) {
        std::transform(sensors.begin(), sensors.end(), seen.begin(), see_all);
        return;
    }
    const auto distance_of = [&](const SpotSensor& sensor) {
        const glm::vec3 way = sensor.origin - bounds.centre;
        return std::sqrt(glm::dot(way, way));
    };
    constexpr std::size_t facets_a_sensor = 200; // from there on single rays are sooner done
    if (tree_->facet_count / facets_a_sensor > sensors.size()) {
        parallel_ranges(sensors.size(), 4, [&](std::size_t begin, std::size_t end) {
            SpotLook look(plans, make_spots, bounds.radius);
            for (std::size_t i = begin; i < end; ++i)
                seen[i] = look.look(
                    i, sensors[i], distance_of(sensors[i]), [&](const SpotRays& rays, std::uint64_t wanted) {
                        FacetRef stopper = no_facets;
                        for (int k = 0; k < rays.count; ++k) {
                            const float direction[3] = {rays.x[k], rays.y[k], rays.z[k]};
                            if (kernels.is_occluded(view, rays.origin, direction, 0, rays.far_end, stopper))
                                wanted &= ~(std::uint64_t{1} << k);
                        }
                        return wanted;
                    });
        });
        return;
    }
    const SensorCells cells(bounds, sensors);
    // Few sensors are part of a larger job that is shared out already.
    const int most_workers = static_cast<int>(std::min<std::size_t>(16, 1 + sensors.size() / 4096));
    const auto workers = static_cast<std::size_t>(std::clamp(count_workers(), 1, most_workers));
    const std::vector<FacetRef> refs = workers == 1 ? std::vector{view.root} : open_tree(view);
    std::vector<std::unique_ptr<LedgerBook>> books;
    for (std::size_t i = 0; i < workers; ++i)
        books.push_back(std::make_unique<LedgerBook>(sensors.size()));
    std::atomic<std::size_t> next_ref{0};
    parallel_for(workers, [&](std::size_t worker) {
        for (std::size_t i; (i = next_ref.fetch_add(1, std::memory_order_relaxed)) < refs.size();)
            kernels.find_suspects(view, cells.view(), &refs[i], 1, books[worker]->ledger());
    });
    parallel_ranges(sensors.size(), 512, [&](std::size_t begin, std::size_t end) {
        SpotLook look(plans, make_spots, bounds.radius);
        for (auto s = static_cast<std::uint32_t>(begin); s < end; ++s) {
            SpotsSeen& of = seen[cells.order()[s]];
            bool is_dark = false, is_suspected = false;
            for (const auto& book : books) {
                is_dark = is_dark || book->is_dark(s);
                is_suspected = is_suspected || book->ledger().head[s] != no_facets;
            }
            const SpotSensor& sensor = sensors[cells.order()[s]];
            if (is_dark || !is_suspected) {
                of = see_all(sensor);
                if (is_dark)
                    of.visible = 0;
                continue;
            }
            of = look.look(cells.order()[s], sensor, distance_of(sensor),
                           [&](const SpotRays& rays, std::uint64_t wanted) {
                               for (const auto& book : books) {
                                   const Ledger& ledger = book->ledger();
                                   for (std::uint32_t l = ledger.head[s]; l != no_facets && wanted != 0;
                                        l = ledger.suspects[l].next)
                                       wanted &= ~kernels.find_stopped(view, ledger.suspects[l].facet, rays,
                                                                       wanted);
                               }
                               return wanted;
                           });
        }
    });
}

} // namespace duskcast
