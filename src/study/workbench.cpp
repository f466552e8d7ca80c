#include "duskcast/study/workbench.hpp"

#include <algorithm>
#include <array>
#include <tbb/parallel_for.h>
#include <tuple>
#include <utility>

#include "cast_lanes.hpp"
#include "duskcast/measure/reach.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/measure/stats.hpp"
#include "duskcast/measure/trees.hpp"
#include "lane_sums.hpp"
#include "study_figures.hpp"

namespace duskcast {
namespace {

constexpr std::size_t most_theatres = 8;  ///< stages kept
constexpr std::size_t batch = 256;        ///< variants lit together
constexpr std::size_t most_sights = 2000; ///< positions kept for one stage

auto key_of(const Lens& lens) {
    return std::tuple(lens.centre.x, lens.centre.y, lens.centre.z, lens.diameter, lens.is_flush,
                      lens.rim.diameter, lens.rim.distance, lens.louvre.cell, lens.louvre.depth);
}

struct LensOrder {
    bool operator()(const Lens& a, const Lens& b) const { return key_of(a) < key_of(b); }
};

/// What the stage is built of and the figures are taken from: the site without its fixtures and lamps.
Site without_fixtures(const Site& site) {
    Site bare = site;
    bare.fixtures.clear();
    bare.lamps.clear();
    bare.catalogue = {};
    bare.variants.clear();
    bare.network.reset();
    return bare;
}

/// Share of the samples' area at or above a level, each counted by a logistic step in log light.
template <class SampleAt> double measure_soft_share(std::size_t count, SampleAt sample_at, double level_lx) {
    constexpr double width = 0.1;
    double area = 0, lit = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const Sample sample = sample_at(i);
        area += sample.area;
        if (sample.lux > 0)
            lit += sample.area / (1 + std::exp(-std::log(sample.lux / level_lx) / width));
    }
    return area > 0 ? lit / area : 0;
}

double measure_candela_to_eyes(const Site& site, const std::vector<LitFixture>& fixtures) {
    std::vector<glm::vec3> eyes;
    for (const View& view : site.views)
        eyes.emplace_back(view.eye);
    for (const Eye& eye : site.eyes)
        eyes.emplace_back(eye.at);
    double most = 0;
    for (const LitFixture& fixture : fixtures) {
        const glm::mat3 lamp_from_world(glm::transpose(world_from_fixture(fixture.aim)));
        for (const glm::vec3& eye : eyes) {
            const glm::vec3 way = glm::normalize(eye - fixture.lens.centre);
            most = std::max(most, fixture.scale * fixture.lens.open_share(way.z) *
                                      static_cast<double>(fixture.table.candela(lamp_from_world * way)));
        }
    }
    return most;
}

constexpr std::size_t block = FixtureLanes::block - 1; // sensors that are summed up at a time

/// Watched sensors in ascending order, and where each block of them begins.
struct BlockedSensors {
    std::vector<std::uint32_t> sensors;
    std::vector<std::size_t> begins;

    BlockedSensors(std::vector<std::uint32_t> ascending, std::size_t watched)
        : sensors(std::move(ascending)) {
        for (std::size_t from = 0; from < watched + block; from += block)
            begins.push_back(static_cast<std::size_t>(std::lower_bound(sensors.begin(), sensors.end(), from) -
                                                      sensors.begin()));
    }
    std::size_t begin(std::size_t b) const { return begins[b]; }
};

/// The samples of a target with what they stand for.
struct TargetSpots {
    std::vector<SampleSpot> spots;
    BlockedSensors sensors;  ///< of the spots
    std::vector<float> area; ///< one a spot
    double total_area = 0;
    bool has_pairs = false;

    TargetSpots(const Watched& watched, const Region& region)
        : spots(watched.samples_of(region.sensors)), sensors(sensors_of_spots(), watched.sensors.size()) {
        for (const SampleSpot& spot : spots) {
            area.push_back(watched.subset.area[spot.sensor]);
            total_area += static_cast<double>(area.back());
            has_pairs = has_pairs || spot.has_other_side;
        }
    }

private:
    std::vector<std::uint32_t> sensors_of_spots() const {
        std::vector<std::uint32_t> first_sides;
        for (const SampleSpot& spot : spots)
            first_sides.push_back(spot.sensor);
        return first_sides;
    }
};

/// The samples first..last-1 of a target, from a block of light that begins with the sensor `from`.
void gather(const TargetSpots& target, std::size_t first, std::size_t last, std::size_t from,
            const double* lux, double* samples) {
    for (std::size_t i = first; i < last; ++i, samples += lane_count) {
        const double* own = lux + (target.spots[i].sensor - from) * lane_count;
        const double* other = target.spots[i].has_other_side ? own + lane_count : own;
        for (std::size_t k = 0; k < lane_count; ++k)
            samples[k] = other[k] > own[k] ? other[k] : own[k];
    }
}

/// The sensors that belong to any of some regions.
std::vector<std::uint32_t> join_sensors(const Watched& watched, const std::vector<Region>& regions) {
    std::vector<std::uint32_t> sensors;
    for (const Region& region : regions)
        for (const std::uint32_t sensor : region.sensors)
            sensors.push_back(static_cast<std::uint32_t>(watched.index_of[sensor]));
    std::sort(sensors.begin(), sensors.end());
    sensors.erase(std::unique(sensors.begin(), sensors.end()), sensors.end());
    return sensors;
}

} // namespace

/// A stage and all that is cached on it.
struct Workbench::Theatre {
    Site bare;
    std::pair<glm::dvec2, glm::dvec2> bounds; ///< of the plan: fixtures that stand outside widen the ground
    std::shared_ptr<const Stage> stage;
    std::vector<Region> regions; ///< of bare.targets
    std::vector<double> levels_lx;
    Watched watched;
    bool is_quick = false, is_soft = false;
    std::vector<TargetSpots> targets;                   ///< one a region
    BlockedSensors on_targets;                          ///< that belong to any of them
    bool are_targets_apart = true;                      ///< no sensor belongs to two, each is a sample
    std::vector<std::vector<SampleSpot>> crown_samples; ///< one a tree
    std::vector<std::uint32_t> crown_sensors;           ///< of all trees
    std::map<Lens, Stand, LensOrder> stands;

    std::shared_ptr<const Bounce> bounce;
    std::shared_ptr<const BouncedState> ambient_alone;
    std::map<Lens, LensTransport, LensOrder> landed;
    std::shared_ptr<const WatchedBounce> first_bounce; ///< where bounced light is scaled
    double first_lumens = 0;

    Theatre(const Site& variant, const std::filesystem::path& folder, const WorkbenchOptions& options)
        : bare(without_fixtures(variant)), bounds(plan_bounds(variant)), stage(build_stage(variant, folder)),
          regions(find_regions(bare, *stage)), levels_lx(join_levels(options.levels_lx, bare)),
          watched(*stage, regions), is_quick(options.is_quick), is_soft(options.is_soft),
          on_targets(join_sensors(watched, regions), watched.sensors.size()) {
        for (const Region& region : regions)
            targets.emplace_back(watched, region);
        std::size_t samples = 0;
        for (const TargetSpots& target : targets)
            samples += target.spots.size();
        are_targets_apart = samples == on_targets.sensors.size();
        for (const Tree& tree : bare.trees) {
            crown_samples.push_back(
                watched.samples_of(sensors_of(stage->surfaces[stage->find_surface(tree.id)])));
            for (const SampleSpot& spot : crown_samples.back()) {
                crown_sensors.push_back(spot.sensor);
                if (spot.has_other_side)
                    crown_sensors.push_back(spot.sensor + 1);
            }
        }
    }

    bool is_of(const Site& variant) const {
        return bounds == plan_bounds(variant) && bare == without_fixtures(variant);
    }

    const Stand& stand_of(const Lens& lens, std::uint64_t& rays) {
        auto known = stands.find(lens);
        if (known == stands.end()) {
            Stand stand{trace_sight(*stage, watched.subset, watched.first_leaf, lens,
                                    is_quick ? Shadows::usual : Shadows::fine),
                        {}};
            if (!is_quick)
                stand.places = find_places(*stage, lens, regions);
            rays += stand.sight.rays;
            known = stands.emplace(lens, std::move(stand)).first;
        }
        return known->second;
    }

    /// Of casts that stand alike, at most lane_count, and the sites they are of.
    std::vector<Figures> measure(const std::vector<const Site*>& sites,
                                 const std::vector<const Cast*>& casts) const;

private:
    /// What is told of all of a variant's light at once.
    struct Sums {
        std::vector<LaneSums> targets;
        double target_lm[lane_count] = {}; ///< direct, of quick figures
    };
    Sums sum_up(const CastLanes& lanes, KeptLight& kept) const;
    TargetFigures make_target(std::size_t index, const LaneSums& sums, std::size_t lane) const;
};

Workbench::Theatre::Sums Workbench::Theatre::sum_up(const CastLanes& lanes, KeptLight& kept) const {
    const std::size_t count = watched.sensors.size();
    const bool is_flux_apart = is_quick && (!are_targets_apart || lanes.has_bounced());
    Sums sums;
    sums.targets.resize(targets.size());
    std::array<double, (block + 1) * lane_count> lux; // and the other side of the last leaf
    std::array<double, block * lane_count> gathered;
    for (std::size_t from = 0, b = 0; from < count; from += block, ++b) {
        const std::size_t to = std::min(from + block, count), lit_to = std::min(to + 1, count);
        lanes.light(from, lit_to, lux.data());
        for (std::size_t i = on_targets.begin(b); is_flux_apart && i < on_targets.begin(b + 1); ++i)
            add_flux(lux.data() + (on_targets.sensors[i] - from) * lane_count,
                     watched.subset.area.data() + on_targets.sensors[i], 1, sums.target_lm);
        lanes.add_bounced(from, lit_to, lux.data());
        kept.take(from, to, lux.data());
        for (std::size_t t = 0; t < targets.size(); ++t) {
            const TargetSpots& target = targets[t];
            const std::size_t first = target.sensors.begin(b), last = target.sensors.begin(b + 1);
            if (last == first)
                continue;
            const std::uint32_t begin = target.sensors.sensors[first];
            const double* samples = lux.data() + (begin - from) * lane_count;
            if (target.has_pairs || target.sensors.sensors[last - 1] - begin + 1 != last - first) {
                gather(target, first, last, from, lux.data(), gathered.data());
                samples = gathered.data();
            }
            const double level = bare.targets[t].level;
            // The lowest level, for evenness, and the target's own are all that is told of.
            add_samples(samples, target.area.data() + first, last - first, levels_lx.front(), level,
                        sums.targets[t]);
            if (is_soft)
                add_soft(samples, target.area.data() + first, last - first, level, sums.targets[t]);
        }
    }
    for (std::size_t t = 0; is_quick && !is_flux_apart && t < targets.size(); ++t)
        for (std::size_t k = 0; k < lane_count; ++k)
            sums.target_lm[k] += sums.targets[t].flux[k];
    return sums;
}

TargetFigures Workbench::Theatre::make_target(std::size_t index, const LaneSums& sums,
                                              std::size_t lane) const {
    const TargetSpots& spots = targets[index];
    const auto share_of = [&](double area) { return spots.total_area > 0 ? area / spots.total_area : 0; };
    const Stats stats = make_stats({.count = spots.spots.size(),
                                    .area = spots.total_area,
                                    .flux = sums.flux[lane],
                                    .highest = sums.highest[lane],
                                    .covered_area = sums.covered_area[lane],
                                    .covered_flux = sums.covered_flux[lane],
                                    .covered_lowest = sums.covered_lowest[lane]});
    TargetFigures figures = make_target_figures(bare.targets[index], stats, share_of(sums.level_area[lane]));
    figures.soft_share = share_of(sums.soft_area[lane]);
    return figures;
}

std::vector<Figures> Workbench::Theatre::measure(const std::vector<const Site*>& sites,
                                                 const std::vector<const Cast*>& casts) const {
    // Where each cast's reach is read.
    struct Line {
        std::size_t fixture = 0;
        AimLine at;
    };
    std::vector<std::vector<Line>> lines(casts.size());
    std::vector<std::uint32_t> wanted = crown_sensors;
    for (std::size_t c = 0; c < casts.size(); ++c)
        for (std::size_t f = 0; f < casts[c]->fixtures.size(); ++f) {
            const std::optional<AimLine> line =
                has_line(sites[c]->fixtures[f]) ? find_aim_line(*stage, casts[c]->fixtures[f]) : std::nullopt;
            if (!line)
                continue;
            lines[c].push_back({f, *line});
            if (c > 0 && std::any_of(lines[c - 1].begin(), lines[c - 1].end(),
                                     [&](const Line& known) { return known.at == *line; }))
                continue; // of another lamp or tilt: asked for already
            const Surface& surface = stage->surfaces[static_cast<std::size_t>(line->surface)];
            for (const std::uint32_t sensor : list_line_sensors(surface, line->along))
                wanted.push_back(static_cast<std::uint32_t>(watched.index_of[sensor]));
        }
    KeptLight kept(std::move(wanted));
    const Sums sums = sum_up(CastLanes(watched, casts), kept);

    std::vector<Figures> made(casts.size());
    std::vector<Sample> samples;
    for (std::size_t c = 0; c < casts.size(); ++c) {
        const Cast& cast = *casts[c];
        Figures& figures = made[c];
        for (std::size_t f = 0; f < cast.fixtures.size(); ++f) {
            if (!is_quick)
                add_spill(cast.stands[f]->places, cast.fixtures[f], figures.spill);
            figures.spill.emitted_lm += is_quick ? cast.fixtures[f].lumens : 0;
            figures.watts += cast.fixtures[f].watts;
        }
        if (is_quick) {
            figures.spill.target_lm = sums.target_lm[c];
            figures.candela_to_eyes = measure_candela_to_eyes(bare, cast.fixtures);
        }
        if (cast.bounced)
            figures.spill.sky_bounced_lm = cast.bounced_scale * cast.bounced->sky_lm;
        figures.price = measure_price(*sites[c]);
        for (std::size_t t = 0; t < targets.size(); ++t)
            figures.targets.push_back(make_target(t, sums.targets[t], c));
        const LuxAt lux_at = [&](std::uint32_t sensor) {
            return kept.at(static_cast<std::uint32_t>(watched.index_of[sensor]), c);
        };
        for (const Line& line : lines[c]) {
            const Surface& surface = stage->surfaces[static_cast<std::size_t>(line.at.surface)];
            const double level = find_main_level(bare, levels_lx, surface.id);
            figures.reaches.push_back(
                make_reach(sites[c]->fixtures[line.fixture].id, surface.id,
                           measure_line_reach(bare, surface, lux_at, line.at.along, {level}).front()));
        }
        for (std::size_t i = 0; i < bare.trees.size(); ++i) {
            samples.clear();
            for (const SampleSpot& spot : crown_samples[i]) {
                const bool is_other =
                    spot.has_other_side && kept.at(spot.sensor + 1, c) > kept.at(spot.sensor, c);
                const std::uint32_t sensor = spot.sensor + (is_other ? 1 : 0);
                samples.push_back(
                    {watched.sensors[sensor], kept.at(sensor, c), watched.subset.area[spot.sensor]});
            }
            const double level = find_main_level(bare, levels_lx, bare.trees[i].id);
            figures.reaches.push_back(
                make_reach("", bare.trees[i].id,
                           measure_crown(bare, *stage, bare.trees[i], samples, {level}).lit_to.front()));
        }
    }
    return made;
}

Workbench::Workbench(std::filesystem::path folder, WorkbenchOptions options)
    : folder_(std::move(folder)), options_(std::move(options)), maker_(folder_) {}
Workbench::~Workbench() = default;

Workbench::Theatre& Workbench::theatre_of(const Site& variant) {
    for (const std::unique_ptr<Theatre>& known : theatres_)
        if (known->is_of(variant))
            return *known;
    if (theatres_.size() == most_theatres)
        theatres_.erase(theatres_.begin());
    theatres_.push_back(std::make_unique<Theatre>(variant, folder_, options_));
    return *theatres_.back();
}

std::vector<LitFixture> Workbench::make_fixtures(const Site& variant) {
    std::vector<LitFixture> fixtures = maker_.make_all(variant);
    if (options_.adjust)
        options_.adjust(variant, fixtures);
    return fixtures;
}

WatchedBounce Workbench::bounce(Theatre& theatre, const std::vector<LitFixture>& fixtures) {
    const BounceSetup setup = set_up(theatre, fixtures);
    const BouncedState state = solve_bounce(*setup.bounce, fixtures, setup.transports, setup.ambient);
    const std::vector<double> all = bounced_on_sensors(*setup.bounce, state);
    WatchedBounce bounced;
    for (const std::uint32_t sensor : theatre.watched.sensors)
        bounced.lux.push_back(all[sensor]);
    bounced.sky_lm = state.energy.sky - state.energy.sky_direct -
                     (setup.ambient_alone ? setup.ambient_alone->energy.sky : 0);
    return bounced;
}

void Workbench::find_bounce(Theatre& theatre, Cast& cast) {
    if (!options_.is_bounce_scaled) {
        cast.bounced = std::make_shared<const WatchedBounce>(bounce(theatre, cast.fixtures));
        return;
    }
    double lumens = 0;
    for (const LitFixture& fixture : cast.fixtures)
        lumens += fixture.lumens;
    if (!theatre.first_bounce) {
        WatchedBounce first = bounce(theatre, cast.fixtures);
        first.steady_lux = bounce(theatre, {}).lux;
        for (std::size_t i = 0; i < first.lux.size(); ++i)
            first.lux[i] -= first.steady_lux[i];
        theatre.first_bounce = std::make_shared<const WatchedBounce>(std::move(first));
        theatre.first_lumens = lumens;
    }
    cast.bounced = theatre.first_bounce;
    cast.bounced_scale = theatre.first_lumens > 0 ? lumens / theatre.first_lumens : 0;
}

BounceSetup Workbench::set_up(Theatre& theatre, const std::vector<LitFixture>& fixtures) {
    const double ambient = theatre.bare.ambient;
    if (!theatre.bounce) {
        theatre.bounce = trace_bounce(*theatre.stage);
        if (ambient > 0)
            theatre.ambient_alone =
                std::make_shared<const BouncedState>(solve_bounce(*theatre.bounce, {}, {}, ambient));
    }
    BounceSetup setup{.bounce = theatre.bounce, .ambient = ambient, .ambient_alone = theatre.ambient_alone};
    for (const LitFixture& fixture : fixtures) {
        auto known = theatre.landed.find(fixture.lens);
        if (known == theatre.landed.end())
            known = theatre.landed
                        .emplace(fixture.lens, trace_transport(*theatre.stage, *theatre.bounce, fixture.lens))
                        .first;
        setup.transports.push_back(known->second);
    }
    return setup;
}

std::vector<Figures> Workbench::measure(std::span<const Site> variants, const Progress& progress) {
    std::vector<Figures> figures(variants.size());
    for (std::size_t first = 0; first < variants.size(); first += batch) {
        const std::size_t last = std::min(variants.size(), first + batch);
        for (std::size_t from = first; from < last;) {
            // Neighbours on one stage are lit together.
            Theatre& theatre = theatre_of(variants[from]);
            std::size_t to = from + 1;
            while (to < last && theatre.is_of(variants[to]))
                ++to;
            if (theatre.stands.size() > most_sights)
                theatre.stands.clear();
            std::vector<Cast> casts(to - from);
            for (std::size_t i = from; i < to; ++i) {
                Cast& cast = casts[i - from];
                cast.fixtures = make_fixtures(variants[i]);
                for (const LitFixture& fixture : cast.fixtures)
                    cast.stands.push_back(&theatre.stand_of(fixture.lens, rays_));
                if (!options_.is_direct_only)
                    find_bounce(theatre, cast);
                if (progress)
                    progress(static_cast<double>(i) / static_cast<double>(variants.size()));
            }
            const std::vector<std::vector<std::size_t>> groups = find_groups(casts);
            tbb::parallel_for(std::size_t{0}, groups.size(), [&](std::size_t g) {
                std::vector<const Site*> sites;
                std::vector<const Cast*> alike;
                for (const std::size_t i : groups[g]) {
                    sites.push_back(&variants[from + i]);
                    alike.push_back(&casts[i]);
                }
                std::vector<Figures> made = theatre.measure(sites, alike);
                for (std::size_t k = 0; k < made.size(); ++k)
                    figures[from + groups[g][k]] = std::move(made[k]);
            });
            from = to;
        }
    }
    return figures;
}

LitVariant Workbench::light(const Site& variant) {
    Theatre& theatre = theatre_of(variant);
    LitVariant lit{.stage = theatre.stage};
    lit.lighting = trace_lighting(*theatre.stage, make_fixtures(variant));
    if (!options_.is_direct_only)
        add_bounce(set_up(theatre, lit.lighting.fixtures), lit.lighting);
    lit.report = measure_report(variant, *theatre.stage, lit.lighting, options_.levels_lx);
    return lit;
}

} // namespace duskcast
