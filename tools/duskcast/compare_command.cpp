// duskcast compare SITE

#include <algorithm>
#include <fmt/format.h>
#include <memory>

#include "as_wired.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/study_json.hpp"
#include "duskcast/sheets/study_pictures.hpp"
#include "duskcast/sheets/study_words.hpp"
#include "study_command.hpp"

namespace duskcast {

namespace {

struct CompareOptions : StudyOptions {
    std::vector<std::string> variants;
    std::string only;
    bool as_wired = false;
    double lit = usual_lit_luminance; ///< cd/m2
};

std::vector<Variant> choose_compared(const CompareOptions& options, const Site& site) {
    const std::vector<std::string> only = read_ids(options.only);
    std::vector<Variant> chosen = only.empty() && options.variants.empty()
                                      ? site.variants
                                      : name_option("--only", [&] { return choose_variants(site, only); });
    for (const std::string& text : options.variants)
        chosen.push_back(name_option("--variant", [&] { return read_variant(text, site); }));
    return chosen;
}

int run_compare(const CompareOptions& options) {
    ProgressLine progress;
    progress.show("reading", 0);
    StudySite study = read_study_site(options);
    locate_errors(study.file, [&] {
        const std::vector<Variant> variants = choose_compared(options, study.site);
        name_option("--target", [&] { choose_focus(study.site, options.target, {}); });
        std::vector<Problem> warnings;
        if (options.as_wired)
            study.bench.adjust = [&](const Site& variant, std::vector<LitFixture>& fixtures) {
                for (Problem& warning : wire_up(variant, study.folder(), fixtures)) {
                    warning.place = {}; // a variant's, which no line of the file has
                    if (std::find(warnings.begin(), warnings.end(), warning) == warnings.end())
                        warnings.push_back(std::move(warning));
                }
            };
        study.bench.lit_luminance = options.lit;
        Workbench bench(study.folder(), study.bench);
        const VariantComparison comparison = name_option("--variant", [&] {
            return compare_variants(study.site, variants, options.target, bench, study.folder(),
                                    [&](double share) { progress.show("lighting", share); });
        });
        const std::string json = print_comparison_json(comparison, study.site.name);
        if (!options.out.empty()) {
            OutputFolder folder(options.out, "compare");
            folder.write("compare.json", json);
            draw_comparison_plates(comparison, folder);
            folder.finish();
        }
        progress.clear();
        print_problems(study.file.warnings);
        print_problems(warnings);
        if (options.json) {
            fmt::print("{}", json);
        } else {
            fmt::print("{}\n", print_comparison(comparison));
            print_lines(print_verdict(comparison));
            if (!comparison.variants.front().lit.report.seen.empty())
                fmt::print("{}\n", print_lit_rule(options.lit, study.site.light));
            std::vector<NamedSite> compared;
            for (const ComparedVariant& variant : comparison.variants)
                compared.push_back({variant.name, &variant.site});
            fmt::print("{}\n", print_light_losses(compared));
        }
    });
    return status_done;
}

} // namespace

void add_compare_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "compare", "Set variants side by side: another lamp, tilt, setback, fewer fixtures, another season");
    auto options = std::make_shared<CompareOptions>();
    add_study_options(*command, *options, "folder for compare.json and plates/; without it only print");
    command->add_option("--variant", options->variants,
                        "\"NAME: U5 lamp=brighter-5w tilt=6; without U2; add U7 like U5 along=35ft; "
                        "season=bare\"; may be given several times; default those of the site file");
    add_as_wired_option(*command, options->as_wired);
    add_lit_option(*command, options->lit);
    command->add_option("--only", options->only, "ids of variants of the site file, comma between");
    command->callback([options, &run] { run = [options] { return run_compare(*options); }; });
}

} // namespace duskcast
