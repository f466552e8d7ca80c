#pragma once
// What the sub-commands share.

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <functional>
#include <mutex>
#include <string>
#include <vector>

#include "duskcast/site/season.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

/// Exit statuses of every command.
enum ExitStatus { status_done = 0, status_input_at_fault = 1, status_wrong_usage = 2 };

/// Each adds its sub-command; `run` is set when the user chose it and gives the exit status.
void add_light_command(CLI::App& app, std::function<int()>& run);
void add_check_command(CLI::App& app, std::function<int()>& run);
void add_lamp_command(CLI::App& app, std::function<int()>& run);
void add_view_command(CLI::App& app, std::function<int()>& run);
void add_compare_command(CLI::App& app, std::function<int()>& run);
void add_sweep_command(CLI::App& app, std::function<int()>& run);
void add_suggest_command(CLI::App& app, std::function<int()>& run);
void add_tolerance_command(CLI::App& app, std::function<int()>& run);
void add_contribution_command(CLI::App& app, std::function<int()>& run);
void add_merge_command(CLI::App& app, std::function<int()>& run);
void add_load_command(CLI::App& app, std::function<int()>& run);
void add_page_command(CLI::App& app, std::function<int()>& run);
void add_photo_command(CLI::App& app, std::function<int()>& run);
void add_propose_command(CLI::App& app, std::function<int()>& run);
void add_aim_sheet_command(CLI::App& app, std::function<int()>& run);
void add_night_check_command(CLI::App& app, std::function<int()>& run);
void add_schema_command(CLI::App& app, std::function<int()>& run);

/// One line a problem to standard error.
void print_problems(const std::vector<Problem>& problems);

/// Takes numbers from `least` to `most`, both included; nothing that is no finite number.
CLI::Validator in_range(double least, double most);

/// Whether all of them are faults of the command line: of an option's value, not of a file.
bool is_wrong_usage(const std::vector<Problem>& problems);

/// Levels of light given with --levels, in lux. Throws InputError.
std::vector<double> read_levels(const std::vector<std::string>& texts, LightUnit unit);

/// --lit: the luminance from which things read as lit, for every command that says so.
void add_lit_option(CLI::App& command, double& lit_luminance);

/// The site's photos, or the one of that id. Throws InputError where there is none.
std::vector<const Photo*> choose_photos(const SiteFile& site_file, const std::string& id);

/// Runs `call`; an error of it that knows no place leaves with the photo's place in the site file.
template <class Call> void locate_photo(const Site& site, const Photo& photo, const char* part, Call call) {
    try {
        call();
    } catch (const InputError& error) {
        std::vector<Problem> problems = error.problems();
        for (Problem& problem : problems)
            if (problem.place == Place{})
                problem.place.path = fmt::format("photos[{}]{}", &photo - site.photos.data(), part);
        throw InputError(problems);
    }
}

/// The variants of the site that are named, in the site's order. Throws InputError, its place left empty,
/// with the nearest.
std::vector<Variant> choose_variants(const Site& site, const std::vector<std::string>& ids);

/// --season and --years-on, for every command that lights a site.
struct SeasonOptions {
    std::string season = "in-leaf";
    double years_on = 0;
};
void add_season_options(CLI::App& command, SeasonOptions& options);

/// Puts the site's plants into the season chosen; what has to be said of it joins the file's warnings.
/// Throws InputError: no such season, years out of range, a site that no longer passes its checks.
SeasonChoice apply_season(const SeasonOptions& options, SiteFile& site_file);

/// Runs `call`; errors that know only a path in the site file leave with its line and column. What an option
/// ("--vary") is to blame for is not looked for in the file.
template <class Call> void locate_errors(const SiteFile& site_file, Call call) {
    try {
        call();
    } catch (const InputError& error) {
        std::vector<Problem> problems = error.problems();
        for (Problem& problem : problems)
            if (!problem.place.path.starts_with("--"))
                problem = site_file.locate({problem}).front();
        throw InputError(problems);
    }
}

/// Runs `call`; errors that know no place leave with the option's name, those with a path in the site file
/// with its line and column.
template <class Call> auto name_option(const std::string& option, Call call) {
    try {
        return call();
    } catch (const InputError& error) {
        std::vector<Problem> problems = error.problems();
        for (Problem& problem : problems)
            if (problem.place == Place{})
                problem.place.path = option;
        throw InputError(problems);
    }
}

/// Phase, share and time on a terminal, at most ten times a second; nothing in a pipe.
class ProgressLine {
public:
    ProgressLine();
    ~ProgressLine();
    void show(const std::string& phase, double share);
    void clear(); ///< before anything else is printed

private:
    bool is_terminal_ = false;
    bool is_dirty_ = false;
    double last_ = -1;
    double start_ = 0;
    std::mutex showing_;
};

} // namespace duskcast
