// duskcast sweep SITE, duskcast merge PARTS

#include <algorithm>
#include <fmt/format.h>
#include <memory>

#include "duskcast/base/files.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/study_pictures.hpp"
#include "duskcast/sheets/study_words.hpp"
#include "duskcast/sheets/sweep_file.hpp"
#include "study_command.hpp"

namespace duskcast {

namespace {

struct SweepOptions : StudyOptions {
    std::string fixtures;
    std::vector<std::string> ranges;
    std::string part;
};

/// The site as drawn and with each lamp that is swept: nothing else of a sweep changes what light is lost.
std::vector<NamedSite> list_lamps(const StudySite& study, const SweepPlan& plan, std::vector<Site>& swept) {
    std::vector<NamedSite> named{{"as drawn", &study.site}};
    const auto lamps = std::find_if(plan.ranges.begin(), plan.ranges.end(),
                                    [](const Range& range) { return range.knob == Knob::lamp; });
    if (lamps == plan.ranges.end())
        return named;
    const std::size_t stride = &*lamps == &plan.ranges.back() ? 1 : plan.ranges.back().values.size();
    for (std::size_t i = 0; i < lamps->values.size(); ++i)
        swept.push_back(make_swept(study.site, plan, i * stride, study.folder()));
    for (std::size_t i = 0; i < swept.size(); ++i)
        named.push_back({print_value(study.site, lamps->values[i]), &swept[i]});
    return named;
}

int run_sweep_command(const SweepOptions& options) {
    ProgressLine progress;
    progress.show("reading", 0);
    StudySite study = read_study_site(options);
    locate_errors(study.file, [&] {
        SweepPlan plan;
        plan.fixtures = read_ids(options.fixtures);
        name_option("--fixtures", [&] { return find_fixtures(study.site, plan.fixtures); });
        for (const std::string& text : options.ranges)
            plan.ranges.push_back(name_option("--vary", [&] { return read_range(text, study.site); }));
        plan.focus =
            name_option("--target", [&] { return choose_focus(study.site, options.target, plan.fixtures); });
        const Part part =
            options.part.empty() ? Part{} : name_option("--part", [&] { return read_part(options.part); });
        name_option("--part", [&] { check_part(part, plan); });
        Workbench bench(study.folder(), study.bench);
        const Sweep sweep = name_option("--vary", [&] {
            return run_sweep(study.site, bench, study.folder(), plan, part,
                             [&](double share) { progress.show("sweeping", share); });
        });
        const SweepFile file = make_sweep_file(study.site, sweep, part);
        const std::string json = print_sweep_json(file);
        if (!options.out.empty()) {
            OutputFolder folder(options.out, "sweep");
            folder.write("sweep.json", json);
            if (part.of == 1) {
                folder.write("sweep.csv", print_sweep_csv(file));
                draw_sweep_charts(study.site, sweep, folder);
                draw_sweep_sheet(study.site, study.folder(), sweep, bench, folder);
            }
            folder.finish();
        }
        progress.clear();
        print_problems(study.file.warnings);
        if (options.json)
            fmt::print("{}", json);
        else if (part.of > 1)
            fmt::print("Part {} of {}: {} of {} variants. Join the parts with duskcast merge.\n", part.number,
                       part.of, sweep.figures.size(), sweep.plan.size());
        else {
            fmt::print("{}\n", print_sweep_table(study.site, sweep));
            print_lines(print_findings(study.site, sweep));
            std::vector<Site> swept;
            fmt::print("{}\n", print_light_losses(list_lamps(study, sweep.plan, swept)));
        }
    });
    return status_done;
}

constexpr std::uintmax_t most_part_bytes = 1u << 30;

std::string read_part_text(const std::string& file) {
    WholeFile whole = read_whole_file(file, most_part_bytes);
    if (whole.fault != FileFault::none)
        throw InputError(Problem{.place = {.file = file},
                                 .what = whole.fault == FileFault::too_large
                                             ? "the file is larger than 1 GB"
                                             : fmt::format("the file cannot be read: {}", whole.reason),
                                 .remedy = "give the sweep.json of every part"});
    return std::move(whole.bytes);
}

int run_merge(const std::vector<std::string>& files, const std::string& out) {
    std::vector<NamedSweepPart> parts;
    for (const std::string& file : files)
        parts.push_back({file, read_sweep_part(file, read_part_text(file))});
    const SweepFile whole = merge_sweeps(std::move(parts));
    OutputFolder folder(out, "sweep");
    folder.write("sweep.json", print_sweep_json(whole));
    folder.write("sweep.csv", print_sweep_csv(whole));
    folder.finish();
    return status_done;
}

} // namespace

void add_sweep_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "sweep",
        "Vary one or two settings of fixtures: reach, coverage, uniformity, hot spot and spill of each");
    auto options = std::make_shared<SweepOptions>();
    add_study_options(*command, *options,
                      "folder for sweep.json, sweep.csv, curves and a contact sheet; without it only print");
    command->add_option("--fixtures", options->fixtures, "ids, comma between; default all");
    command
        ->add_option(
            "--vary", options->ranges,
            "tilt=0..30:1, setback=6in..30in:2in, lamp=led-4w-24,led-5w-24; also beam, azimuth, turn, "
            "along, bearing, lens_height, dimming, spacing; give one or two")
        ->required();
    command->add_option("--part", options->part,
                        "K/N: only the K-th of N equal parts, to be joined by duskcast merge; no pictures");
    command->callback([options, &run] { run = [options] { return run_sweep_command(*options); }; });
}

void add_merge_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand("merge", "Join the parts of a sweep to what a single run writes");
    auto files = std::make_shared<std::vector<std::string>>();
    auto out = std::make_shared<std::string>();
    command->add_option("PARTS", *files, "sweep.json of every part, in any order")->required();
    command->add_option("--out", *out, "folder for sweep.json and sweep.csv")->required();
    command->callback([files, out, &run] { run = [files, out] { return run_merge(*files, *out); }; });
}

} // namespace duskcast
