#include "command.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/base/files.hpp"
#include "system.hpp"

namespace duskcast {

namespace {

double seconds_now() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

} // namespace

void print_problems(const std::vector<Problem>& problems) {
    // Warnings never take the place of an error.
    struct {
        const char* name;
        std::size_t most_printed, found = 0;
        std::size_t left_out() const { return found - std::min(found, most_printed); }
    } errors{"error", 100}, warnings{"warning", 20};
    const auto put = [](const std::string& line) {
        std::fputs((line + "\n").c_str(), stderr);
    }; // if nobody reads it, so be it
    for (const Problem& problem : problems) {
        auto& kind = problem.severity == Severity::error ? errors : warnings;
        if (++kind.found <= kind.most_printed)
            put(print_problem(problem));
    }
    std::string more;
    for (const auto& kind : {errors, warnings})
        if (kind.left_out() > 0)
            more += fmt::format("{}{} more {}{}", more.empty() ? "" : " and ", kind.left_out(), kind.name,
                                kind.left_out() == 1 ? "" : "s");
    if (!more.empty())
        put(fmt::format("... and {}", more));
}

CLI::Validator in_range(double least, double most) {
    const std::string range = fmt::format("{} to {}", print_number(least), print_number(most));
    return {[=](const std::string& text) {
                double value = 0;
                if (!CLI::detail::lexical_cast(text, value) || !std::isfinite(value))
                    return fmt::format("\"{}\" is not a number; give one from {}", text, range);
                return value >= least && value <= most
                           ? std::string()
                           : fmt::format("{} is out of range; give {}", text, range);
            },
            range, "in_range"};
}

std::vector<const Photo*> choose_photos(const SiteFile& site_file, const std::string& id) {
    std::vector<const Photo*> chosen;
    std::vector<std::string> known;
    for (const Photo& photo : site_file.site.photos) {
        known.push_back(photo.id);
        if (id.empty() || photo.id == id)
            chosen.push_back(&photo);
    }
    if (known.empty())
        throw InputError(
            Problem{.place = {.file = text_of(site_file.file)},
                    .what = "the site has no photos",
                    .remedy = "add \"photos\": [{\"id\": \"street\", \"file\": \"street.jpg\", \"marks\": "
                              "[...]}]"});
    if (chosen.empty()) {
        const std::string nearest = find_nearest_word(id, known);
        throw InputError(Problem{.place = {.path = "--photo"},
                                 .what = fmt::format("there is no photo called \"{}\"", id),
                                 .remedy = nearest.empty()
                                               ? fmt::format("known are {}", fmt::join(known, ", "))
                                               : fmt::format("did you mean \"{}\"?", nearest)});
    }
    return chosen;
}

std::vector<Variant> choose_variants(const Site& site, const std::vector<std::string>& ids) {
    std::vector<Variant> chosen;
    std::vector<std::string> known;
    for (const Variant& variant : site.variants) {
        known.push_back(variant.id);
        if (std::find(ids.begin(), ids.end(), variant.id) != ids.end())
            chosen.push_back(variant);
    }
    for (const std::string& id : ids)
        if (std::find(known.begin(), known.end(), id) == known.end()) {
            const std::string nearest = find_nearest_word(id, known);
            refuse(fmt::format("the site has no variant \"{}\"", id),
                   nearest.empty() ? "name those under \"variants\" in the site file"
                                   : fmt::format("did you mean \"{}\"?", nearest));
        }
    return chosen;
}

bool is_wrong_usage(const std::vector<Problem>& problems) {
    return std::all_of(problems.begin(), problems.end(),
                       [](const Problem& problem) { return problem.place.path.starts_with("--"); });
}

std::vector<double> read_levels(const std::vector<std::string>& texts, LightUnit unit) {
    std::vector<double> levels;
    for (const std::string& text : texts) {
        const double level = name_option("--levels", [&] { return read_illuminance(text, unit); });
        if (!(level > 0))
            throw InputError(Problem{.place = {.path = "--levels"},
                                     .what = fmt::format("\"{}\" is not a level of light", text),
                                     .remedy = "give levels above 0, for example --levels 0.5,1,2"});
        levels.push_back(level);
    }
    return levels;
}

void add_lit_option(CLI::App& command, double& lit_luminance) {
    command
        .add_option("--lit", lit_luminance,
                    "cd/m2 from which things read as lit, 0.001 to 100; a third of it reads as faint")
        ->capture_default_str()
        ->check(in_range(0.001, 100));
}

void add_season_options(CLI::App& command, SeasonOptions& options) {
    command
        .add_option("--season", options.season,
                    "in-leaf, or bare: deciduous trees and shrubs without their leaves")
        ->capture_default_str();
    command
        .add_option("--years-on", options.years_on,
                    "years from now, 0 to 100: trees grown by the rates the site gives")
        ->capture_default_str();
}

SeasonChoice apply_season(const SeasonOptions& options, SiteFile& site_file) {
    SeasonChoice choice{.years_on = options.years_on};
    choice.season = name_option("--season", [&] { return read_season(options.season); });
    Site made =
        name_option("--years-on", [&] { return in_season(site_file.site, choice.season, choice.years_on); });
    if (choice == SeasonChoice{})
        return choice;
    std::vector<Problem> errors;
    for (const Problem& problem : check_site(made, site_file.folder()))
        if (problem.severity == Severity::error)
            errors.push_back(problem);
    if (!errors.empty())
        throw InputError(site_file.locate(errors));
    const std::vector<Problem> warnings =
        site_file.locate(season_warnings(site_file.site, choice.season, choice.years_on));
    site_file.warnings.insert(site_file.warnings.end(), warnings.begin(), warnings.end());
    site_file.site = std::move(made);
    return choice;
}

ProgressLine::ProgressLine() : is_terminal_(is_error_stream_a_terminal()), start_(seconds_now()) {}

ProgressLine::~ProgressLine() {
    clear();
}

void ProgressLine::clear() {
    if (is_dirty_)
        std::fputs("\r\033[K", stderr);
    is_dirty_ = false;
    std::fflush(stderr);
}

void ProgressLine::show(const std::string& phase, double share) {
    const std::lock_guard lock(showing_); // tracing reports from every thread
    const double now = seconds_now();
    if (!is_terminal_ || now - last_ < 0.1)
        return;
    last_ = now;
    is_dirty_ = true;
    const double elapsed = now - start_;
    const std::string rest =
        share > 0.02 ? fmt::format(", about {:.0f} s to go", elapsed * (1 - share) / share) : "";
    std::fputs(fmt::format("\r\033[K{} {:.0f} %, {:.0f} s{}", phase, 100 * share, elapsed, rest).c_str(),
               stderr);
    std::fflush(stderr);
}

} // namespace duskcast
