// duskcast light SITE --out DIR

#include <filesystem>
#include <fmt/format.h>
#include <functional>
#include <memory>

#include "as_wired.hpp"
#include "command.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/light/reference.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/sheets/plate.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/stray_words.hpp"
#include "duskcast/sheets/summary.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/stage/print_obj.hpp"
#include "duskcast/view/see.hpp"

namespace duskcast {

namespace {

namespace fs = std::filesystem;

struct LightOptions {
    std::string site;
    std::string out;
    std::string units;
    std::vector<std::string> levels;
    SeasonOptions season;
    std::string exported; ///< OBJ file; empty: none
    bool json = false;
    bool svg = false;
    bool on_photo = false;
    bool direct_only = false;
    bool as_wired = false;
    int reference = 0;                ///< paths a sensor; 0: none
    double lit = usual_lit_luminance; ///< cd/m2
};

void write_outputs(const SiteFile& site_file, const Stage& stage, const Lighting& lighting,
                   const Report& report, const std::vector<ReferenceLight>& reference,
                   const std::vector<Agreement>& agreements, const std::vector<CameraPhoto>& photos,
                   const LightOptions& options, ProgressLine& progress) {
    OutputFolder folder(options.out, "light");
    folder.write("summary.json", print_summary(site_file, stage, lighting, report, agreements));
    const PlateSource source{site_file.site, stage, lighting, report};
    PlateSource on_photo = source;
    on_photo.photos = &photos;
    std::vector<std::function<void()>> jobs;
    const auto add_jobs = [&](const PlateSource& from, const std::vector<Plate>& plates) {
        for (const Plate& plate : plates)
            for (const PictureFormat format : picture_formats(options.svg))
                jobs.emplace_back([&, &from = from, plate, format] {
                    folder.write(fs::path("plates") / fmt::format("{}{}", plate.id, ending_of(format)),
                                 draw_plate(from, plate, format));
                });
    };
    add_jobs(source, list_plates(source));
    add_jobs(on_photo, list_photo_plates(on_photo));
    for (const SurfaceReport& row : report.surfaces)
        jobs.emplace_back([&, &surface = stage.surfaces[row.surface]] {
            folder.write(fs::path("maps") / (surface.id + ".csv"), print_map(stage, lighting, surface));
            if (!reference.empty())
                folder.write(fs::path("reference") / (surface.id + ".csv"),
                             print_reference_map(stage, reference, surface));
        });
    progress.show("drawing", 0.8);
    parallel_in_order(jobs.size(), [&](std::size_t i) { jobs[i](); }); // maps fill what plates leave
    folder.finish();
}

/// The MTL first: an OBJ never stands there without it.
void export_stage(const Stage& stage, const fs::path& file) {
    fs::path mtl = file;
    mtl.replace_extension(".mtl");
    const ObjText text = print_obj(stage, text_of(mtl.filename()), fs::absolute(file).parent_path());
    write_text_file(mtl, text.mtl);
    write_text_file(file, text.obj);
}

void print_lines(const std::vector<std::string>& lines) {
    for (const std::string& line : lines)
        fmt::print("{}\n", line);
}

void print_words(const Site& site, const Stage& stage, const Lighting& lighting, const Report& report) {
    print_lines(print_surface_table(site, stage, report));
    fmt::print("\n");
    for (const Sentence& answer : print_answers(site, report))
        fmt::print("{}\n", answer.text);
    if (!report.seen.empty())
        fmt::print("{}\n", print_lit_rule(report.lit_luminance, site.light));
    fmt::print("{}\n", print_light_loss(lighting.fixtures));
    if (report.stray) {
        fmt::print("\n");
        print_lines(print_stray(site, *report.stray));
    }
    if (const std::string season = print_season(report.season); !season.empty())
        fmt::print("{}\n", season);
}

int run_light(const LightOptions& options) {
    ProgressLine progress;
    progress.show("reading", 0);
    SiteFile site_file = read_site_file(options.site);
    const SeasonChoice season = apply_season(options.season, site_file);
    Site& site = site_file.site;
    if (!options.units.empty()) {
        site.units = options.units == "ft" ? LengthUnit::foot : LengthUnit::metre;
        site.light = options.units == "ft" ? LightUnit::footcandle : LightUnit::lux;
    }
    const std::vector<double> levels = read_levels(options.levels, site.light);
    locate_errors(site_file, [&] {
        std::vector<CameraPhoto> photos;
        if (options.on_photo)
            for (const Photo* photo : choose_photos(site_file, ""))
                locate_photo(site, *photo, ".marks",
                             [&] { photos.push_back(read_camera_photo(site, *photo, site_file.folder())); });
        const std::unique_ptr<Stage> stage = build_stage(site, site_file.folder());
        if (!options.exported.empty())
            export_stage(*stage, path_in({}, options.exported));
        progress.show("tracing", 0.1);
        std::vector<LitFixture> fixtures = make_fixtures(site, site_file.folder());
        if (options.as_wired)
            apply_wiring(site_file, fixtures);
        BounceSetup setup;
        const auto tell = [&](double share) { progress.show("tracing", 0.1 + 0.5 * share); };
        const Lighting lighting =
            options.direct_only ? trace_lighting(*stage, std::move(fixtures), tell)
                                : trace_all_light(*stage, std::move(fixtures), site.ambient, setup, tell);
        progress.show("measuring", 0.6);
        Report report = measure_with_views(site, site_file.folder(), *stage, lighting, levels, options.lit);
        report.season = season;
        std::vector<ReferenceLight> reference;
        if (options.reference > 0)
            reference = trace_reference(
                *stage, lighting.fixtures, {.paths = options.reference, .ambient = site.ambient}, {},
                [&](double share) { progress.show("tracing paths", 0.6 + 0.2 * share); });
        const std::vector<Agreement> agreements = compare_with_reference(*stage, report.total_lx, reference);
        if (!options.out.empty())
            write_outputs(site_file, *stage, lighting, report, reference, agreements, photos, options,
                          progress);
        progress.clear();
        print_problems(site_file.warnings);
        print_problems(site_file.locate(stage->warnings));
        if (options.json)
            fmt::print("{}", print_summary(site_file, *stage, lighting, report, agreements));
        else
            print_words(site, *stage, lighting, report);
        if (!options.json && options.reference > 0)
            print_lines(print_agreement_table(site, *stage, agreements, options.reference));
    });
    return status_done;
}

} // namespace

void add_light_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command =
        app.add_subcommand("light", "Light a site: illuminance maps, plates and answers in words");
    auto options = std::make_shared<LightOptions>();
    command->add_option("SITE", options->site, "site file (NAME.site.json)")->required();
    command->add_option("--out", options->out,
                        "folder for summary.json, maps/ and plates/; without it only print");
    command
        ->add_option("--units", options->units,
                     "ft (feet, foot-candles) or m (metres, lux); default the site's")
        ->check(CLI::IsMember({"ft", "m"}));
    command
        ->add_option("--levels", options->levels,
                     "levels to report, comma between, in the units shown: 0.5,1,2 or 5lx,20lx")
        ->delimiter(',');
    add_season_options(*command, options->season);
    add_as_wired_option(*command, options->as_wired);
    add_lit_option(*command, options->lit);
    command
        ->add_option("--export", options->exported,
                     "write the stage, leaves included, as FILE.obj with FILE.mtl beside it, in metres, z up")
        ->check(CLI::Validator(
            [](const std::string& name) {
                return path_in({}, name).extension() == ".obj"
                           ? std::string()
                           : std::string("the file's name must end in .obj");
            },
            "FILE.obj"));
    command->add_flag("--json", options->json, "print summary.json instead of the table");
    auto* direct_only =
        command->add_flag("--direct-only", options->direct_only,
                          "leave out bounced and ambient light: only what comes straight from the lamps");
    command
        ->add_option("--reference", options->reference,
                     "check against so many traced paths a sensor (slow; 2000 tell something); with --out "
                     "their figures with standard errors in reference/")
        ->check(in_range(2, 1000000))
        ->excludes(direct_only);
    command->add_flag("--svg", options->svg, "write every plate as SVG too");
    command->add_flag("--on-photo", options->on_photo,
                      "with --out: draw the contours on the site's photos of its walls too, laid flat, as "
                      "plates/WALL.photo.png");
    command->callback([options, &run] { run = [options] { return run_light(*options); }; });
}

} // namespace duskcast
