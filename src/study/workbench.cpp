#include "duskcast/study/workbench.hpp"

#include <algorithm>
#include <cmath>
#include <tbb/parallel_for.h>
#include <tbb/task_arena.h>
#include <tuple>
#include <utility>

#include "duskcast/measure/reach.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/measure/stats.hpp"
#include "duskcast/measure/trees.hpp"
#include "study_figures.hpp"
#include "watched.hpp"

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

/// A position with what its rays found.
struct Stand {
    Sight sight; ///< over the watched sensors
    LandingPlaces places;
};

/// One variant made ready.
struct Cast {
    std::vector<LitFixture> fixtures;
    std::vector<const Stand*> stands;
    std::vector<double> bounced_lx; ///< on the watched sensors; empty: none
    double sky_bounced_lm = 0;
};

} // namespace

bool stand_alike(const Cast& a, const Cast& b) {
    if (a.fixtures.size() != b.fixtures.size() || a.stands != b.stands)
        return false;
    for (std::size_t f = 0; f < a.fixtures.size(); ++f)
        if (!(a.fixtures[f].aim == b.fixtures[f].aim))
            return false;
    return true;
}

/// Where groups of neighbours that stand and aim alike begin; at last how many casts there are.
std::vector<std::size_t> find_groups(const std::vector<Cast>& casts) {
    constexpr std::size_t most = 8; // whose layers are held at a time
    std::vector<std::size_t> groups{0};
    for (std::size_t i = 1; i < casts.size(); ++i)
        if (i - groups.back() == most || !stand_alike(casts[groups.back()], casts[i]))
            groups.push_back(i);
    groups.push_back(casts.size());
    return groups;
}

/// A stage and all that is cached on it.
struct Workbench::Theatre {
    Site bare;
    std::pair<glm::dvec2, glm::dvec2> bounds; ///< of the plan: fixtures that stand outside widen the ground
    std::shared_ptr<const Stage> stage;
    std::vector<Region> regions; ///< of bare.targets
    std::vector<double> levels_lx;
    Watched watched;
    bool is_quick = false, is_soft = false;
    std::vector<std::vector<SampleSpot>> target_samples;
    std::vector<std::uint32_t> on_targets;              ///< watched sensors that belong to any of them
    std::vector<std::vector<SampleSpot>> crown_samples; ///< one a tree
    std::map<Lens, Stand, LensOrder> stands;

    std::shared_ptr<const Bounce> bounce;
    std::shared_ptr<const BouncedState> ambient_alone;
    std::map<Lens, Landed, LensOrder> landed;

    Theatre(const Site& variant, const std::filesystem::path& folder, const WorkbenchOptions& options)
        : bare(without_fixtures(variant)), bounds(plan_bounds(variant)), stage(build_stage(variant, folder)),
          regions(find_regions(bare, *stage)), levels_lx(join_levels(options.levels_lx, bare)),
          watched(Watched::of_figures(*stage, regions)), is_quick(options.is_quick),
          is_soft(options.is_soft) {
        for (const Region& region : regions)
            target_samples.push_back(watched.samples_of(region.sensors));
        std::vector<std::uint8_t> is_on(is_quick ? watched.sensors.size() : 0);
        for (const Region& region : regions)
            for (const std::uint32_t sensor : region.sensors) {
                const auto index = static_cast<std::size_t>(watched.index_of[sensor]);
                if (is_quick && std::exchange(is_on[index], std::uint8_t{1}) == 0)
                    on_targets.push_back(static_cast<std::uint32_t>(index));
            }
        for (const Tree& tree : bare.trees)
            crown_samples.push_back(
                watched.samples_of(sensors_of(stage->surfaces[stage->find_surface(tree.id)])));
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

    /// For as many casts, whose fixtures stand and aim alike: only their lamps and dimming differ.
    std::vector<Figures> measure(std::span<const Site> sites, std::span<const Cast> casts) const;

private:
    /// `total`: direct light on the watched sensors; bounced light is added to it.
    Figures measure(const Site& site, const Cast& cast, std::vector<double>& total) const;
    TargetFigures measure_target(std::size_t index, const std::vector<double>& total) const;
};

std::vector<Figures> Workbench::Theatre::measure(std::span<const Site> sites,
                                                 std::span<const Cast> casts) const {
    // Kept from call to call: new pages for every group would take longer than the light on them. What runs
    // inside must not come back here on the same thread, hence the isolation.
    thread_local std::vector<std::vector<double>> totals;
    thread_local std::vector<std::vector<float>> layers;
    const std::size_t count = watched.sensors.size();
    totals.resize(std::max(totals.size(), casts.size()));
    layers.resize(std::max(layers.size(), casts.size()));
    for (std::size_t c = 0; c < casts.size(); ++c) {
        totals[c].assign(count, 0.0);
        layers[c].resize(count);
    }
    for (std::size_t f = 0; f < casts.front().fixtures.size(); ++f) {
        // Each lamp once, however many casts have it.
        std::vector<LampLayer> lamps;
        std::vector<std::size_t> lamp_of;
        for (const Cast& cast : casts) {
            const LitFixture& fixture = cast.fixtures[f];
            const auto known = std::find_if(lamps.begin(), lamps.end(), [&](const LampLayer& lamp) {
                return &lamp.table->values() == &fixture.table.values() && lamp.scale == fixture.scale;
            });
            lamp_of.push_back(static_cast<std::size_t>(known - lamps.begin()));
            if (known == lamps.end())
                lamps.push_back({&fixture.table, fixture.scale, layers[lamps.size()]});
        }
        tbb::this_task_arena::isolate([&] {
            evaluate_layers(casts.front().stands[f]->sight, watched.subset, casts.front().fixtures[f].aim,
                            lamps);
        });
        for (std::size_t c = 0; c < casts.size(); ++c) {
            const std::vector<float>& layer = layers[lamp_of[c]];
            for (std::size_t i = 0; i < layer.size(); ++i)
                totals[c][i] += static_cast<double>(layer[i]);
        }
    }
    std::vector<Figures> figures;
    for (std::size_t c = 0; c < casts.size(); ++c)
        figures.push_back(measure(sites[c], casts[c], totals[c]));
    return figures;
}

Figures Workbench::Theatre::measure(const Site& site, const Cast& cast, std::vector<double>& total) const {
    Figures figures;
    for (std::size_t f = 0; f < cast.fixtures.size(); ++f) {
        if (!is_quick)
            add_spill(cast.stands[f]->places, cast.fixtures[f], figures.spill);
        figures.spill.emitted_lm += is_quick ? cast.fixtures[f].lumens : 0;
        figures.watts += cast.fixtures[f].watts;
    }
    for (const std::uint32_t i : on_targets)
        figures.spill.target_lm += total[i] * static_cast<double>(watched.subset.area[i]);
    for (std::size_t i = 0; i < cast.bounced_lx.size(); ++i)
        total[i] += cast.bounced_lx[i];
    figures.spill.sky_bounced_lm = cast.sky_bounced_lm;
    figures.price = measure_price(site);
    for (std::size_t i = 0; i < regions.size(); ++i)
        figures.targets.push_back(measure_target(i, total));
    if (is_quick)
        figures.candela_to_eyes = measure_candela_to_eyes(bare, cast.fixtures);
    const LuxAt lux_at = [&](std::uint32_t sensor) {
        return total[static_cast<std::size_t>(watched.index_of[sensor])];
    };
    for (std::size_t f = 0; f < cast.fixtures.size(); ++f) {
        if (!has_line(site.fixtures[f]))
            continue;
        const std::optional<AimLine> line = find_aim_line(*stage, cast.fixtures[f]);
        if (!line)
            continue;
        const Surface& surface = stage->surfaces[static_cast<std::size_t>(line->surface)];
        const double level = find_main_level(bare, levels_lx, surface.id);
        figures.reaches.push_back(
            make_reach(site.fixtures[f].id, surface.id,
                       measure_line_reach(bare, surface, lux_at, line->along, {level}).front()));
    }
    std::vector<Sample> samples;
    for (std::size_t i = 0; i < bare.trees.size(); ++i) {
        watched.collect(crown_samples[i], total, samples);
        const double level = find_main_level(bare, levels_lx, bare.trees[i].id);
        figures.reaches.push_back(
            make_reach("", bare.trees[i].id,
                       measure_crown(bare, *stage, bare.trees[i], samples, {level}).lit_to.front()));
    }
    return figures;
}

TargetFigures Workbench::Theatre::measure_target(std::size_t index, const std::vector<double>& total) const {
    const std::vector<SampleSpot>& spots = target_samples[index];
    const Target& target = bare.targets[index];
    const auto sample_at = [&](std::size_t i) { return watched.sample(spots[i], total); };
    // The lowest level, for evenness, and the target's own are all that is told of.
    const Stats stats = measure_stats_of(*stage, spots.size(), sample_at, {levels_lx.front(), target.level});
    TargetFigures figures = make_target_figures(target, stats, stats.coverage.back().share);
    if (is_soft)
        figures.soft_share = measure_soft_share(spots.size(), sample_at, target.level);
    return figures;
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

std::vector<double> Workbench::bounced(Theatre& theatre, const std::vector<LitFixture>& fixtures,
                                       double& sky_lm) {
    const BounceSetup setup = set_up(theatre, fixtures);
    const BouncedState state = solve_bounce(*setup.bounce, fixtures, setup.landed, setup.ambient);
    const std::vector<double> all = bounced_on_sensors(*setup.bounce, state);
    std::vector<double> watched;
    for (const std::uint32_t sensor : theatre.watched.sensors)
        watched.push_back(all[sensor]);
    sky_lm = state.energy.sky - state.energy.sky_direct -
             (setup.ambient_alone ? setup.ambient_alone->energy.sky : 0);
    return watched;
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
                        .emplace(fixture.lens, trace_landed(*theatre.stage, *theatre.bounce, fixture.lens))
                        .first;
        setup.landed.push_back(known->second);
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
                cast.fixtures = maker_.make_all(variants[i]);
                for (const LitFixture& fixture : cast.fixtures)
                    cast.stands.push_back(&theatre.stand_of(fixture.lens, rays_));
                if (!options_.is_direct_only)
                    cast.bounced_lx = bounced(theatre, cast.fixtures, cast.sky_bounced_lm);
                if (progress)
                    progress(static_cast<double>(i) / static_cast<double>(variants.size()));
            }
            const std::vector<std::size_t> groups = find_groups(casts);
            tbb::parallel_for(std::size_t{1}, groups.size(), [&](std::size_t g) {
                const std::size_t start = groups[g - 1], count = groups[g] - start;
                const std::vector<Figures> made = theatre.measure(variants.subspan(from + start, count),
                                                                  std::span(casts).subspan(start, count));
                std::copy(made.begin(), made.end(),
                          figures.begin() + static_cast<std::ptrdiff_t>(from + start));
            });
            from = to;
        }
    }
    return figures;
}

LitVariant Workbench::light(const Site& variant) {
    Theatre& theatre = theatre_of(variant);
    LitVariant lit{.stage = theatre.stage};
    lit.lighting = trace_lighting(*theatre.stage, maker_.make_all(variant));
    if (!options_.is_direct_only)
        add_bounce(set_up(theatre, lit.lighting.fixtures), lit.lighting);
    lit.report = measure_report(variant, *theatre.stage, lit.lighting, options_.levels_lx);
    return lit;
}

} // namespace duskcast
