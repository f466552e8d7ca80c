#include "duskcast/app/session.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include "duskcast/base/files.hpp"
#include "duskcast/light/glow.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/variant.hpp"
#include "duskcast/view/see.hpp"

namespace duskcast {
namespace {

constexpr std::size_t most_spare = 24;       ///< Sights kept beyond those that are lit
constexpr std::size_t most_lamps_made = 200; ///< tables of lamps kept while a beam is being dragged

/// The site without what no facet and no sensor comes of.
Site built_part_of(const Site& site) {
    Site part = site;
    part.schema.clear();
    part.name.clear();
    part.levels.clear();
    part.units = LengthUnit::metre;
    part.light = LightUnit::lux;
    part.ambient = 0;
    part.catalogue_file.clear();
    part.catalogue = {};
    part.lamps.clear();
    part.fixtures.clear();
    part.targets.clear();
    part.views.clear();
    part.photos.clear();
    part.zone.reset();
    part.watch_points.clear();
    part.eyes.clear();
    part.variants.clear();
    part.network.reset();
    return part;
}

const Variant& find_variant(const Site& site, const std::string& id) {
    std::vector<std::string> known;
    for (const Variant& variant : site.variants) {
        if (variant.id == id)
            return variant;
        known.push_back(variant.id);
    }
    const std::string nearest = find_nearest_word(id, known);
    refuse("the site has no variant \"" + id + "\"",
           nearest.empty() ? "name one of those under \"variants\"" : "did you mean \"" + nearest + "\"?");
}

/// The site as it is looked at. What has to be said of its plants joins `warnings`.
Site make_looked_at(const SiteFile& file, const Look& look, const std::filesystem::path& folder,
                    SeasonChoice& plants, std::vector<Problem>& warnings) {
    plants = look.plants;
    Site made = file.site;
    if (!look.variant.empty()) {
        Variant variant = find_variant(file.site, look.variant);
        if (plants == SeasonChoice{})
            plants = variant.plants.value_or(plants);
        variant.plants.reset();
        made = make_variant(file.site, variant, folder);
    }
    if (plants != SeasonChoice{}) {
        const std::vector<Problem> said = season_warnings(made, plants.season, plants.years_on);
        warnings.insert(warnings.end(), said.begin(), said.end());
        made = in_season(made, plants.season, plants.years_on);
    }
    if (look == Look{})
        return made;
    std::vector<Problem> errors;
    for (const Problem& problem : check_site(made, folder))
        if (problem.severity == Severity::error)
            errors.push_back(problem);
    if (!errors.empty())
        throw InputError(errors);
    return made;
}

} // namespace

Session::Session(std::filesystem::path folder, std::string name)
    : folder_(std::move(folder)), name_(std::move(name)), maker_(folder_) {}

Outcome Session::change(std::string_view text, const Look& look) {
    try {
        return hold(read_site(text, path_in(folder_, name_)), look);
    } catch (const InputError& error) {
        return {.problems = error.problems()};
    }
}

std::optional<Session::Glance> Session::glance_at(std::string_view text, const Look& look) {
    try {
        const SiteFile file = read_site(text, path_in(folder_, name_));
        SeasonChoice plants;
        std::vector<Problem> warnings;
        Glance glance{.site = make_looked_at(file, look, folder_, plants, warnings), .fixtures = {}};
        if (!held_.stage || plan_bounds(glance.site) != held_.bounds ||
            !(built_part_of(glance.site) == held_.built))
            return std::nullopt;
        glance.fixtures = maker_.make_all(glance.site);
        return glance;
    } catch (const InputError&) {
        return std::nullopt; // what is wrong is told where the text is opened
    }
}

void Session::forget_files() {
    maker_ = FixtureMaker(folder_);
    held_.built = {}; // meshes and their textures may be others
    held_.layers.clear();
}

Outcome Session::begin(std::string_view text, const Look& look) {
    Outcome outcome;
    try {
        Held next{.file = read_site(text, path_in(folder_, name_)), .look = look};
        std::vector<Problem> warnings;
        build(next, warnings, outcome);
        next.lighting.stage = next.stage.get();
        spare_.clear();
        bounce_ = {};
        held_ = std::move(next);
    } catch (const InputError& error) {
        return {.problems = error.problems()};
    }
    outcome.is_accepted = true;
    is_settled_ = is_measured_ = false;
    return outcome;
}

Outcome Session::hold(SiteFile file, const Look& look) {
    Outcome outcome;
    Held next{.file = std::move(file), .look = look};
    try {
        std::vector<Problem> warnings;
        build(next, warnings, outcome);
        check_targets(next.site, *next.stage); // one that nothing answers to is refused, as by check
        light(next, outcome);
        outcome.problems = next.file.warnings;
        for (const std::vector<Problem>& more : {warnings, next.stage->warnings})
            for (const Problem& problem : next.file.locate(more))
                outcome.problems.push_back(problem);
    } catch (const InputError& error) {
        return {.problems = next.file.locate(error.problems())};
    }
    outcome.is_accepted = true;
    held_ = std::move(next);
    is_settled_ = is_measured_ = false;
    return outcome;
}

void Session::build(Held& next, std::vector<Problem>& warnings, Outcome& outcome) {
    next.site = make_looked_at(next.file, next.look, folder_, next.plants, warnings);
    next.built = built_part_of(next.site);
    next.bounds = plan_bounds(next.site);
    if (held_.stage && next.bounds == held_.bounds && next.built == held_.built) {
        next.stage = held_.stage;
        return;
    }
    next.stage = build_stage(next.site, folder_, BodySensors::shown);
    outcome.is_stage_new = true;
}

Sight Session::take_sight(const Stage& stage, const Lens& lens) {
    const auto spare =
        std::find_if(spare_.begin(), spare_.end(), [&](const Sight& sight) { return sight.lens == lens; });
    if (spare == spare_.end())
        return trace_sight(stage, lens);
    Sight sight = std::move(*spare);
    spare_.erase(spare);
    return sight;
}

void Session::light(Held& next, Outcome& outcome) {
    for (const Fixture& fixture : next.site.fixtures) {
        const Lamp* lamp = find_lamp(next.site, fixture.lamp);
        next.lamps.push_back(lamp ? *lamp : Lamp{});
    }
    if (next.lamps != held_.lamps && ++lamps_made_ > most_lamps_made) {
        maker_ = FixtureMaker(folder_);
        lamps_made_ = 0;
    }
    Lighting& lighting = next.lighting;
    lighting.fixtures = maker_.make_all(next.site); // the last that may be refused
    lighting.stage = next.stage.get();

    // From here on what is held goes over into what comes.
    if (outcome.is_stage_new) {
        spare_.clear();
        bounce_ = {};
        held_.lighting.sights.clear();
        held_.layers.clear();
    }
    std::vector<Sight>& old = held_.lighting.sights;
    const std::size_t old_count = held_.layers.size(); // of the same stage and files
    const std::size_t count = lighting.fixtures.size();
    lighting.sights.resize(count);
    next.layers.resize(count);
    std::vector<bool> is_taken(old.size());
    for (std::size_t i = 0; i < count; ++i) {
        const LitFixture& fixture = lighting.fixtures[i];
        std::size_t from = 0;
        while (from < old.size() && (is_taken[from] || old[from].lens != fixture.lens))
            ++from;
        if (from == old.size()) {
            lighting.sights[i] = take_sight(*next.stage, fixture.lens);
            continue;
        }
        is_taken[from] = true;
        lighting.sights[i] = std::move(old[from]);
        const LitFixture& before = held_.lighting.fixtures[from];
        if (from < old_count && before.aim == fixture.aim && before.scale == fixture.scale &&
            held_.lamps[from] == next.lamps[i] && held_.site.fixtures[from] == next.site.fixtures[i])
            next.layers[i] = std::move(held_.layers[from]);
    }
    for (std::size_t i = 0; i < old.size(); ++i)
        if (!is_taken[i])
            spare_.push_back(std::move(old[i]));
    if (spare_.size() > most_spare)
        spare_.erase(spare_.begin(), spare_.end() - most_spare);

    lighting.direct_lx.assign(next.stage->sensors.size(), 0.0);
    for (std::size_t i = 0; i < count; ++i) {
        if (next.layers[i].empty()) {
            next.layers[i] = fixture_layer(lighting, i);
            outcome.fixtures.push_back(lighting.fixtures[i].id);
        }
        const std::vector<float>& layer = next.layers[i];
        for (std::size_t s = 0; s < layer.size(); ++s)
            lighting.direct_lx[s] += static_cast<double>(layer[s]);
    }
    lighting.glow_lx = outcome.is_stage_new || !held_.is_lit
                           ? glow_on_sensors(*next.stage, next.stage->sensors)
                           : std::move(held_.lighting.glow_lx);
    for (std::size_t s = 0; s < lighting.glow_lx.size(); ++s)
        lighting.direct_lx[s] += lighting.glow_lx[s];
    next.is_lit = true;
}

void Session::settle(const Progress& progress) {
    if (is_settled_)
        return;
    const std::vector<LitFixture>& fixtures = held_.lighting.fixtures;
    update_bounce(*held_.stage, fixtures, held_.site.ambient, bounce_, progress);
    add_bounce(bounce_, held_.lighting);
    is_settled_ = true;
}

const Report& Session::measure(const Progress& progress) {
    settle(progress);
    if (!is_measured_) {
        report_ = measure_with_views(held_.site, folder_, *held_.stage, held_.lighting);
        report_.season = held_.plants;
        is_measured_ = true;
    }
    return report_;
}

} // namespace duskcast
