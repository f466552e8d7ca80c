// duskcast contribution SITE, duskcast tolerance SITE

#include <fmt/format.h>
#include <memory>

#include "duskcast/sheets/study_json.hpp"
#include "duskcast/sheets/study_words.hpp"
#include "study_command.hpp"

namespace duskcast {

namespace {

int run_contribution(const StudyOptions& options) {
    ProgressLine progress;
    progress.show("lighting", 0);
    StudySite study = read_study_site(options);
    locate_errors(study.file, [&] {
        Workbench bench(study.folder(), study.bench);
        const LitVariant lit = bench.light(study.site);
        const Contributions made = measure_contributions(study.site, *lit.stage, lit.lighting, lit.report);
        print_study(options, "contribution", print_contributions_json(study.site, made),
                    print_contributions(study.site, made), study, progress);
    });
    return status_done;
}

struct ToleranceOptions : StudyOptions {
    int samples = 256;
    std::uint64_t seed = 1;
    double tilt = 3, azimuth = 5, lumens = 10, voltage = 5, dirt = 10, leaf_density = 20;
    std::string setback = "2 in";
};

int run_tolerance(const ToleranceOptions& options) {
    ProgressLine progress;
    progress.show("reading", 0);
    StudySite study = read_study_site(options);
    locate_errors(study.file, [&] {
        Tolerances tolerances;
        tolerances.tilt = radians_from_degrees(options.tilt);
        tolerances.azimuth = radians_from_degrees(options.azimuth);
        tolerances.setback =
            name_option("--off-setback", [&] { return read_length(options.setback, study.site.units); });
        if (tolerances.setback < 0)
            throw InputError(Problem{.place = {.path = "--off-setback"},
                                     .what = fmt::format("\"{}\" is less than nothing", options.setback),
                                     .remedy = "give the length either way, such as 2 in"});
        tolerances.lumens = options.lumens / 100;
        tolerances.voltage = options.voltage / 100;
        tolerances.dirt = options.dirt / 100;
        tolerances.leaf_density = options.leaf_density / 100;
        const Focus focus =
            name_option("--target", [&] { return choose_focus(study.site, options.target, {}); });
        const ToleranceReport report = measure_tolerance(
            study.site, study.folder(), focus, tolerances, static_cast<std::size_t>(options.samples),
            options.seed, options.direct_only, [&](double share) { progress.show("trying", share); });
        std::vector<std::string> lines = print_tolerance(study.site, report);
        lines.push_back(print_tolerances(study.site, tolerances));
        print_study(options, "tolerance", print_tolerance_json(study.site, report), lines, study, progress);
    });
    return status_done;
}

} // namespace

void add_contribution_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "contribution",
        "Which fixture does what: its share of the light on each target, and what is lost without it");
    auto options = std::make_shared<StudyOptions>();
    add_study_options(*command, *options, "folder for contribution.json; without it only print");
    command->callback([options, &run] { run = [options] { return run_contribution(*options); }; });
}

void add_tolerance_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "tolerance", "How far the figures move when tilt, setback, lamps, dirt and leaves are a little off");
    auto options = std::make_shared<ToleranceOptions>();
    add_study_options(*command, *options, "folder for tolerance.json; without it only print");
    command->add_option("--samples", options->samples, "installations tried (Latin hypercube)")
        ->capture_default_str()
        ->check(in_range(8, 10000));
    command->add_option("--seed", options->seed, "of the random numbers")
        ->capture_default_str()
        ->check(in_range(0, 9007199254740992)); // whole numbers that a double holds
    const CLI::Validator percent = in_range(0, 90), degrees = in_range(0, 45);
    command->add_option("--off-tilt", options->tilt, "degrees either way")
        ->capture_default_str()
        ->check(degrees);
    command->add_option("--off-azimuth", options->azimuth, "degrees either way")
        ->capture_default_str()
        ->check(degrees);
    command->add_option("--off-setback", options->setback, "length either way")->capture_default_str();
    command->add_option("--off-lumens", options->lumens, "per cent either way")
        ->capture_default_str()
        ->check(percent);
    command
        ->add_option("--off-voltage", options->voltage,
                     "per cent either way, for lamps whose light follows it, such as halogen ones")
        ->capture_default_str()
        ->check(percent);
    command
        ->add_option("--off-dirt", options->dirt,
                     "per cent that dirt may take, more or less than the light-loss factors have it")
        ->capture_default_str()
        ->check(percent);
    command->add_option("--off-leaves", options->leaf_density, "per cent of leaf density either way")
        ->capture_default_str()
        ->check(percent);
    command->callback([options, &run] { run = [options] { return run_tolerance(*options); }; });
}

} // namespace duskcast
