#pragma once
// What the commands that study variants share.

#include <string>
#include <vector>

#include "command.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/study/compare.hpp"

namespace duskcast {

struct StudyOptions {
    std::string site;
    std::string out;
    std::string target;
    std::vector<std::string> levels;
    SeasonOptions season;
    bool json = false;
    bool direct_only = false;
};

/// SITE, --out, --target, --levels, --season, --years-on, --json, --direct-only.
void add_study_options(CLI::App& command, StudyOptions& options, const std::string& out_help);

/// A site read, in its season, with targets to judge by.
struct StudySite {
    SiteFile file;
    Site site;
    WorkbenchOptions bench;

    std::filesystem::path folder() const { return file.folder(); }
};
StudySite read_study_site(const StudyOptions& options);

void print_lines(const std::vector<std::string>& lines);

/// Writes NAME.json, a study's one file, when a folder is given; prints the warnings, then the JSON or lines.
void print_study(const StudyOptions& options, const std::string& name, const std::string& json,
                 const std::vector<std::string>& lines, const StudySite& study, ProgressLine& progress);

} // namespace duskcast
