#include "study_command.hpp"

#include <fmt/format.h>

#include "duskcast/sheets/report_words.hpp"

namespace duskcast {

void add_study_options(CLI::App& command, StudyOptions& options, const std::string& out_help) {
    command.add_option("SITE", options.site, "site file (NAME.site.json)")->required();
    command.add_option("--out", options.out, out_help);
    command.add_option("--target", options.target,
                       "id of the target that figures are of; default one that the fixtures stand at");
    command
        .add_option("--levels", options.levels,
                    "levels to report, comma between, in the units shown: 0.5,1,2 or 5lx,20lx")
        ->delimiter(',');
    add_season_options(command, options.season);
    command.add_flag("--json", options.json, "print the figures as JSON instead of the table");
    command.add_flag("--direct-only", options.direct_only,
                     "leave out bounced and ambient light: many times faster, a little too dark");
}

StudySite read_study_site(const StudyOptions& options) {
    StudySite made{.file = read_site_file(options.site)};
    apply_season(options.season, made.file);
    made.site = with_targets(made.file.site);
    made.bench.is_direct_only = options.direct_only;
    made.bench.levels_lx = read_levels(options.levels, made.site.light);
    return made;
}

void print_lines(const std::vector<std::string>& lines) {
    for (const std::string& line : lines)
        fmt::print("{}\n", line);
}

void print_study(const StudyOptions& options, const std::string& name, const std::string& json,
                 const std::vector<std::string>& lines, const StudySite& study, ProgressLine& progress) {
    if (!options.out.empty()) {
        OutputFolder folder(options.out, name);
        folder.write(name + ".json", json);
        folder.finish();
    }
    progress.clear();
    print_problems(study.file.warnings);
    if (options.json)
        fmt::print("{}", json);
    else {
        print_lines(lines);
        fmt::print("{}\n", print_light_losses(study.site));
    }
}

} // namespace duskcast
