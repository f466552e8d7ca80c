#include "link_sensors.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "sensor_lattice.hpp"

namespace duskcast {

namespace {

constexpr std::size_t most_patches_under = 4'000; ///< of those under sensors without links
constexpr std::size_t most_leaf_sensors = 20'000;
constexpr std::size_t leaf_sensor_rays = 5'000'000; ///< over all leaf sensors
constexpr std::size_t rest_rays = 5'000'000; ///< over the other sensors that see leaves or small facets
constexpr float least_patch_share = 0.005f;  ///< of what a sensor sees that makes a patch count

int share_evenly(std::size_t rays, std::size_t among, int least, int most) {
    const std::size_t each = rays / std::max<std::size_t>(1, among);
    return static_cast<int>(std::clamp<std::size_t>(each / 64 * 64, least, most));
}

/// What is not a flat part, as links, and its shares.
std::vector<PointLink> link_rest(const Gathered& found, const SourceTree& tree, RestSeen& seen) {
    std::vector<PointLink> links;
    const double each = 1.0 / found.rays;
    seen.leaves = 0;
    for (const PatchCount& other : found.counts) {
        if (tree.has_patch(other.patch))
            continue;
        links.push_back({other.patch, static_cast<float>(other.count * each)});
        seen.leaves += other.count * each;
    }
    seen.sky = found.sky * each;
    seen.lost = found.lost * each;
    seen.rays = static_cast<int>(found.rays);
    return links;
}

class SensorLinker {
public:
    SensorLinker(const std::vector<Gathered>& found, int asked, BounceUse use, Bounce& bounce)
        : found_(found), asked_(asked), use_(use), bounce_(bounce), stage_(bounce.patches.stage()),
          rays_(stage_, bounce.patches), tracer_(bounce.patches, bounce.tree),
          rest_(stage_.first_leaf_sensor), own_(stage_.first_leaf_sensor, Patches::none),
          has_links_(stage_.first_leaf_sensor), is_buried_(stage_.first_leaf_sensor) {}

    void link() {
        parallel_for(own_.size(), [&](std::size_t i) {
            own_[i] = patch_under(i);
            is_buried_[i] = is_buried(static_cast<std::uint32_t>(i)) ? 1 : 0;
        });
        link_rest_of_sensors();
        link_flat_parts();
        link_near_patches();
    }

private:
    /// What a sensor that looks for itself sees.
    struct Traced {
        std::vector<PackedRow> rows; ///< one a band from first_band on, until they are joined
        std::vector<BandSeen> band;  ///< one each of all, where bands are told apart
        float nearest = 1e9f;
        int first_band = 0;
    };

    std::uint32_t patch_under(std::size_t sensor) const {
        const glm::vec3 position = stage_.sensors.position(sensor), normal = stage_.sensors.normal(sensor);
        const Hit hit = stage_.kernel->find_hit(step_off(position, normal), -normal, 0, 3 * surface_offset);
        return bounce_.patches.patch_at(hit, position, -normal);
    }

    /// Whether it lies within a body, where no light comes.
    bool is_buried(std::uint32_t sensor) const {
        constexpr std::uint32_t rays = 16;
        if (own_[sensor] == Patches::none || found_[own_[sensor]].open == 1)
            return false;
        return found_[own_[sensor]].open == 0 || 2 * look_around(sensor, rays).inside > rays;
    }

    /// Leaves and small facets are met by rays.
    void link_rest_of_sensors() {
        SensorLattice lattice(stage_, is_buried_);
        lattice.choose([](const auto&) {}, [&](std::uint32_t sensor) { return distance_to_rest(sensor); },
                       [](std::uint32_t, int) -> const BandSeen* { return nullptr; });
        std::vector<std::uint32_t> chosen = lattice.chosen();
        const auto looks_around = [&](std::uint32_t sensor) {
            return !is_buried_[sensor] && (!has_rays(sensor) || found_[own_[sensor]].rest_nearness > 0);
        };
        const auto looking =
            static_cast<std::size_t>(std::count_if(chosen.begin(), chosen.end(), looks_around));
        const std::size_t on_leaves =
            use_ == BounceUse::pictures
                ? 0
                : std::min(most_leaf_sensors, stage_.sensors.size() - stage_.first_leaf_sensor);
        const int rays = asked_ > 0 ? asked_ : share_evenly(rest_rays, looking, 128, 8192);
        const int leaf_rays = asked_ > 0 ? asked_ : share_evenly(leaf_sensor_rays, on_leaves, 64, 576);
        for (std::size_t i = 0; i < on_leaves; ++i)
            chosen.push_back(stage_.first_leaf_sensor + static_cast<std::uint32_t>(i));
        std::vector<Traced> traced(stage_.sensors.size());
        parallel_for(chosen.size(), [&](std::size_t i) {
            const std::uint32_t sensor = chosen[i];
            PointRow row;
            if (sensor >= stage_.first_leaf_sensor)
                row = row_of_leaf(look_around(sensor, leaf_rays));
            else if (is_buried_[sensor])
                rest_[sensor] = {};
            else if (looks_around(sensor))
                row.links = link_rest(look_around(sensor, rays), bounce_.tree, rest_[sensor]);
            else
                row.links = link_rest(found_[own_[sensor]], bounce_.tree, rest_[sensor]);
            traced[sensor].rows.push_back(pack_row(std::move(row)));
        });
        for (const LatticeBetween& one : lattice.between()) {
            if (is_buried_[one.sensor])
                continue;
            RestSeen& rest = rest_[one.sensor];
            for (std::size_t k = 0; k < one.others.size(); ++k) {
                const RestSeen& other = rest_[one.others[k]];
                const auto weight = static_cast<double>(one.weight[k]);
                rest.leaves += weight * other.leaves;
            }
            if (!has_rays(one.sensor))
                continue;
            // Of the sky what lies between changes with the flat parts next to it.
            const Gathered& own = found_[own_[one.sensor]];
            rest.sky = static_cast<double>(own.sky) / own.rays;
            rest.lost = static_cast<double>(own.lost) / own.rays;
            rest.rays = static_cast<int>(own.rays);
        }
        bounce_.from_rest = join_traced(std::move(chosen), traced, lattice.between());
    }

    /// Metres to what hides or sends light as it pleases: leaves, and trunks that hide those.
    float distance_to_rest(std::uint32_t sensor) const {
        if (is_buried_[sensor])
            return 1e9f;
        if (!has_rays(sensor))
            return 0;
        const Gathered& own = found_[own_[sensor]];
        return 1 / std::max(1e-9f,
                            own.rest_nearness > 0 ? std::max(own.rest_nearness, own.slender_nearness) : 0.0f);
    }

    bool has_rays(std::uint32_t sensor) const {
        return own_[sensor] != Patches::none && found_[own_[sensor]].rays > 0;
    }

    Gathered look_around(std::uint32_t sensor, int rays) const {
        return rays_.gather(stage_.sensors.position(sensor), stage_.sensors.normal(sensor),
                            stage_.sensor_seed[sensor], rays);
    }

    static PointRow row_of_leaf(const Gathered& seen) {
        PointRow row;
        for (const PatchCount& other : seen.counts)
            row.links.push_back(
                {other.patch, static_cast<float>(other.count) / static_cast<float>(seen.rays)});
        row.sky = static_cast<float>(seen.sky) / static_cast<float>(seen.rays);
        return row;
    }

    void link_flat_parts() {
        // Pictures read no sensor: those chosen only tell which patches are near to something.
        constexpr float between_lookouts = 0.4f; // metres
        const bool is_for_pictures = use_ == BounceUse::pictures;
        SensorLattice lattice(stage_, is_buried_, is_for_pictures ? between_lookouts : 0.0f);
        std::vector<Traced> traced(stage_.first_leaf_sensor);
        lattice.choose(
            [&](const std::vector<SensorLook>& looks) {
                parallel_for(looks.size(), [&](std::size_t i) { traced[looks[i].sensor] = trace(looks[i]); });
            },
            [&](std::uint32_t sensor) { return traced[sensor].nearest; },
            [&](std::uint32_t sensor, int band) { return &traced[sensor].band[band]; });
        std::vector<std::uint32_t> chosen = lattice.chosen();
        for (const std::uint32_t sensor : chosen)
            has_links_[sensor] = 1;
        for (const LatticeBetween& one : lattice.between())
            has_links_[one.sensor] = 1;
        if (is_for_pictures)
            for (const Surface& surface : stage_.surfaces)
                if (surface.has_grid() && surface.first < stage_.first_leaf_sensor)
                    std::fill_n(has_links_.begin() + surface.first, surface.count, std::uint8_t{1});
        bounce_.from_flat_parts = join_traced(std::move(chosen), traced, lattice.between());
    }

    Traced trace(const SensorLook& look) const {
        Traced traced{.first_band = look.first_band};
        const std::uint32_t s = look.sensor;
        if (is_buried_[s]) {
            traced.rows.resize(look.bands.count - look.first_band);
            traced.band.resize(look.bands.count);
            return traced;
        }
        PointRow row = tracer_.trace({.position = stage_.sensors.position(s),
                                      .normal = stage_.sensors.normal(s),
                                      .seed = stage_.sensor_seed[s],
                                      .spacing = look.spacing,
                                      .bands = look.bands,
                                      .first_band = look.first_band,
                                      .beyond = look.beyond},
                                     rest_[s]);
        traced.rows = pack_bands(row, look.bands, look.first_band);
        traced.band.assign(row.band.begin(), row.band.begin() + look.bands.count);
        traced.nearest = row.nearest;
        return traced;
    }

    /// Bands of a sensor that nobody takes apart become one row.
    static LinkedSensors join_traced(std::vector<std::uint32_t> chosen, std::vector<Traced>& traced,
                                     const std::vector<LatticeBetween>& between) {
        std::vector<std::uint8_t> cuts(traced.size()); // a bit for each band that begins a row
        for (const LatticeBetween& one : between)
            for (const std::uint32_t other : one.others) {
                cuts[other] |= static_cast<std::uint8_t>(1 << one.first_band);
                cuts[other] |= static_cast<std::uint8_t>(1 << (one.last_band + 1));
            }
        LinkedSensors linked{.sensor = std::move(chosen)};
        std::vector<std::span<PackedRow>> parts;
        std::vector<std::uint32_t> place(traced.size()); // of a sensor's rows
        for (const std::uint32_t sensor : linked.sensor) {
            Traced& own = traced[sensor];
            place[sensor] = static_cast<std::uint32_t>(parts.size());
            for (std::size_t begin = 0, end = 0; begin < own.rows.size(); begin = end) {
                do
                    ++end;
                while (end < own.rows.size() && !(cuts[sensor] >> (own.first_band + end) & 1));
                parts.push_back(std::span(own.rows).subspan(begin, end - begin));
            }
            linked.row.push_back(static_cast<std::uint32_t>(parts.size()));
        }
        std::vector<PackedRow> rows(parts.size());
        parallel_for(parts.size(), [&](std::size_t i) {
            rows[i] = parts[i].size() == 1 ? std::move(parts[i][0]) : merge_rows(parts[i]);
        });
        linked.links = join_rows(rows);
        // Rows of a sensor that begin before a band.
        const auto rows_before = [&](std::uint32_t sensor, int band) {
            const Traced& of = traced[sensor];
            const int end = std::min(band, of.first_band + static_cast<int>(of.rows.size()));
            int count = band > of.first_band ? 1 : 0;
            for (int b = of.first_band + 1; b < end; ++b)
                count += cuts[sensor] >> b & 1;
            return count;
        };
        for (const LatticeBetween& one : between) {
            SensorBetween& entry =
                linked.between.emplace_back(SensorBetween{.sensor = one.sensor, .weight = one.weight});
            for (std::size_t k = 0; k < entry.row.size(); ++k) {
                const std::uint32_t other = one.others[k];
                const int before = rows_before(other, one.first_band);
                entry.row[k] = place[other] + static_cast<std::uint32_t>(before);
                entry.rows[k] = static_cast<std::uint8_t>(rows_before(other, one.last_band + 1) - before);
            }
        }
        return linked;
    }

    /// The operator's few rays leave single patches noisy; those next to sensors are read off by links.
    void link_near_patches() {
        std::vector<std::uint8_t> is_wanted(found_.size());
        const PointLinks& rows_of_sensors = bounce_.from_flat_parts.links;
        for (std::size_t i = 0; i < rows_of_sensors.size(); ++i)
            for (const PointLink& link : rows_of_sensors.links_of(i))
                if (link.source < is_wanted.size())
                    is_wanted[link.source] |= link.share > least_patch_share ? 1 : 0;
        // Sensors without links are read off between patches: those that see the nearest things count most.
        std::vector<std::pair<float, std::uint32_t>> under;
        for (std::uint32_t i = 0; i < stage_.first_body_sensor(); ++i)
            if (!has_links_[i] && has_rays(i) && bounce_.tree.has_patch(own_[i]))
                under.emplace_back(-found_[own_[i]].harmonic, own_[i]);
        std::sort(under.begin(), under.end());
        under.erase(std::unique(under.begin(), under.end()), under.end());
        under.resize(std::min(under.size(), most_patches_under));
        for (const auto& [harmonic, patch] : under)
            is_wanted[patch] = 1;
        // Wide patches have few rays. On a wall that shows: views read it off between its patches.
        constexpr std::uint32_t few_rays = 64;
        for (const Surface& surface : stage_.surfaces)
            if (surface.has_grid() && surface.is_upright() && surface.first < stage_.first_leaf_sensor)
                for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i)
                    if (has_rays(i) && bounce_.tree.has_patch(own_[i]) && found_[own_[i]].rays < few_rays)
                        is_wanted[own_[i]] = 1;
        for (std::uint32_t i = 0; i < found_.size(); ++i)
            if (is_wanted[i] && !found_[i].open_spots.empty())
                bounce_.linked_patch.push_back(i);
        std::vector<PackedRow> rows(bounce_.linked_patch.size());
        parallel_for(rows.size(), [&](std::size_t i) {
            const std::uint32_t patch = bounce_.linked_patch[i];
            const Gathered& own = found_[patch];
            RestSeen rest;
            const std::vector<PointLink> links = link_rest(own, bounce_.tree, rest);
            const glm::dvec3 centroid = bounce_.patches.centroid(patch);
            const bool is_open = own.open == 1 && bounce_.patches.covers(patch, centroid);
            PointRow row = tracer_.trace(
                {is_open ? glm::vec3(centroid) : own.open_spots[own.open_spots.size() / 2],
                 bounce_.patches.point_on(patch, 0, 0, 0).normal, bounce_.patches.random_seed[patch], 0},
                rest);
            row.links.insert(row.links.end(), links.begin(), links.end());
            rows[i] = pack_row(std::move(row));
        });
        bounce_.patch_links = join_rows(rows);
    }

    const std::vector<Gathered>& found_;
    int asked_;
    BounceUse use_;
    Bounce& bounce_;
    const Stage& stage_;
    PatchTracer rays_;
    PointTracer tracer_;
    std::vector<RestSeen> rest_;          ///< one a sensor before the leaves
    std::vector<std::uint32_t> own_;      ///< the patch that each of those lies on
    std::vector<std::uint8_t> has_links_; ///< one each: 1 with links or between linked sensors
    std::vector<std::uint8_t> is_buried_; ///< one each: 1 within a body
};

} // namespace

void link_sensors(const std::vector<Gathered>& found, int rays, BounceUse use, Bounce& bounce) {
    std::vector<SourceTree::Cover> covers;
    for (const Gathered& one : found)
        covers.push_back(
            {one.solid, one.solid > 0 ? std::min(1.0f, one.open / one.solid) : 0.0f, one.open_spots});
    bounce.tree = SourceTree(bounce.patches, covers);
    SensorLinker(found, rays, use, bounce).link();
}

} // namespace duskcast
