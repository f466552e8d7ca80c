#include "duskcast/study/workbench.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>
#include <utility>

#include "duskcast/base/parallel.hpp"
#include "duskcast/light/glow.hpp"
#include "duskcast/measure/reach.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/measure/stats.hpp"
#include "duskcast/measure/trees.hpp"
#include "duskcast/view/see.hpp"
#include "study_figures.hpp"
#include "watched.hpp"

namespace duskcast {
namespace {

constexpr std::size_t most_stages = 8; ///< stages kept
constexpr std::size_t batch = 32; ///< variants lit together; each may hold bounced light of its own till then

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
double measure_soft_share(const std::vector<Sample>& samples, double level_lx) {
    constexpr double width = 0.1;
    double area = 0, lit = 0;
    for (const Sample& sample : samples) {
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

/// A lens position and what its rays found.
struct LensPosition {
    Sight sight; ///< over the watched sensors
    LandingPlaces places;
    std::uint64_t last_use = 0; ///< the higher, the later
};

template <class T> std::size_t bytes_in(const std::vector<T>& values) {
    return values.capacity() * sizeof(T);
}

std::size_t bytes_of(const Sight& sight) {
    return bytes_in(sight.transfer) + bytes_in(sight.near_sensor) + bytes_in(sight.near_transfer) +
           bytes_in(sight.near_x) + bytes_in(sight.near_y) + bytes_in(sight.near_z);
}

std::size_t bytes_of(const LensPosition& position) {
    return sizeof position + bytes_of(position.sight) + bytes_in(position.places);
}

std::size_t bytes_of(const LensTransport& transport) {
    return sizeof transport + bytes_in(transport.patch) + bytes_in(transport.is_dense) +
           bytes_of(transport.sight);
}

/// Lets go of transports that were in use before, the oldest first, until the others fit into `most` bytes.
void trim_spare(LensTransports& spare, std::size_t most) {
    std::size_t bytes = 0, kept = 0;
    while (kept < spare.size() && bytes + bytes_of(*spare[spare.size() - kept - 1]) <= most)
        bytes += bytes_of(*spare[spare.size() - ++kept]);
    spare.erase(spare.begin(), spare.end() - static_cast<std::ptrdiff_t>(kept));
}

} // namespace

/// Light by way of other surfaces on the watched sensors.
struct WatchedBounce {
    std::vector<double> lux;
    std::vector<double> steady_lux; ///< what does not come from fixtures; empty: none apart from `lux`
    double sky_lm = 0;
};

/// A variant whose rays are traced.
struct PreparedVariant {
    std::vector<LitFixture> fixtures;
    std::vector<std::shared_ptr<const LensPosition>> positions; ///< one a fixture
    std::shared_ptr<const WatchedBounce> bounced;               ///< none: direct light alone
    double bounced_scale = 1;                                   ///< of all but the steady light
};

/// A stage and all that is cached on it.
struct Workbench::StageCache {
    Site bare;
    std::pair<glm::dvec2, glm::dvec2> bounds; ///< of the plan: fixtures that stand outside widen the ground
    std::shared_ptr<const Stage> stage;
    std::vector<Region> regions; ///< of bare.targets
    std::vector<double> levels_lx;
    Watched watched;
    std::vector<double> glow_lx; ///< of the watched sensors, straight from what glows; empty: nothing does
    bool is_quick = false, is_soft = false;
    std::vector<std::vector<SampleSpot>> target_spots; ///< one a region
    std::vector<std::vector<SampleSpot>> crown_spots;  ///< one a tree
    /// Watched sensors whose light counts as landing on targets, none of them twice: one list a target where
    /// targets do not overlap, else one of all.
    std::vector<std::vector<std::uint32_t>> on_targets;
    std::map<Lens, std::shared_ptr<LensPosition>, LensOrder> positions;
    std::size_t position_bytes = 0, most_position_bytes = 0;
    std::uint64_t uses = 0; ///< of positions so far

    std::vector<Sight> last_sights;                  ///< over all sensors, of the variant lit last
    std::map<Lens, LandingPlaces, LensOrder> places; ///< of the variants lit
    std::vector<BounceSetup> setups; ///< by the number of spots on leaves that a variant's lenses ask for
    std::shared_ptr<const WatchedBounce> first_bounce; ///< where bounced light is scaled
    double first_lumens = 0;

    StageCache(const Site& variant, const std::filesystem::path& folder, const WorkbenchOptions& options)
        : bare(without_fixtures(variant)), bounds(plan_bounds(variant)), stage(build_stage(variant, folder)),
          regions(find_regions(bare, *stage)), levels_lx(join_levels(options.levels_lx, bare)),
          watched(*stage, regions), is_quick(options.is_quick), is_soft(options.is_soft),
          most_position_bytes(options.most_kept_bytes) {
        glow_lx = glow_on_sensors(*stage, watched.subset);
        for (const Region& region : regions) {
            target_spots.push_back(watched.samples_of(region.sensors));
            on_targets.push_back(watched.indices_of(region.sensors));
        }
        std::vector<std::uint32_t> all;
        for (const std::vector<std::uint32_t>& sensors : on_targets)
            all.insert(all.end(), sensors.begin(), sensors.end());
        std::sort(all.begin(), all.end());
        const auto doubled = std::unique(all.begin(), all.end());
        if (doubled != all.end()) {
            all.erase(doubled, all.end());
            on_targets = {all};
        }
        for (const Tree& tree : bare.trees)
            crown_spots.push_back(
                watched.samples_of(sensors_of(stage->surfaces[stage->find_surface(tree.id)])));
    }

    bool is_of(const Site& variant) const {
        return bounds == plan_bounds(variant) && bare == without_fixtures(variant);
    }

    std::shared_ptr<const LensPosition> position_of(const Lens& lens, std::uint64_t& rays) {
        auto known = positions.find(lens);
        if (known == positions.end()) {
            auto position = std::make_shared<LensPosition>();
            position->sight = trace_sight(*stage, watched.subset, watched.first_leaf, lens,
                                          is_quick ? Shadows::usual : Shadows::fine);
            if (!is_quick)
                position->places = find_places(*stage, lens, regions);
            rays += position->sight.rays;
            make_room(bytes_of(*position));
            known = positions.emplace(lens, std::move(position)).first;
        }
        known->second->last_use = ++uses;
        return known->second;
    }

    /// Lets go of the positions whose last use is longest ago until `bytes` more fit.
    void make_room(std::size_t bytes) {
        while (!positions.empty() && position_bytes + bytes > most_position_bytes) {
            const auto oldest =
                std::min_element(positions.begin(), positions.end(), [](const auto& a, const auto& b) {
                    return a.second->last_use < b.second->last_use;
                });
            position_bytes -= bytes_of(*oldest->second);
            positions.erase(oldest);
        }
        position_bytes += bytes;
    }

    /// What is written over for every variant.
    struct Scratch {
        std::vector<double> lux; ///< of the watched sensors
        std::vector<Sample> samples;
    };
    Figures measure(const Site& variant, const PreparedVariant& prepared, Scratch& scratch) const;

private:
    void collect(const std::vector<SampleSpot>& spots, Scratch& scratch) const;
    double measure_flux(const std::vector<double>& lux, const std::vector<std::uint32_t>& sensors) const;
    void add_targets(Figures& figures, Scratch& scratch) const;
    void add_reaches(const Site& variant, const PreparedVariant& prepared, Figures& figures,
                     Scratch& scratch) const;
};

void Workbench::StageCache::collect(const std::vector<SampleSpot>& spots, Scratch& scratch) const {
    const std::vector<double>& lux = scratch.lux;
    scratch.samples.clear();
    for (const SampleSpot& spot : spots) {
        const bool is_other = spot.has_other_side && lux[spot.sensor + 1] > lux[spot.sensor];
        const std::uint32_t sensor = spot.sensor + (is_other ? 1 : 0);
        scratch.samples.push_back({watched.sensors[sensor], lux[sensor], watched.subset.area[spot.sensor]});
    }
}

double Workbench::StageCache::measure_flux(const std::vector<double>& lux,
                                           const std::vector<std::uint32_t>& sensors) const {
    double lumens = 0;
    for (const std::uint32_t sensor : sensors)
        lumens += lux[sensor] * static_cast<double>(watched.subset.area[sensor]);
    return lumens;
}

void Workbench::StageCache::add_targets(Figures& figures, Scratch& scratch) const {
    const std::vector<double> lowest{levels_lx.front()}; // for the uniformity ratio; no other is asked for
    for (std::size_t t = 0; t < target_spots.size(); ++t) {
        collect(target_spots[t], scratch);
        const Target& target = bare.targets[t];
        TargetFigures made = make_target_figures(bare, target, measure_stats(*stage, scratch.samples, lowest),
                                                 measure_share(scratch.samples, target.level));
        if (is_soft)
            made.soft_share = measure_soft_share(scratch.samples, target.level);
        figures.targets.push_back(std::move(made));
    }
}

void Workbench::StageCache::add_reaches(const Site& variant, const PreparedVariant& prepared,
                                        Figures& figures, Scratch& scratch) const {
    const LuxAt lux_at = [&](std::uint32_t sensor) {
        return scratch.lux[static_cast<std::size_t>(watched.index_of[sensor])];
    };
    for (std::size_t f = 0; f < prepared.fixtures.size(); ++f) {
        const Fixture& fixture = variant.fixtures[f];
        const std::optional<AimLine> line =
            has_line(fixture) ? find_aim_line(*stage, prepared.fixtures[f]) : std::nullopt;
        if (!line)
            continue;
        const Surface& surface = stage->surfaces[static_cast<std::size_t>(line->surface)];
        const double level = find_main_level(bare, levels_lx, surface.id);
        figures.reaches.push_back(
            make_reach(fixture.id, surface.id,
                       measure_line_reach(bare, surface, lux_at, line->along, {level}).front(), line->along));
    }
    for (std::size_t i = 0; i < bare.trees.size(); ++i) {
        const Tree& tree = bare.trees[i];
        collect(crown_spots[i], scratch);
        const double level = find_main_level(bare, levels_lx, tree.id);
        figures.reaches.push_back(make_reach(
            "", tree.id, measure_crown(bare, *stage, tree, scratch.samples, {level}).lit_to.front()));
    }
}

Figures Workbench::StageCache::measure(const Site& variant, const PreparedVariant& prepared,
                                       Scratch& scratch) const {
    Figures figures;
    std::vector<double>& lux = scratch.lux;
    lux.assign(watched.sensors.size(), 0.0);
    for (std::size_t f = 0; f < prepared.fixtures.size(); ++f) {
        const LitFixture& fixture = prepared.fixtures[f];
        add_layer(prepared.positions[f]->sight, watched.subset, fixture.aim, fixture.table, fixture.scale,
                  lux);
        figures.watts += fixture.watts;
        if (is_quick)
            figures.spill.emitted_lm += fixture.lumens;
        else
            add_spill(*stage, regions, prepared.positions[f]->places, fixture, figures.spill);
    }
    if (is_quick) {
        for (const std::vector<std::uint32_t>& sensors : on_targets)
            figures.spill.target_lm += measure_flux(lux, sensors);
        figures.candela_to_eyes = measure_candela_to_eyes(bare, prepared.fixtures);
    }
    for (std::size_t i = 0; i < glow_lx.size(); ++i)
        lux[i] += glow_lx[i];
    if (const WatchedBounce* bounced = prepared.bounced.get()) {
        for (std::size_t i = 0; i < lux.size(); ++i)
            lux[i] += prepared.bounced_scale * bounced->lux[i] +
                      (bounced->steady_lux.empty() ? 0 : bounced->steady_lux[i]);
        figures.spill.sky_bounced_lm = prepared.bounced_scale * bounced->sky_lm;
    }
    figures.price = measure_price(variant);
    add_targets(figures, scratch);
    add_reaches(variant, prepared, figures, scratch);
    return figures;
}

Workbench::Workbench(std::filesystem::path folder, WorkbenchOptions options)
    : folder_(std::move(folder)), options_(std::move(options)), maker_(folder_) {}
Workbench::~Workbench() = default;

Workbench::StageCache& Workbench::cache_of(const Site& variant) {
    for (const std::unique_ptr<StageCache>& known : caches_)
        if (known->is_of(variant))
            return *known;
    if (caches_.size() == most_stages)
        caches_.erase(caches_.begin());
    caches_.push_back(std::make_unique<StageCache>(variant, folder_, options_));
    return *caches_.back();
}

std::vector<LitFixture> Workbench::make_fixtures(const Site& variant) {
    std::vector<LitFixture> fixtures = maker_.make_all(variant);
    if (options_.adjust)
        options_.adjust(variant, fixtures);
    return fixtures;
}

WatchedBounce Workbench::bounce(StageCache& cache, const std::vector<LitFixture>& fixtures) {
    const BounceSetup& setup = set_up(cache, fixtures);
    const BouncedState state = solve_bounce(setup, fixtures);
    const auto watch = [&](const BouncedState& of) {
        std::vector<double> lux;
        const std::vector<double> all = bounced_on_sensors(*setup.bounce, of);
        for (const std::uint32_t sensor : cache.watched.sensors)
            lux.push_back(all[sensor]);
        return lux;
    };
    WatchedBounce bounced{.lux = watch(state)};
    bounced.sky_lm = state.energy.sky - state.energy.sky_direct;
    if (setup.steady_alone) {
        bounced.sky_lm -= setup.steady_alone->energy.sky;
        if (options_.is_bounce_scaled)
            bounced.steady_lux = watch(*setup.steady_alone);
    }
    return bounced;
}

void Workbench::find_bounce(StageCache& cache, PreparedVariant& prepared) {
    if (!options_.is_bounce_scaled) {
        prepared.bounced = std::make_shared<const WatchedBounce>(bounce(cache, prepared.fixtures));
        return;
    }
    double lumens = 0;
    for (const LitFixture& fixture : prepared.fixtures)
        lumens += fixture.lumens;
    if (!cache.first_bounce) {
        const std::vector<LitFixture> fixtures =
            options_.bounce_of ? make_fixtures(*options_.bounce_of) : prepared.fixtures;
        WatchedBounce first = bounce(cache, fixtures);
        for (std::size_t i = 0; i < first.steady_lux.size(); ++i)
            first.lux[i] -= first.steady_lux[i];
        cache.first_bounce = std::make_shared<const WatchedBounce>(std::move(first));
        for (const LitFixture& fixture : fixtures)
            cache.first_lumens += fixture.lumens;
    }
    prepared.bounced = cache.first_bounce;
    prepared.bounced_scale = cache.first_lumens > 0 ? lumens / cache.first_lumens : 0;
}

BounceSetup& Workbench::setup_for(StageCache& cache, std::size_t lenses) {
    constexpr std::size_t most_setups = 2;
    std::vector<BounceSetup>& setups = cache.setups;
    auto fitting = std::find_if(setups.begin(), setups.end(), [&](const BounceSetup& known) {
        return known.bounce && known.bounce->is_for(lenses);
    });
    if (fitting == setups.end()) {
        if (setups.size() == most_setups)
            setups.erase(setups.begin());
        fitting = setups.emplace(setups.end());
    }
    return *fitting;
}

BounceSetup& Workbench::set_up(StageCache& cache, const std::vector<LitFixture>& fixtures) {
    BounceSetup& setup = setup_for(cache, fixtures.size());
    update_bounce(*cache.stage, fixtures, cache.bare.ambient, setup);
    trim_spare(setup.spare, options_.most_kept_bytes / 2);
    return setup;
}

std::vector<Figures> Workbench::measure(std::span<const Site> variants, const Progress& progress) {
    std::vector<Figures> figures(variants.size());
    for (std::size_t first = 0; first < variants.size(); first += batch) {
        const std::size_t last = std::min(variants.size(), first + batch);
        for (std::size_t from = first; from < last;) {
            // Neighbours on one stage are lit together.
            StageCache& cache = cache_of(variants[from]);
            std::size_t to = from + 1;
            while (to < last && cache.is_of(variants[to]))
                ++to;
            std::vector<PreparedVariant> prepared(to - from);
            for (std::size_t i = from; i < to; ++i) {
                PreparedVariant& one = prepared[i - from];
                one.fixtures = make_fixtures(variants[i]);
                for (const LitFixture& fixture : one.fixtures)
                    one.positions.push_back(cache.position_of(fixture.lens, rays_));
                if (!options_.is_direct_only)
                    find_bounce(cache, one);
                if (progress)
                    progress(static_cast<double>(i) / static_cast<double>(variants.size()));
            }
            parallel_ranges(prepared.size(), 1, [&](std::size_t begin, std::size_t end) {
                StageCache::Scratch scratch;
                for (std::size_t i = begin; i < end; ++i)
                    figures[from + i] = cache.measure(variants[from + i], prepared[i], scratch);
            });
            from = to;
        }
    }
    return figures;
}

LitVariant Workbench::light(const Site& variant, const Progress& progress) {
    constexpr std::size_t most_places = 256; // 33 MB
    StageCache& cache = cache_of(variant);
    LitVariant lit{.stage = cache.stage};
    std::vector<LitFixture> fixtures = make_fixtures(variant);
    if (options_.is_direct_only) {
        lit.lighting = trace_lighting(*cache.stage, std::move(fixtures), progress, cache.last_sights);
    } else {
        BounceSetup& setup = setup_for(cache, fixtures.size());
        lit.lighting = trace_all_light(*cache.stage, std::move(fixtures), cache.bare.ambient, setup, progress,
                                       cache.last_sights);
        trim_spare(setup.spare, options_.most_kept_bytes / 2);
    }
    cache.last_sights = lit.lighting.sights;
    if (cache.places.size() > most_places)
        cache.places.clear();
    lit.report = measure_report(
        variant, *cache.stage, lit.lighting, options_.levels_lx,
        [&](const Lens& lens) -> const LandingPlaces& {
            auto known = cache.places.find(lens);
            if (known == cache.places.end())
                known = cache.places.emplace(lens, find_places(*cache.stage, lens, cache.regions)).first;
            return known->second;
        });
    if (options_.lit_luminance)
        look_for_report(variant, *cache.stage, lit.lighting, *options_.lit_luminance, lit.report);
    return lit;
}

} // namespace duskcast
