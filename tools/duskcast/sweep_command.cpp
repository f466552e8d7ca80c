// duskcast sweep SITE, duskcast merge PARTS

#include <fmt/format.h>
#include <memory>

#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/study/sweep.hpp"
#include "study_command.hpp"
#include "study_pictures.hpp"

namespace duskcast {

namespace {

struct SweepOptions : StudyOptions {
    std::string fixtures;
    std::vector<std::string> ranges;
    std::string part;
};

constexpr std::size_t most_rows = 48; ///< of the table for people

void print_table(const Site& site, const Sweep& sweep) {
    std::vector<Quantity> shown;
    for (const Quantity quantity : list_quantities()) {
        const std::vector<std::optional<double>> values = sweep.values(quantity);
        if (std::any_of(values.begin(), values.end(), [](const auto& value) { return value.has_value(); }))
            shown.push_back(quantity);
    }
    std::string head = fmt::format("{:<36}", "of " + sweep.plan.focus.target);
    for (const Quantity quantity : shown) {
        const std::string name = spoken(name_of(quantity));
        head += fmt::format("{:>{}}", name, column_width(quantity));
    }
    fmt::print("{}\n", head);
    const auto print_row = [&](const std::string& name, const Figures& figures) {
        std::string row = fmt::format("{:<36}", name);
        for (const Quantity quantity : shown) {
            const std::optional<double> value = value_of(figures, quantity, sweep.plan.focus);
            row += fmt::format("{:>{}}", value ? print_quantity(site, quantity, *value) : "-",
                               column_width(quantity));
        }
        fmt::print("{}\n", row);
    };
    print_row("as drawn", sweep.as_drawn);
    const std::size_t step = (sweep.figures.size() + most_rows - 1) / most_rows;
    for (std::size_t i = 0; i < sweep.figures.size(); i += step)
        print_row(print_settings(site, sweep.plan.settings_of(sweep.first + i)), sweep.figures[i]);
    if (step > 1)
        fmt::print("(every {}. of {}; all of them in sweep.csv with --out)\n", step, sweep.figures.size());
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
        Workbench bench(study.folder(), study.bench);
        const Sweep sweep = name_option("--vary", [&] {
            return run_sweep(study.site, bench, study.folder(), plan, part,
                             [&](double share) { progress.show("sweeping", share); });
        });
        const std::string json = print_sweep(study.site, study.site.name, sweep, part);
        if (!options.out.empty()) {
            OutputFolder folder(options.out, "sweep");
            folder.write("sweep.json", json);
            if (part.of == 1) {
                folder.write("sweep.csv", print_sweep_csv(json));
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
            print_table(study.site, sweep);
            fmt::print("\n");
            for (const std::string& sentence : print_findings(study.site, sweep))
                fmt::print("{}\n", sentence);
        }
    });
    return status_done;
}

constexpr std::uintmax_t most_part_bytes = 1u << 30;

int run_merge(const std::vector<std::string>& files, const std::string& out) {
    std::vector<std::pair<std::string, std::string>> texts;
    for (const std::string& file : files) {
        WholeFile whole = read_whole_file(file, most_part_bytes);
        if (whole.fault != FileFault::none)
            throw InputError(Problem{.place = {.file = file},
                                     .what = whole.fault == FileFault::too_large
                                                 ? "the file is larger than 1 GB"
                                                 : fmt::format("the file cannot be read: {}", whole.reason),
                                     .remedy = "give the sweep.json of every part"});
        texts.emplace_back(file, std::move(whole.bytes));
    }
    const std::string json = merge_sweeps(texts);
    OutputFolder folder(out, "sweep");
    folder.write("sweep.json", json);
    folder.write("sweep.csv", print_sweep_csv(json));
    folder.finish();
    return status_done;
}

} // namespace

void add_sweep_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "sweep",
        "Vary one or two settings of fixtures: reach, coverage, evenness, hot spot and spill of each");
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
