#include "duskcast/sheets/summary.hpp"

#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <nlohmann/json.hpp>

#include "duskcast/base/json_object.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/base/version.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/stray_words.hpp"

namespace duskcast {

namespace {

using Json = nlohmann::ordered_json;

/// Six significant digits: more than any lamp is known to, and short to read. JSON has no infinities.
Json tidy(double value) {
    if (!std::isfinite(value))
        return nullptr;
    read_decimal(fmt::format("{:.6g}", value), value);
    return value;
}

Json print_point(const glm::dvec3& point) {
    return Json::array({tidy(point.x), tidy(point.y), tidy(point.z)});
}

Json print_coverage(const std::vector<LevelShare>& coverage) {
    Json rows = Json::array();
    for (const LevelShare& row : coverage)
        rows.push_back(json_object({{"level_lx", tidy(row.level_lx)}, {"share", tidy(row.share)}}));
    return rows;
}

Json print_stretches(const std::vector<Stretch>& stretches) {
    Json rows = Json::array();
    for (const Stretch& stretch : stretches)
        rows.push_back({tidy(stretch.from), tidy(stretch.to)});
    return rows;
}

Json print_reaches(const std::vector<Reach>& reaches) {
    Json rows = Json::array();
    for (const Reach& reach : reaches)
        rows.push_back(json_object({{"level_lx", tidy(reach.level_lx)},
                                    {"height_m", reach.height ? tidy(*reach.height) : Json(nullptr)},
                                    {"top_m", tidy(reach.wall_height)},
                                    {"to_top", reach.is_to_top},
                                    {"sill_of", reach.sill_of},
                                    {"stretches_m", print_stretches(reach.stretches)}}));
    return rows;
}

Json print_ratio(const std::optional<double>& ratio) {
    return ratio ? tidy(*ratio) : Json(nullptr);
}

Json print_surface(const Surface& surface, const SurfaceReport& report) {
    const Stats& stats = report.stats;
    return json_object({{"id", surface.id},
                        {"kind", name_of(surface.kind)},
                        {"area_m2", tidy(surface.area)},
                        {"sensors", surface.count},
                        {"min_lx", tidy(stats.min_lx)},
                        {"mean_lx", tidy(stats.mean_lx)},
                        {"max_lx", tidy(stats.max_lx)},
                        {"mean_to_min", print_ratio(stats.mean_to_min)},
                        {"max_to_min", print_ratio(stats.max_to_min)},
                        {"hot_spot", json_object({{"position_m", print_point(stats.hot_spot.position)},
                                                  {"max_to_mean", tidy(stats.hot_spot.over_mean)}})},
                        {"coverage", print_coverage(stats.coverage)},
                        {"direct", json_object({{"min_lx", tidy(report.direct.min_lx)},
                                                {"mean_lx", tidy(report.direct.mean_lx)},
                                                {"max_lx", tidy(report.direct.max_lx)},
                                                {"coverage", print_coverage(report.direct.coverage)}})},
                        {"bounced", json_object({{"mean_lx", tidy(report.bounced_lx)}})},
                        {"reach", print_reaches(report.best_reach)}});
}

Json print_fixtures(const SiteFile& site_file, const Lighting& lighting) {
    Json rows = Json::array();
    for (std::size_t i = 0; i < lighting.fixtures.size(); ++i) {
        const LitFixture& lit = lighting.fixtures[i];
        const Fixture& fixture = site_file.site.fixtures[i];
        rows.push_back(json_object({{"id", lit.id},
                                    {"lamp", fixture.lamp},
                                    {"lumens", tidy(lit.lumens)},
                                    {"watts", tidy(lit.watts)},
                                    {"light_loss", json_object({{"tolerance", tidy(lit.loss.tolerance)},
                                                                {"depreciation", tidy(lit.loss.depreciation)},
                                                                {"dirt", tidy(lit.loss.dirt)},
                                                                {"own", tidy(lit.loss.own)},
                                                                {"total", tidy(lit.loss.total())}})},
                                    {"position_m", print_point(glm::dvec3(lit.lens.centre))},
                                    {"tilt_deg", tidy(degrees_from_radians(lit.aim.tilt))},
                                    {"azimuth_deg", tidy(degrees_from_radians(lit.aim.azimuth))}}));
    }
    return rows;
}

Json print_trees(const std::vector<TreeReport>& trees) {
    Json rows = Json::array();
    for (const TreeReport& tree : trees) {
        Json bands = Json::array();
        for (const TreeBand& band : tree.bands)
            bands.push_back(json_object({{"from_m", tidy(band.from)},
                                         {"to_m", tidy(band.to)},
                                         {"leaf_area_m2", tidy(band.leaf_area)},
                                         {"mean_lx", tidy(band.mean_lx)},
                                         {"lit", print_coverage(band.lit)}}));
        rows.push_back(json_object({{"id", tree.tree},
                                    {"seen_from", name_of(tree.from)},
                                    {"bands", bands},
                                    {"lit_to", print_reaches(tree.lit_to)}}));
    }
    return rows;
}

Json print_better_lamp(const std::optional<HigherReach>& better) {
    return better ? json_object({{"lamp", better->lamp}, {"reach", print_reaches({better->reach})}})
                  : Json(nullptr);
}

Json print_better_lamp(const std::optional<MoreCoverage>& better) {
    return better ? json_object({{"fixture", better->fixture},
                                 {"lamp", better->lamp},
                                 {"coverage", tidy(better->share)},
                                 {"reached", better->is_reached}})
                  : Json(nullptr);
}

Json print_seen_features(const Report& report) {
    Json features = Json::array();
    for (const SeenFeature& seen : report.seen) {
        Json row{{seen.is_tree ? "tree" : "target", seen.feature},
                 {"seen_from", name_of(seen.from)},
                 {"sighting", name_of(seen.sighting)},
                 {"mean_cd_m2", tidy(seen.luminance)},
                 {"background_cd_m2", tidy(seen.background)},
                 {"lit_from_cd_m2", tidy(seen.needed)}};
        if (seen.is_upright) {
            row["seen_to_m"] = tidy(seen.seen_to);
            row["lit_m"] = print_stretches(seen.lit.all);
            row["faint_m"] = print_stretches(seen.faint.all);
        }
        features.push_back(row);
    }
    return json_object({{"lit_luminance_cd_m2", tidy(report.lit_luminance)}, {"features", features}});
}

Json print_limit(const std::optional<StrayLimit>& limit) {
    return limit ? json_object({{"value", tidy(limit->value)}, {"source", name_of(limit->source)}})
                 : Json(nullptr);
}

Json print_glows(const std::vector<GlowReport>& glows) {
    Json rows = Json::array();
    for (const GlowReport& glow : glows)
        rows.push_back(json_object({{"id", glow.id},
                                    {"kind", name_of(glow.kind)},
                                    {"area_m2", tidy(glow.area)},
                                    {"luminance_cd_m2", tidy(glow.luminance)},
                                    {"lumens", tidy(glow.lumens)},
                                    {"target_lm", tidy(glow.target_lm)},
                                    {"other_lm", tidy(glow.other_lm)},
                                    {"ground_lm", tidy(glow.ground_lm)},
                                    {"sky_lm", tidy(glow.sky_lm)}}));
    return rows;
}

Json print_stray_json(const StrayReport& stray) {
    Json watched = Json::array();
    for (const WatchReport& watch : stray.watch_points) {
        watched.push_back(json_object({{"id", watch.id},
                                       {"kind", name_of(watch.kind)},
                                       {"position_m", print_point(watch.position)},
                                       {"facing_deg", tidy(degrees_from_radians(watch.facing))},
                                       {"facing_is_worst", watch.is_worst},
                                       {"direct_lx", tidy(watch.direct_lx)},
                                       {"bounced_lx", tidy(watch.bounced_lx)},
                                       {"total_lx", tidy(watch.direct_lx + watch.bounced_lx)},
                                       {"most_from", watch.most_from},
                                       {"most_lx", tidy(watch.most_lx)}}));
        if (watch.glow_lx > 0)
            watched.back()["glow_lx"] = tidy(watch.glow_lx);
    }
    Json eyes = Json::array();
    for (const FixtureInView& eye : stray.fixtures_in_view)
        eyes.push_back(json_object(
            {{"eye", eye.eye},
             {"fixture", eye.fixture},
             {"distance_m", tidy(eye.distance)},
             {"visible_share", tidy(eye.visible_share)},
             {"candela", tidy(eye.candela)},
             {"off_sight_deg", eye.off_sight ? tidy(degrees_from_radians(*eye.off_sight)) : Json(nullptr)}}));
    return json_object(
        {{"zone", stray.zone ? Json(name_of(*stray.zone)) : Json(nullptr)},
         {"note", stray_note},
         {"limits", json_object({{"vertical_before_curfew_lx", print_limit(stray.limits.vertical_lx)},
                                 {"vertical_after_curfew_lx", print_limit(stray.limits.late_vertical_lx)},
                                 {"before_curfew_cd", print_limit(stray.limits.candela)},
                                 {"after_curfew_cd", print_limit(stray.limits.late_candela)},
                                 {"upward_share", print_limit(stray.limits.upward_share)}})},
         {"watch_points", watched},
         {"eyes", eyes},
         {"upward_share", tidy(stray.upward_share)},
         {"sky_share", tidy(stray.sky_share)}});
}

Json print_warnings(const SiteFile& site_file, const Stage& stage) {
    Json rows = Json::array();
    for (const std::vector<Problem>* problems : {&site_file.warnings, &stage.warnings})
        for (const Problem& problem : *problems)
            rows.push_back(print_problem(problem));
    return rows;
}

/// A surface's sensors as people read: row by row where it has a grid, whatever the order in memory.
std::vector<std::uint32_t> list_row_by_row(const Surface& surface) {
    std::vector<std::uint32_t> order;
    for (const std::int32_t sensor : surface.grid.sensor)
        if (sensor >= 0)
            order.push_back(static_cast<std::uint32_t>(sensor));
    if (!surface.has_grid())
        for (std::uint32_t i = 0; i < surface.count; ++i)
            order.push_back(surface.first + i);
    return order;
}

} // namespace

std::string print_summary(const SiteFile& site_file, const Stage& stage, const Lighting& lighting,
                          const Report& report, const std::vector<Agreement>& agreements) {
    std::uint64_t rays = 0;
    for (const Sight& sight : lighting.sights)
        rays += sight.rays;
    Json summary;
    summary["site"] = site_file.site.name;
    summary["units"] = json_object({{"length", "m"},
                                    {"light", "lx"},
                                    {"shown_length", name_of(site_file.site.units)},
                                    {"shown_light", name_of(site_file.site.light)}});
    summary["made_by"] =
        json_object({{"duskcast", duskcast_version},
                     {"site_fnv1a", fmt::format("{:016x}", site_file.hash)},
                     {"sensors", stage.sensors.size()},
                     {"facets", stage.opaque.size() + stage.cutouts.size() + stage.leaves.size()},
                     {"sight_rays", rays}});
    summary["season"] =
        json_object({{"plants", name_of(report.season.season)}, {"years_on", tidy(report.season.years_on)}});
    summary["fixtures"] = print_fixtures(site_file, lighting);
    summary["surfaces"] = Json::array();
    for (const SurfaceReport& surface : report.surfaces)
        summary["surfaces"].push_back(print_surface(stage.surfaces[surface.surface], surface));
    summary["fixture_reach"] = Json::array();
    for (const FixtureReach& reach : report.reaches)
        summary["fixture_reach"].push_back(json_object({{"fixture", reach.fixture},
                                                        {"surface", reach.surface},
                                                        {"along_m", tidy(reach.along)},
                                                        {"gable", reach.gable},
                                                        {"reach", print_reaches(reach.levels)},
                                                        {"reach_together", print_reaches(reach.together)},
                                                        {"level_lx", tidy(reach.level_lx)},
                                                        {"goal_m", tidy(reach.goal)},
                                                        {"target", reach.target},
                                                        {"better_lamp", print_better_lamp(reach.better)}}));
    summary["fixture_purpose"] = Json::array();
    for (const FixturePurpose& purpose : report.purposes)
        summary["fixture_purpose"].push_back(json_object({{"fixture", purpose.fixture},
                                                          {"on", purpose.on},
                                                          {"target", purpose.target},
                                                          {"share", tidy(purpose.share)},
                                                          {"mean_lx", tidy(purpose.mean_lx)}}));
    summary["trees"] = print_trees(report.trees);
    summary["targets"] = Json::array();
    for (const TargetReport& target : report.targets)
        summary["targets"].push_back(json_object({{"id", target.id},
                                                  {"on", target.on},
                                                  {"level_lx", tidy(target.level_lx)},
                                                  {"wanted_share", tidy(target.wanted_share)},
                                                  {"mean_lx", tidy(target.stats.mean_lx)},
                                                  {"coverage", tidy(target.share)},
                                                  {"direct_mean_lx", tidy(target.direct_lx)},
                                                  {"direct_coverage", tidy(target.direct_share)},
                                                  {"reached", target.is_reached},
                                                  {"better_lamp", print_better_lamp(target.better)}}));
    summary["seen"] = print_seen_features(report);
    summary["spill"] = json_object({{"emitted_lm", tidy(report.spill.emitted_lm)},
                                    {"target_lm", tidy(report.spill.target_lm)},
                                    {"other_lm", tidy(report.spill.other_lm)},
                                    {"ground_lm", tidy(report.spill.ground_lm)},
                                    {"sky_lm", tidy(report.spill.sky_lm)},
                                    {"sky_bounced_lm", tidy(report.spill.sky_bounced_lm)}});
    if (!report.glows.empty())
        summary["glows"] = print_glows(report.glows);
    const EnergyBalance& energy = lighting.energy;
    summary["bounced"] = json_object({{"emitted_lm", tidy(energy.emitted)},
                                      {"absorbed_lm", tidy(energy.absorbed)},
                                      {"sky_lm", tidy(energy.sky)},
                                      {"beyond_lm", tidy(energy.lost)}});
    if (report.stray)
        summary["stray"] = print_stray_json(*report.stray);
    for (const Agreement& row : agreements)
        summary["reference"].push_back(json_object({{"surface", stage.surfaces[row.surface].id},
                                                    {"sensors", row.sensors},
                                                    {"mean_lx", tidy(row.total_lx)},
                                                    {"reference_lx", tidy(row.reference_lx)},
                                                    {"standard_error_lx", tidy(row.standard_error_lx)},
                                                    {"agreeing", tidy(row.agreeing)},
                                                    {"mean_difference_se", tidy(row.mean_difference_se)},
                                                    {"rms_difference_se", tidy(row.rms_difference_se)}}));
    summary["answers"] = Json::array();
    for (const Sentence& answer : print_answers(site_file.site, report))
        summary["answers"].push_back(answer.text);
    summary["warnings"] = print_warnings(site_file, stage);
    // Names from OBJ files and paths need not be UTF-8.
    return summary.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string print_map(const Stage& stage, const Lighting& lighting, const Surface& surface) {
    std::string text = "x_m,y_m,z_m,nx,ny,nz,area_m2,direct_lx,bounced_lx,total_lx\n";
    const Sensors& sensors = stage.sensors;
    for (const std::uint32_t i : list_row_by_row(surface)) {
        const double direct = lighting.direct_lx[i];
        const double bounced = lighting.bounced_lx.empty() ? 0.0 : lighting.bounced_lx[i];
        fmt::format_to(std::back_inserter(text),
                       "{:.4f},{:.4f},{:.4f},{:.5g},{:.5g},{:.5g},{:.6g},{:.6g},{:.6g},{:.6g}\n",
                       sensors.x[i], sensors.y[i], sensors.z[i], sensors.nx[i], sensors.ny[i], sensors.nz[i],
                       sensors.area[i], direct, bounced, direct + bounced);
    }
    return text;
}

std::string print_reference_map(const Stage& stage, std::span<const ReferenceLight> reference,
                                const Surface& surface) {
    std::string text = "x_m,y_m,z_m,direct_lx,bounced_lx,total_lx,standard_error_lx\n";
    for (const ReferenceLight& light : reference)
        if (light.sensor >= surface.first && light.sensor < surface.first + surface.count)
            fmt::format_to(std::back_inserter(text), "{:.4f},{:.4f},{:.4f},{:.6g},{:.6g},{:.6g},{:.3g}\n",
                           stage.sensors.x[light.sensor], stage.sensors.y[light.sensor],
                           stage.sensors.z[light.sensor], light.direct_lx, light.bounced_lx,
                           light.direct_lx + light.bounced_lx, light.standard_error_lx);
    return text;
}

} // namespace duskcast
