// duskcast check SITE

#include <fmt/format.h>
#include <memory>

#include "command.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/power/route.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {

namespace {

/// What the cables pass through, and lamps that get too few volts.
void check_load(const SiteFile& site_file, std::vector<Problem>& problems) {
    const Site& site = site_file.site;
    if (!site.network)
        return;
    try {
        const LoadReport report = measure_load(site, site_file.folder(), {});
        for (const std::vector<Problem>& more :
             {make_crossing_warnings(find_crossings(site, report), report, site.units),
              make_low_voltage_warnings(report)}) {
            const std::vector<Problem> located = site_file.locate(more);
            problems.insert(problems.end(), located.begin(), located.end());
        }
    } catch (const InputError&) {
        // A lamp without watts, which has its own warning.
    }
}

/// Everything wrong with a site, as far as one fault lets the next be seen.
std::vector<Problem> find_problems(const std::string& file) {
    std::vector<Problem> problems;
    try {
        const SiteFile site_file = read_site_file(file);
        problems = site_file.warnings;
        const std::vector<Problem> unused = site_file.locate(find_unused_lamps(site_file.site));
        problems.insert(problems.end(), unused.begin(), unused.end());
        locate_errors(site_file, [&] {
            const std::unique_ptr<Stage> stage = build_stage(site_file.site, site_file.folder());
            const std::vector<Problem> more = site_file.locate(stage->warnings);
            problems.insert(problems.end(), more.begin(), more.end());
            find_regions(site_file.site, *stage);
            check_load(site_file, problems);
        });
    } catch (const InputError& error) {
        problems.insert(problems.end(), error.problems().begin(), error.problems().end());
    }
    return problems;
}

} // namespace

void add_check_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command =
        app.add_subcommand("check", "Report every problem of a site file, with its place, at once");
    auto file = std::make_shared<std::string>();
    command->add_option("SITE", *file, "site file (NAME.site.json)")->required();
    command->callback([file, &run] {
        run = [file] {
            int errors = 0;
            int warnings = 0;
            for (const Problem& problem : find_problems(*file)) {
                fmt::print("{}\n", print_problem(problem));
                ++(problem.severity == Severity::error ? errors : warnings);
            }
            if (errors + warnings == 0)
                fmt::print("{}: no problems found\n", *file);
            else
                fmt::print("{} error{}, {} warning{}\n", errors, errors == 1 ? "" : "s", warnings,
                           warnings == 1 ? "" : "s");
            return errors ? status_input_at_fault : status_done;
        };
    });
}

} // namespace duskcast
