#include "duskcast/study/workbench.hpp"

#include <algorithm>
#include <cmath>
#include <tbb/parallel_for.h>
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

/// A stage and all that is cached on it.
struct Workbench::Theatre {
    Site bare;
    std::pair<glm::dvec2, glm::dvec2> bounds; ///< of the plan: fixtures that stand outside widen the ground
    std::shared_ptr<const Stage> stage;
    std::vector<Region> regions; ///< of bare.targets
    std::vector<double> levels_lx;
    Watched watched;
    bool is_quick = false;
    std::vector<std::vector<SampleSpot>> target_samples;
    std::vector<std::uint32_t> on_targets;              ///< watched sensors that belong to any of them
    std::vector<std::vector<SampleSpot>> crown_samples; ///< one a tree
    std::map<Lens, Stand, LensOrder> stands;

    std::shared_ptr<const Bounce> bounce;
    std::shared_ptr<const BouncedState> ambient_alone;
    std::map<Lens, Landed, LensOrder> landed;

    /// `variant` has the fixtures, round which the ground reaches.
    Theatre(const Site& variant, Site site, const std::filesystem::path& folder,
            const std::vector<double>& levels, bool quick)
        : bare(std::move(site)), bounds(plan_bounds(variant)), stage(build_stage(variant, folder)),
          regions(find_regions(bare, *stage)), levels_lx(join_levels(levels, bare)),
          watched(Watched::of_figures(*stage, regions)), is_quick(quick) {
        for (const Region& region : regions)
            target_samples.push_back(watched.samples_of(region.sensors));
        std::vector<std::uint8_t> is_on(is_quick ? watched.sensors.size() : 0);
        for (const Region& region : regions)
            for (const std::uint32_t sensor : region.sensors)
                if (is_quick && !std::exchange(is_on[static_cast<std::size_t>(watched.index_of[sensor])], 1))
                    on_targets.push_back(static_cast<std::uint32_t>(watched.index_of[sensor]));
        for (const Tree& tree : bare.trees)
            crown_samples.push_back(
                watched.samples_of(sensors_of(stage->surfaces[stage->find_surface(tree.id)])));
    }

    const Stand& stand_of(const Lens& lens, std::uint64_t& rays) {
        auto known = stands.find(lens);
        if (known == stands.end()) {
            Stand stand{trace_sight(*stage, watched.subset, watched.first_leaf, lens), {}};
            if (!is_quick)
                stand.places = find_places(*stage, lens, regions);
            rays += stand.sight.rays;
            known = stands.emplace(lens, std::move(stand)).first;
        }
        return known->second;
    }

    Figures measure(const Site& site, const Cast& cast) const;
};

Figures Workbench::Theatre::measure(const Site& site, const Cast& cast) const {
    const std::size_t count = watched.sensors.size();
    std::vector<double> total(count, 0.0);
    std::vector<float> layer(count);
    Figures figures;
    for (std::size_t f = 0; f < cast.fixtures.size(); ++f) {
        const LitFixture& fixture = cast.fixtures[f];
        evaluate_layer(cast.stands[f]->sight, watched.subset, fixture.aim, fixture.table, fixture.scale,
                       layer);
        for (std::size_t i = 0; i < count; ++i)
            total[i] += static_cast<double>(layer[i]);
        if (!is_quick)
            add_spill(cast.stands[f]->places, fixture, figures.spill);
        figures.spill.emitted_lm += is_quick ? fixture.lumens : 0;
        figures.watts += fixture.watts;
    }
    for (const std::uint32_t i : on_targets)
        figures.spill.target_lm += total[i] * static_cast<double>(watched.subset.area[i]);
    for (std::size_t i = 0; i < cast.bounced_lx.size(); ++i)
        total[i] += cast.bounced_lx[i];
    figures.spill.sky_bounced_lm = cast.sky_bounced_lm;
    figures.price = measure_price(site);

    std::vector<Sample> samples;
    for (std::size_t i = 0; i < regions.size(); ++i) {
        watched.collect(target_samples[i], total, samples);
        const Stats stats = measure_stats(*stage, samples, levels_lx);
        figures.targets.push_back(
            make_target_figures(bare.targets[i], stats, measure_share(samples, bare.targets[i].level)));
        if (is_quick)
            figures.targets.back().soft_share = measure_soft_share(samples, bare.targets[i].level);
    }
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
    for (std::size_t i = 0; i < bare.trees.size(); ++i) {
        watched.collect(crown_samples[i], total, samples);
        const double level = find_main_level(bare, levels_lx, bare.trees[i].id);
        figures.reaches.push_back(
            make_reach("", bare.trees[i].id,
                       measure_crown(bare, *stage, bare.trees[i], samples, {level}).lit_to.front()));
    }
    return figures;
}

Workbench::Workbench(std::filesystem::path folder, WorkbenchOptions options)
    : folder_(std::move(folder)), options_(std::move(options)), maker_(folder_) {}
Workbench::~Workbench() = default;

Workbench::Theatre& Workbench::theatre_of(const Site& variant) {
    Site bare = without_fixtures(variant);
    const std::pair<glm::dvec2, glm::dvec2> bounds = plan_bounds(variant);
    for (const std::unique_ptr<Theatre>& known : theatres_)
        if (known->bounds == bounds && known->bare == bare)
            return *known;
    if (theatres_.size() == most_theatres)
        theatres_.erase(theatres_.begin());
    theatres_.push_back(
        std::make_unique<Theatre>(variant, std::move(bare), folder_, options_.levels_lx, options_.is_quick));
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
            while (to < last && &theatre_of(variants[to]) == &theatre)
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
            tbb::parallel_for(std::size_t{0}, casts.size(), [&](std::size_t i) {
                figures[from + i] = theatre.measure(variants[from + i], casts[i]);
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
