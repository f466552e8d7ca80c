// duskcast aim-sheet SITE --out FILE and duskcast night-check SITE READINGS --out DIR

#include <filesystem>
#include <fmt/format.h>
#include <memory>

#include "command.hpp"
#include "duskcast/app/aim_night.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"

namespace duskcast {

namespace {

struct AimOptions {
    std::string site, out, readings, background;
    SeasonOptions season;
    MeterTolerances tolerances;
    bool is_aged = false;
};

/// `on_points` is called before the light is traced, which takes its time.
std::unique_ptr<AimNight>
light_for_aiming(const AimOptions& options, ProgressLine& progress,
                 const std::function<void(const Site&, const std::vector<MeterPoint>&)>& on_points = {}) {
    progress.show("reading", 0);
    SiteFile site_file = read_site_file(options.site);
    apply_season(options.season, site_file);
    std::unique_ptr<AimNight> night;
    locate_errors(site_file, [&] {
        NightStart start;
        if (on_points)
            start.on_points = [&](const std::vector<MeterPoint>& points) {
                on_points(site_file.site, points);
            };
        night = light_night(site_file, options.is_aged, std::move(start),
                            [&](double share) { progress.show("lighting", share); });
    });
    return night;
}

int run_aim_sheet(const AimOptions& options) {
    ProgressLine progress;
    const std::unique_ptr<AimNight> night = light_for_aiming(options, progress);
    locate_errors(night->site_file, [&] {
        const AimSheet sheet = make_night_sheet(*night);
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
    Readings readings;
    const auto read_all = [&](const Site& site, const std::vector<MeterPoint>& points) {
        const double background = options.background.empty() ? 0 : name_option("--background", [&] {
            return read_illuminance(options.background, site.light);
        });
        readings =
            read_readings_file(path_in({}, options.readings), list_fixture_ids(site), points, background);
    };
    const std::unique_ptr<AimNight> night = light_for_aiming(options, progress, read_all);
    const NightCheck check = check_night(*night, std::move(readings), options.tolerances);
    progress.clear();
    for (const std::string& line : print_night(check))
        fmt::print("{}\n", line);
    if (options.out.empty())
        return status_done;
    const SiteFile as_read = read_site_file(options.site); // losses and seasons as the file has them
    OutputFolder folder(options.out, "night-check");
    folder.write("as-built.site.json", print_site(moved_to(make_as_built(as_read.site, check.fits),
                                                           as_read.folder(), path_in({}, options.out))));
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
