#include <fmt/format.h>
#include <fmt/ranges.h>
#include <memory>
#include <ostream>

#include "as_wired.hpp"
#include "command.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/sheets/photo_marks.hpp"
#include "duskcast/sheets/photo_words.hpp"
#include "duskcast/sheets/view_picture.hpp"

namespace duskcast {
namespace {

struct PhotoOptions {
    std::string site, out, photo;
    std::vector<std::string> variants, points, uprights;
    double exposure = 0;
    bool marks = false;
    bool as_wired = false;
    bool json = false;
    double lit = usual_lit_luminance; ///< cd/m2
};

PhotoAnswer measure_in_photo(const SiteFile& site_file, const Photo& photo, const PhotoOptions& options) {
    const Site& site = site_file.site;
    PhotoAnswer answer{
        .report = measure_photo(site, photo, site_file.folder()), .nights = {}, .clicks = {}, .heights = {}};
    for (const std::string& text : options.points) {
        const auto at = name_option("--point", [&] { return read_pixels(text, 2); });
        answer.clicks.push_back(measure_click(site, answer.report.fit, {at[0], at[1]}));
    }
    for (const std::string& text : options.uprights) {
        const auto at = name_option("--upright", [&] { return read_pixels(text, 4); });
        const auto ground = find_ground(site.ground, answer.report.fit, {at[0], at[1]});
        answer.heights.push_back(
            ground ? measure_height(answer.report.fit, {at[0], at[1]}, {at[2], at[3]}, *ground)
                   : std::nullopt);
    }
    return answer;
}

/// What is shown on the photos: the site as it is, or as a variant has it.
struct PhotoOption {
    std::string variant; ///< id; empty: as it is
    Site site;
    std::vector<LitFixture> fixtures;
    BouncedLight bounced;
};

/// The site as it is, then its variants in the order given. All share a stage: what a photo shows of plants
/// is what it was taken of.
std::vector<PhotoOption> choose_options(const SiteFile& site_file, const PhotoOptions& options) {
    std::vector<PhotoOption> chosen;
    chosen.push_back({.variant = {}, .site = site_file.site, .fixtures = {}, .bounced = {}});
    for (const Variant& variant : choose_variants(site_file.site, options.variants)) {
        if (variant.plants)
            refuse(fmt::format("variant \"{}\" shows another season, and the photo has leaves as they were",
                               variant.id),
                   "choose a variant that changes fixtures alone, or see the season with view");
        chosen.push_back({.variant = variant.id,
                          .site = make_variant(site_file.site, variant, site_file.folder()),
                          .fixtures = {},
                          .bounced = {}});
    }
    return chosen;
}

void light_option(SiteFile& site_file, const Stage& stage, const PhotoOptions& options, BounceSetup& setup,
                  PhotoOption& option, const Progress& progress) {
    option.fixtures = make_fixtures(option.site, site_file.folder());
    if (options.as_wired && option.variant.empty())
        apply_wiring(site_file, option.fixtures);
    else if (options.as_wired)
        apply_wiring(option.site, site_file, option.fixtures);
    update_bounce(stage, option.fixtures, option.site.ambient, setup, progress);
    option.bounced = find_bounced_light(setup, option.fixtures);
}

/// A photo of the site, and what relights it.
struct PhotoToRelight {
    const Photo& photo;
    const PhotoPixels& picture;
    const RelightPlan& plan;
    const Stage& stage;
    const std::vector<Region>& regions;
};

/// Relights a photo as an option has it, and writes what is made of it.
PhotoNight relight_photo(const PhotoToRelight& shown, const PhotoOption& option, const PhotoOptions& options,
                         const PhotoReport& report, OutputFolder& folder, const Progress& progress) {
    const std::string& id = shown.photo.id;
    const std::string ending(ending_of(picture_formats(false).front()));
    PhotoNight night{.variant = option.variant,
                     .scan = shown.plan.scan(),
                     .seen = {},
                     .fixtures = find_on_photo(option.site, shown.stage, report)};
    const auto make_name = [&](const std::string& end) {
        const std::string of = option.variant.empty() ? "" : "." + option.variant;
        return std::filesystem::path("photos") / (id + of + end);
    };
    ViewLook look{.stops = options.exposure, .ambient_lx = option.site.ambient, .marks = {}};
    if (options.marks)
        look.marks = option.fixtures;
    const NightPhoto night_photo =
        shown.plan.trace(option.fixtures, option.site.ambient, option.bounced, progress);
    // A strip goes to the picture and to the file at once, and none stays. What stands out is the same in
    // fewer pixels.
    NightPicture night_picture(night_photo.camera(), look);
    const int factor = find_shrink(report.info.size);
    ViewImage small;
    if (night.has_figures())
        folder.write_parts(make_name(".pfm"), [&](std::ostream& file) {
            file << print_pfm_head(report.info.size.x, report.info.size.y);
            small = night_photo.visit_strips(factor, [&](const ViewImage& strip, int from) {
                parallel_pair(
                    [&] { night_picture.add(strip, from); },
                    [&] { file << print_pfm_rows(strip.camera.width, luminance_with_lenses(strip)); });
            });
        });
    else
        small = night_photo.visit_strips(
            factor, [&](const ViewImage& strip, int from) { night_picture.add(strip, from); });
    parallel_pair([&] { folder.write(make_name(".night" + ending), night_picture.finish()); },
                  [&] {
                      night.seen = {.report = measure_view(id, small, option.fixtures, shown.regions),
                                    .features = see_features(small, {Viewpoint::Kind::view, id}, option.site,
                                                             shown.stage, shown.regions, options.lit),
                                    .stops = options.exposure,
                                    .files = {}};
                      folder.write(make_name(".pair" + ending), draw_photo_pair(shown.picture, small, look));
                      folder.write(
                          make_name(".marks" + ending),
                          draw_photo_marks(option.site, report, shown.picture, night.fixtures).bytes);
                  });
    std::vector<std::string> ends{".night" + ending, ".pair" + ending, ".marks" + ending};
    if (night.has_figures())
        ends.push_back(".pfm");
    for (const std::string& end : ends)
        night.seen.files.push_back((std::filesystem::path(options.out) / make_name(end)).generic_string());
    return night;
}

/// Relights the photos that were measured and writes what is made of them.
void relight_photos(SiteFile& site_file, const std::vector<const Photo*>& photos, const PhotoOptions& options,
                    std::vector<PhotoAnswer>& answers) {
    const Site& site = site_file.site;
    ProgressLine progress;
    std::vector<PhotoOption> shown =
        name_option("--variant", [&] { return choose_options(site_file, options); });
    const std::unique_ptr<Stage> stage = build_stage(site, site_file.folder());
    OutputFolder folder(options.out, "photo");
    BounceSetup setup{.use = BounceUse::pictures};
    for (PhotoOption& option : shown)
        light_option(site_file, *stage, options, setup, option,
                     [&](double share) { progress.show("bouncing", share); });
    const std::vector<Region> regions = find_regions(site, *stage);
    for (std::size_t i = 0; i < photos.size(); ++i) {
        const Photo& photo = *photos[i];
        const PhotoReport& report = answers[i].report;
        const PhotoPixels picture = read_photo(path_in(site_file.folder(), photo.file));
        locate_photo(site, photo, "", [&] {
            const RelightPlan plan(site, *stage, photo, picture, report.fit.camera(), setup,
                                   [&](double share) { progress.show("photo " + photo.id, 0.5 * share); });
            for (std::size_t k = 0; k < shown.size(); ++k)
                answers[i].nights.push_back(
                    relight_photo({photo, picture, plan, *stage, regions}, shown[k], options, report, folder,
                                  [&](double share) {
                                      const double done = (static_cast<double>(k) + 0.8 * share) /
                                                          static_cast<double>(shown.size());
                                      progress.show("photo " + photo.id, 0.5 + 0.5 * done);
                                  }));
            const std::filesystem::path name = std::filesystem::path("photos") / (photo.id + ".camera.json");
            folder.write(name, print_camera_json(report));
            answers[i].nights.front().seen.files.push_back(
                (std::filesystem::path(options.out) / name).generic_string());
        });
    }
    folder.finish();
    progress.clear();
    print_problems(site_file.locate(stage->warnings));
}

int run_photo(const PhotoOptions& options) {
    SiteFile site_file = read_site_file(options.site);
    const Site& site = site_file.site;
    std::vector<PhotoAnswer> answers;
    locate_errors(site_file, [&] {
        const std::vector<const Photo*> photos = choose_photos(site_file, options.photo);
        for (const Photo* photo : photos)
            locate_photo(site, *photo, ".marks",
                         [&] { answers.push_back(measure_in_photo(site_file, *photo, options)); });
        if (!options.variants.empty() && options.out.empty())
            throw InputError(Problem{.place = {.path = "--variant"},
                                     .what = "a variant is shown on the photos by night, and none is wanted",
                                     .remedy = "give --out with a folder"});
        if (!options.out.empty())
            relight_photos(site_file, photos, options, answers);
    });
    print_problems(site_file.warnings);
    if (options.json)
        fmt::print("{}", print_photos_json(answers));
    else
        for (const std::string& line : print_photos(site, answers, options.lit))
            fmt::print("{}\n", line);
    return status_done;
}

} // namespace

void add_photo_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand("photo", "Show a client's photos by night, and measure in them");
    auto options = std::make_shared<PhotoOptions>();
    command->add_option("SITE", options->site, "site file (NAME.site.json) with \"photos\"")->required();
    command->add_option("--photo", options->photo, "id of one photo; default all");
    command
        ->add_option(
            "--variant", options->variants,
            "ids of variants of the site, comma between: each is shown on the same photo with the same "
            "exposure, as photos/ID.VARIANT.night.png and so on")
        ->delimiter(',');
    command->add_option(
        "--point", options->points,
        "what lies at a pixel of the photo, right and down, such as 480,302; may be repeated");
    command->add_option("--upright", options->uprights,
                        "how high something stands: pixels of its foot and its top, such as 127,491,144,30");
    command->add_option("--out", options->out,
                        "relight the photos: folder for photos/ID.night.png, ID.pair.png (before and after), "
                        "ID.marks.png (where to plant the fixtures), ID.pfm (cd/m2, unless the photo is "
                        "sunny) and ID.camera.json; "
                        "without it only the camera is found");
    command
        ->add_option("--exposure", options->exposure,
                     "doublings of the night picture's brightness, -10 to 10; default 0, as for view")
        ->check(in_range(-10, 10));
    command->add_flag("--marks", options->marks, "mark the fixtures; hidden ones dashed and faint");
    add_as_wired_option(*command, options->as_wired);
    add_lit_option(*command, options->lit);
    command->add_flag("--json", options->json, "print figures for a machine");
    command->callback([options, &run] { run = [options] { return run_photo(*options); }; });
}

} // namespace duskcast
