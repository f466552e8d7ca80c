// duskcast aim-sheet SITE --out FILE and duskcast night-check SITE READINGS --out DIR

#include <filesystem>
#include <fmt/format.h>
#include <memory>

#include "command.hpp"
#include "duskcast/app/lamp_steps.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/base/version.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/sheets/aim_sheet.hpp"
#include "duskcast/sheets/night_words.hpp"
#include "duskcast/view/see.hpp"

namespace duskcast {

namespace {

namespace fs = std::filesystem;

struct AimOptions {
    std::string site, out, readings, background;
    SeasonOptions season;
    MeterTolerances tolerances;
    bool is_aged = false;
};

/// A site lit as it is on the night that it is aimed.
struct AimNight {
    SiteFile site_file;
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    std::optional<MeterModel> model;
    std::optional<LoadReport> load;
    std::string origin;
};

std::unique_ptr<AimNight> light_for_aiming(const AimOptions& options, ProgressLine& progress) {
    auto night = std::make_unique<AimNight>();
    progress.show("reading", 0);
    night->site_file = read_site_file(options.site);
    apply_season(options.season, night->site_file);
    Site& site = night->site_file.site;
    if (!options.is_aged)
        site.is_as_new = true; // what a meter shows on the first night
    const fs::path folder = night->site_file.folder();
    locate_errors(night->site_file, [&] {
        night->stage = build_stage(site, folder);
        progress.show("tracing", 0.1);
        night->lighting = trace_lighting(*night->stage, make_fixtures(site, folder));
        add_bounce(set_up_bounce(*night->stage, night->lighting.fixtures, site.ambient), night->lighting);
        progress.show("measuring", 0.5);
        night->model.emplace(night->lighting,
                             choose_meter_points(site, *night->stage, night->lighting.fixtures));
        if (site.network)
            night->load = measure_load(site, folder, {});
    });
    night->origin = fmt::format("Drawn by duskcast {} from {}, version {:016x}.", duskcast_version,
                                text_of(night->site_file.file.filename()), night->site_file.hash);
    return night;
}

int run_aim_sheet(const AimOptions& options) {
    ProgressLine progress;
    const std::unique_ptr<AimNight> night = light_for_aiming(options, progress);
    const Site& site = night->site_file.site;
    locate_errors(night->site_file, [&] {
        const Report report =
            measure_with_views(site, night->site_file.folder(), *night->stage, night->lighting);
        AimSheet sheet = make_aim_sheet(site, night->lighting, report, *night->model,
                                        find_usual_ranges(*night->model), night->load);
        sheet.origin = night->origin;
        sheet.version = fmt::format("{:016x}", night->site_file.hash);
        for (AimCard& card : sheet.cards) {
            const Fixture& fixture = site.fixtures[card.fixture];
            const fs::path folder = night->site_file.folder();
            if (const auto step = find_lamp_step(site, fixture, StepWay::brighter, folder))
                card.brighter = print_lamp_step(site, fixture, *step);
            if (const auto step = find_lamp_step(site, fixture, StepWay::dimmer, folder))
                card.dimmer = print_lamp_step(site, fixture, *step);
        }
        write_text_file(path_in({}, options.out), print_aim_sheet(sheet));
        progress.clear();
        print_problems(night->site_file.warnings);
        fmt::print("{}: {} fixtures, {} places to read light\n", options.out, sheet.cards.size(),
                   night->model->points().size());
    });
    return status_done;
}

int run_night_check(const AimOptions& options) {
    ProgressLine progress;
    const std::unique_ptr<AimNight> night = light_for_aiming(options, progress);
    const Site& site = night->site_file.site;
    std::vector<std::string> fixtures;
    for (const Fixture& fixture : site.fixtures)
        fixtures.push_back(fixture.id);
    const double background = options.background.empty() ? 0 : name_option("--background", [&] {
        return read_illuminance(options.background, site.light);
    });
    NightCheck check{.site = site,
                     .model = *night->model,
                     .readings = read_readings_file(path_in({}, options.readings), fixtures,
                                                    night->model->points(), background),
                     .load = night->load,
                     .tolerances = options.tolerances};
    check.fits = fit_fixtures(*night->model, check.readings.light, options.tolerances);
    progress.clear();
    for (const std::string& line : print_night(check))
        fmt::print("{}\n", line);
    if (options.out.empty())
        return status_done;
    SiteFile as_read = read_site_file(options.site); // losses and seasons as the file has them
    NightCheck kept{.site = as_read.site,
                    .model = *night->model,
                    .readings = check.readings,
                    .fits = check.fits,
                    .load = night->load};
    OutputFolder folder(options.out, "night-check");
    folder.write("as-built.site.json",
                 print_site(moved_to(make_as_built(kept), as_read.folder(), path_in({}, options.out))));
    folder.write("as-built.html", print_night_page(check, night->origin));
    folder.finish();
    for (const char* name : {"as-built.site.json", "as-built.html"})
        fmt::print("{}\n", text_of(path_in({}, options.out) / name));
    return status_done;
}

void add_aged_option(CLI::App& command, AimOptions& options) {
    add_season_options(command, options.season);
    command.add_flag("--aged", options.is_aged,
                     "expect the light of aged lamps behind lenses cleaned once a year; default as new");
}

} // namespace

void add_aim_sheet_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "aim-sheet",
        "Write the sheet to aim by at night, for a phone or on paper: what to set, what to read");
    auto options = std::make_shared<AimOptions>();
    command->add_option("SITE", options->site, "site file (NAME.site.json)")->required();
    command->add_option("--out", options->out, "file to write: tonight.html")->required();
    add_aged_option(*command, *options);
    command->callback([options, &run] { run = [options] { return run_aim_sheet(*options); }; });
}

void add_night_check_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "night-check",
        "Tell from a night's readings which lamps are dim and which heads are off, and by how much");
    auto options = std::make_shared<AimOptions>();
    command->add_option("SITE", options->site, "site file (NAME.site.json)")->required();
    command
        ->add_option("READINGS", options->readings,
                     "CSV with fixture, point, footcandles or lux, volts, as aim-sheet's page saves it")
        ->required();
    command->add_option("--out", options->out, "folder for as-built.site.json and as-built.html");
    command->add_option("--background", options->background,
                        "what the meter shows with the lights off, for example 0.01fc; default 0");
    command
        ->add_option_function<double>(
            "--meter", [options](double share) { options->tolerances.reading = share; },
            "what a reading is off by as a rule, share of it; default 0.05")
        ->check(in_range(0.001, 1));
    add_aged_option(*command, *options);
    command->callback([options, &run] { run = [options] { return run_night_check(*options); }; });
}

} // namespace duskcast
