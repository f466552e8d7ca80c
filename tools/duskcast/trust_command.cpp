// duskcast share SITE, duskcast trust SITE

#include <fmt/format.h>
#include <memory>

#include "duskcast/base/output_folder.hpp"
#include "duskcast/study/shares.hpp"
#include "duskcast/study/tolerance.hpp"
#include "study_command.hpp"

namespace duskcast {

namespace {

void print_result(const StudyOptions& options, const std::string& study_name, const std::string& json,
                  const std::vector<std::string>& lines, const StudySite& study, ProgressLine& progress) {
    if (!options.out.empty()) {
        OutputFolder folder(options.out, study_name);
        folder.write(study_name + ".json", json);
        folder.finish();
    }
    progress.clear();
    print_problems(study.file.warnings);
    if (options.json)
        fmt::print("{}", json);
    else
        for (const std::string& line : lines)
            fmt::print("{}\n", line);
}

int run_share(const StudyOptions& options) {
    ProgressLine progress;
    progress.show("lighting", 0);
    StudySite study = read_study_site(options);
    locate_errors(study.file, [&] {
        Workbench bench(study.folder(), study.bench);
        const LitVariant lit = bench.light(study.site);
        const Shares shares = measure_shares(study.site, *lit.stage, lit.lighting, lit.report);
        print_result(options, "share", print_shares_json(study.site, shares),
                     print_shares(study.site, shares), study, progress);
    });
    return status_done;
}

struct TrustOptions : StudyOptions {
    int samples = 256;
    std::uint64_t seed = 1;
    double tilt = 3, azimuth = 5, lumens = 10, voltage = 5, dirt = 10, leaf_density = 20;
    std::string setback = "2 in";
};

int run_trust(const TrustOptions& options) {
    ProgressLine progress;
    progress.show("reading", 0);
    StudySite study = read_study_site(options);
    locate_errors(study.file, [&] {
        Tolerances tolerances;
        tolerances.tilt = radians_from_degrees(options.tilt);
        tolerances.azimuth = radians_from_degrees(options.azimuth);
        tolerances.setback =
            name_option("--off-setback", [&] { return read_length(options.setback, study.site.units); });
        tolerances.lumens = options.lumens / 100;
        tolerances.voltage = options.voltage / 100;
        tolerances.dirt = options.dirt / 100;
        tolerances.leaf_density = options.leaf_density / 100;
        const Focus focus =
            name_option("--target", [&] { return choose_focus(study.site, options.target, {}); });
        const SpreadReport spread = measure_spread(
            study.site, study.folder(), focus, tolerances, static_cast<std::size_t>(options.samples),
            options.seed, options.direct_only, [&](double share) { progress.show("trying", share); });
        print_result(options, "trust", print_spread_json(study.site, spread),
                     print_spread(study.site, spread), study, progress);
    });
    return status_done;
}

} // namespace

void add_share_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "share", "Which fixture does what: its share of each target, and what is lost when it is off");
    auto options = std::make_shared<StudyOptions>();
    add_study_options(*command, *options, "folder for share.json; without it only print");
    command->callback([options, &run] { run = [options] { return run_share(*options); }; });
}

void add_trust_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "trust", "How sure the figures are when tilt, setback, lamps, dirt and leaves are a little off");
    auto options = std::make_shared<TrustOptions>();
    add_study_options(*command, *options, "folder for trust.json; without it only print");
    command->add_option("--samples", options->samples, "installations tried (Latin hypercube)")
        ->capture_default_str()
        ->check(CLI::Range(8, 10000));
    command->add_option("--seed", options->seed, "of the random numbers")->capture_default_str();
    const CLI::Range percent(0.0, 90.0), degrees(0.0, 45.0);
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
                     "per cent either way, for lamps that are not regulated")
        ->capture_default_str()
        ->check(percent);
    command->add_option("--off-dirt", options->dirt, "per cent that dirt may take")
        ->capture_default_str()
        ->check(percent);
    command->add_option("--off-leaves", options->leaf_density, "per cent of leaf density either way")
        ->capture_default_str()
        ->check(percent);
    command->callback([options, &run] { run = [options] { return run_trust(*options); }; });
}

} // namespace duskcast
