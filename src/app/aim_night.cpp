#include "duskcast/app/aim_night.hpp"

#include <fmt/format.h>

#include "duskcast/app/lamp_steps.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/version.hpp"
#include "duskcast/view/see.hpp"

namespace duskcast {

std::unique_ptr<AimNight> light_night(SiteFile site_file, bool is_aged, NightStart start,
                                      const Progress& progress) {
    const auto tell = [&](double share) {
        if (progress)
            progress(share);
    };
    auto night = std::make_unique<AimNight>();
    night->site_file = std::move(site_file);
    Site& site = night->site_file.site;
    if (!is_aged)
        site.is_as_new = true;
    const std::filesystem::path folder = night->site_file.folder();
    night->stage = start.stage ? std::move(start.stage) : build_stage(site, folder);
    std::vector<LitFixture> fixtures = make_fixtures(site, folder);
    std::vector<MeterPoint> points = choose_meter_points(site, *night->stage, fixtures);
    if (start.on_points)
        start.on_points(points);
    tell(0.1);
    night->lighting = trace_all_light(*night->stage, std::move(fixtures), site.ambient, start.bounce);
    tell(0.5);
    night->model.emplace(night->lighting, std::move(points));
    if (site.network)
        night->load = measure_load(site, folder, {});
    night->origin = fmt::format("Drawn by duskcast {} from {}, version {:016x}.", duskcast_version,
                                text_of(night->site_file.file.filename()), night->site_file.hash);
    return night;
}

AimSheet make_night_sheet(const AimNight& night) {
    const Site& site = night.site_file.site;
    const std::filesystem::path folder = night.site_file.folder();
    const Report report = measure_with_views(site, folder, *night.stage, night.lighting);
    AimSheet sheet = make_aim_sheet(site, night.lighting, report, *night.model,
                                    find_usual_ranges(*night.model), night.load);
    sheet.origin = night.origin;
    sheet.version = fmt::format("{:016x}", night.site_file.hash);
    for (AimCard& card : sheet.cards) {
        const Fixture& fixture = site.fixtures[card.fixture];
        if (const auto step = find_lamp_step(site, fixture, StepWay::brighter, folder))
            card.brighter = print_lamp_step(site, fixture, *step);
        if (const auto step = find_lamp_step(site, fixture, StepWay::dimmer, folder))
            card.dimmer = print_lamp_step(site, fixture, *step);
    }
    return sheet;
}

std::vector<std::string> list_fixture_ids(const Site& site) {
    std::vector<std::string> ids;
    for (const Fixture& fixture : site.fixtures)
        ids.push_back(fixture.id);
    return ids;
}

NightCheck check_night(const AimNight& night, Readings readings, const MeterTolerances& tolerances) {
    NightCheck check{.site = night.site_file.site,
                     .model = *night.model,
                     .readings = std::move(readings),
                     .load = night.load,
                     .tolerances = tolerances};
    check.fits = fit_fixtures(*night.model, check.readings.light, tolerances);
    return check;
}

} // namespace duskcast
