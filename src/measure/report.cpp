#include "duskcast/measure/report.hpp"

#include <algorithm>
#include <cmath>

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

std::vector<FixtureReach> report_reaches(const Site& site, const Stage& stage, const Lighting& lighting,
                                         const std::vector<double>& total_lx,
                                         const std::vector<double>& levels_lx) {
    std::vector<FixtureReach> reaches;
    for (std::size_t i = 0; i < lighting.fixtures.size(); ++i) {
        if (i < site.fixtures.size() && !has_line(site.fixtures[i]))
            continue;
        const std::optional<AimLine> line = find_aim_line(stage, lighting.fixtures[i]);
        if (!line)
            continue;
        const Surface& surface = stage.surfaces[line->surface];
        const std::vector<float> layer = fixture_layer(lighting, i);
        const std::vector<double> own_lx(layer.begin(), layer.end());
        reaches.push_back({.fixture = lighting.fixtures[i].id,
                           .surface = surface.id,
                           .along = line->along,
                           .gable = gable_at(site, surface, line->along),
                           .levels = measure_line_reach(site, surface, own_lx, line->along, levels_lx),
                           .together = measure_line_reach(site, surface, total_lx, line->along, levels_lx)});
    }
    return reaches;
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
                      std::vector<double> levels_lx) {
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
    report.reaches = report_reaches(site, stage, lighting, total_lx, report.levels_lx);
    report.trees = measure_trees(site, stage, total_lx, report.levels_lx);
    const std::vector<Region> regions = find_regions(site, stage);
    for (const Region& region : regions)
        report.targets.push_back(measure_target(region, total_lx, lighting.direct_lx, report.levels_lx));
    for (const LitFixture& fixture : lighting.fixtures)
        add_spill(find_places(stage, fixture.lens, regions), fixture, report.spill);
    report.spill.sky_bounced_lm =
        lighting.energy.sky - lighting.energy.sky_direct - lighting.energy.sky_ambient;
    if (asks_for_stray(site)) {
        std::vector<double> bounced_lx;
        if (lighting.bounced_on_planes)
            bounced_lx = lighting.bounced_on_planes(make_watch_planes(site).sensors);
        report.stray = measure_stray(site, stage, lighting, report.spill, bounced_lx);
    }
    return report;
}

} // namespace duskcast
