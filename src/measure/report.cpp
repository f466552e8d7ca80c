#include "duskcast/measure/report.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "duskcast/base/parallel.hpp"

namespace duskcast {

namespace {

SurfaceReport report_surface(const Stage& stage, int index, const std::vector<double>& lux,
                             const std::vector<double>& direct_lx, const std::vector<double>& levels_lx) {
    const Surface& surface = stage.surfaces[index];
    SurfaceReport report{.surface = index};
    const std::vector<std::uint32_t> sensors = sensors_of(surface);
    report.stats = measure_stats(stage, collect_samples(stage, lux, sensors), levels_lx);
    report.direct = measure_stats(stage, collect_samples(stage, direct_lx, sensors), levels_lx);
    report.bounced_lx = measure_mean(stage, lux, sensors) - measure_mean(stage, direct_lx, sensors);
    if (surface.is_upright() && surface.has_grid()) {
        report.best_reach = measure_best_reach(surface, lux, levels_lx);
        report.stats.hot_spot.unfolded = surface.unfold(report.stats.hot_spot.position);
    } else if (surface.kind == SurfaceKind::ground) {
        report.stats.hot_spot.unfolded = glm::dvec2(report.stats.hot_spot.position);
    }
    return report;
}

std::string gable_at(const Site& site, const Surface& surface, double along) {
    if (surface.id == surface.part_of)
        if (const Wall* wall = find_wall(site, surface.id))
            for (const Gable& gable : wall->gables)
                if (along >= gable.from && along <= gable.from + gable.width)
                    return gable.id;
    return "";
}

/// The highest of the targets on the line; without any the surface's upper edge.
void find_goal(const Site& site, const std::vector<Region>& regions, int surface,
               const std::vector<double>& levels_lx, FixtureReach& reach) {
    const double upper_edge = reach.together.front().wall_height;
    for (const Region& region : regions) {
        const std::optional<double> top = region.top_on_line(surface, reach.along, upper_edge);
        if (top && *top > reach.goal) {
            reach.goal = *top;
            reach.target = region.target->id;
            reach.level_lx = region.target->level;
        }
    }
    if (reach.target.empty()) {
        reach.goal = upper_edge;
        reach.level_lx = find_main_level(site, levels_lx, reach.surface);
    }
}

FixtureReach report_reach(const Site& site, const Surface& surface, const LitFixture& fixture, double along,
                          const std::vector<double>& own_lx, const std::vector<double>& total_lx,
                          const std::vector<double>& levels_lx) {
    return {.fixture = fixture.id,
            .surface = surface.id,
            .along = along,
            .gable = gable_at(site, surface, along),
            .levels = measure_line_reach(site, surface, own_lx, along, levels_lx),
            .together = measure_line_reach(site, surface, total_lx, along, levels_lx)};
}

constexpr double least_share = 0.02;   ///< of a fixture's lumens, on what it is for
constexpr auto open_ground = "ground"; ///< the surface outside of every area

/// Lumens and area of some sensors.
struct Landed {
    double lumens = 0, area = 0;

    void add(const Stage& stage, const std::vector<double>& lux, std::uint32_t sensor) {
        lumens += lux[sensor] * static_cast<double>(stage.sensors.area[sensor]);
        area += stage.sensors.area[sensor];
    }
};

FixturePurpose find_purpose(const Site& site, const Stage& stage, std::size_t index,
                            const LitFixture& fixture, const std::vector<double>& own_lx,
                            const std::vector<Region>& regions) {
    std::map<std::string, Landed> on_things; // by id of the whole, so that ties are always broken alike
    std::set<std::string> plants;
    for (const Surface& surface : stage.surfaces) {
        Landed& landed = on_things[surface.part_of];
        for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i)
            landed.add(stage, own_lx, i);
        if (surface.kind == SurfaceKind::tree || surface.kind == SurfaceKind::shrub)
            plants.insert(surface.part_of);
    }
    FixturePurpose purpose{.fixture = fixture.id};
    Landed most;
    for (const auto& [id, landed] : on_things)
        if (id != open_ground && landed.lumens > most.lumens) {
            purpose.on = id;
            most = landed;
        }
    const auto open = on_things.find(open_ground);
    if (open != on_things.end() && open->second.lumens > 3 * most.lumens) {
        purpose.on = open_ground;
        most = open->second;
    }
    if (index < site.fixtures.size() && is_uplight(site.fixtures[index].kind))
        if (const auto tree = on_things.find(site.fixtures[index].tree); tree != on_things.end()) {
            purpose.on = tree->first;
            most = tree->second;
        }
    Landed most_on_target;
    std::string target_on;
    // A path light stands in a border beside its way, which gets less of it than the border.
    const bool is_path = index < site.fixtures.size() && site.fixtures[index].kind == FixtureKind::path;
    const double enough = most.lumens / (is_path ? 4 : 2);
    for (const Region& region : regions) {
        const std::string& on = stage.surfaces[static_cast<std::size_t>(region.surfaces.front())].part_of;
        Landed landed;
        for (const std::uint32_t sensor : region.sensors)
            landed.add(stage, own_lx, sensor);
        const bool may_be = on == purpose.on || (!plants.contains(purpose.on) && landed.lumens > enough);
        if (may_be && landed.lumens > most_on_target.lumens) {
            most_on_target = landed;
            purpose.target = region.target->id;
            target_on = on;
        }
    }
    if (!purpose.target.empty()) {
        purpose.on = target_on;
        most = most_on_target;
    }
    if (most.lumens < least_share * fixture.lumens)
        return {.fixture = fixture.id}; // it lights what has no sensors, such as a roof or a column
    purpose.share = fixture.lumens > 0 ? std::min(most.lumens / fixture.lumens, 1.0) : 0;
    purpose.mean_lx = most.area > 0 ? most.lumens / most.area : 0;
    return purpose;
}

void report_fixtures(const Site& site, const Stage& stage, const Lighting& lighting,
                     const std::vector<Region>& regions, Report& report) {
    for (std::size_t i = 0; i < lighting.fixtures.size(); ++i) {
        const LitFixture& fixture = lighting.fixtures[i];
        const std::vector<float> layer = fixture_layer(lighting, i);
        const std::vector<double> own_lx(layer.begin(), layer.end());
        report.purposes.push_back(find_purpose(site, stage, i, fixture, own_lx, regions));
        const bool may_have_line = i >= site.fixtures.size() || has_line(site.fixtures[i]);
        const std::optional<AimLine> line = may_have_line ? find_aim_line(stage, fixture) : std::nullopt;
        if (!line)
            continue;
        report.reaches.push_back(report_reach(site, stage.surfaces[line->surface], fixture, line->along,
                                              own_lx, report.total_lx, report.levels_lx));
        find_goal(site, regions, line->surface, report.levels_lx, report.reaches.back());
    }
}

} // namespace

bool has_line(const Fixture& fixture) {
    return fixture.kind != FixtureKind::path && fixture.kind != FixtureKind::downlight &&
           fixture.tree.empty();
}

std::vector<double> join_levels(std::vector<double> levels_lx, const Site& site) {
    if (levels_lx.empty())
        levels_lx = site.levels;
    if (levels_lx.empty())
        for (const double footcandles : {0.5, 1.0, 2.0, 5.0})
            levels_lx.push_back(footcandles * lux_per_footcandle);
    for (const Target& target : site.targets)
        levels_lx.push_back(target.level);
    std::sort(levels_lx.begin(), levels_lx.end());
    const auto alike = [](double a, double b) { return b - a < 1e-9 * b; };
    levels_lx.erase(std::unique(levels_lx.begin(), levels_lx.end(), alike), levels_lx.end());
    return levels_lx;
}

double find_main_level(const Site& site, const std::vector<double>& levels_lx, const std::string& surface) {
    for (const Target& target : site.targets)
        if (surface == target.on || surface.starts_with(target.on + "."))
            return target.level;
    for (const double level : levels_lx)
        if (level > 0.99 * lux_per_footcandle)
            return level;
    return levels_lx.empty() ? lux_per_footcandle : levels_lx.back();
}

Report measure_report(const Site& site, const Stage& stage, const Lighting& lighting,
                      std::vector<double> levels_lx, const PlacesOf& places_of) {
    Report report;
    report.levels_lx = join_levels(std::move(levels_lx), site);
    report.total_lx = lighting.direct_lx;
    for (std::size_t i = 0; i < lighting.bounced_lx.size(); ++i)
        report.total_lx[i] += lighting.bounced_lx[i];
    const std::vector<double>& total_lx = report.total_lx;
    for (std::size_t i = 0; i < stage.surfaces.size(); ++i)
        if (stage.surfaces[i].count > 0)
            report.surfaces.push_back(
                report_surface(stage, static_cast<int>(i), total_lx, lighting.direct_lx, report.levels_lx));
    const std::vector<Region> regions = find_regions(site, stage);
    report_fixtures(site, stage, lighting, regions, report);
    report.trees = measure_trees(site, stage, total_lx, report.levels_lx);
    for (const Region& region : regions)
        report.targets.push_back(measure_target(region, total_lx, lighting.direct_lx, report.levels_lx));
    std::vector<Spill> spills(lighting.fixtures.size());
    const auto spill = [&](std::size_t i) {
        const LitFixture& fixture = lighting.fixtures[i];
        add_spill(stage, regions,
                  places_of ? places_of(fixture.lens) : find_places(stage, fixture.lens, regions), fixture,
                  spills[i]);
    };
    if (places_of)
        for (std::size_t i = 0; i < spills.size(); ++i)
            spill(i);
    else
        parallel_for(spills.size(), spill);
    for (const Spill& one : spills)
        report.spill.add(one);
    report.glows = measure_glow(stage, regions);
    report.spill.sky_bounced_lm =
        lighting.energy.sky - lighting.energy.sky_direct - lighting.energy.sky_steady;
    if (asks_for_stray(site)) {
        std::vector<double> bounced_lx;
        if (lighting.bounced_on_planes)
            bounced_lx = lighting.bounced_on_planes(make_watch_planes(site).sensors);
        report.stray = measure_stray(site, stage, lighting, report.spill, bounced_lx);
    }
    return report;
}

} // namespace duskcast
