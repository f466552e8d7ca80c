#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <memory>
#include <ostream>

#include "as_wired.hpp"
#include "command.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/sheets/photo_words.hpp"
#include "duskcast/sheets/view_picture.hpp"

namespace duskcast {
namespace {

struct PhotoOptions {
    std::string site, out, photo;
    std::vector<std::string> points, uprights;
    double exposure = 0;
    bool marks = false;
    bool as_wired = false;
    bool json = false;
    double lit = usual_lit_luminance; ///< cd/m2
};

/// "480,302" or "480,302,495,71": `count` numbers.
std::vector<double> read_pixels(const std::string& option, const std::string& text, std::size_t count) {
    std::vector<double> numbers;
    const char *at = text.data(), *end = text.data() + text.size();
    while (numbers.size() < count) {
        double number = 0;
        const auto [next, fault] = read_decimal({at, static_cast<std::size_t>(end - at)}, number);
        if (fault != std::errc() || (next != end && *next != ','))
            break;
        numbers.push_back(number);
        if (next == end)
            break;
        at = next + 1;
    }
    const auto parts = 1 + static_cast<std::size_t>(std::count(text.begin(), text.end(), ','));
    if (numbers.size() != count || parts != count)
        throw InputError(Problem{
            .place = {.path = option},
            .what = fmt::format("\"{}\" is no place on a picture", text),
            .remedy = count == 2 ? "give pixels right and down, such as 480,302"
                                 : "give the pixels of its foot, then of its top, such as 127,491,144,30"});
    return numbers;
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

/// Runs `call`; an error of it that knows no file leaves with the photo's place in the site file.
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

PhotoAnswer measure_in_photo(const SiteFile& site_file, const Photo& photo, const PhotoOptions& options) {
    const Site& site = site_file.site;
    PhotoAnswer answer{
        .report = measure_photo(site, photo, site_file.folder()), .night = {}, .clicks = {}, .heights = {}};
    for (const std::string& text : options.points) {
        const std::vector<double> at = read_pixels("--point", text, 2);
        answer.clicks.push_back(measure_click(site, answer.report.fit, {at[0], at[1]}));
    }
    for (const std::string& text : options.uprights) {
        const std::vector<double> at = read_pixels("--upright", text, 4);
        answer.heights.push_back(measure_height(answer.report.fit, {at[0], at[1]}, {at[2], at[3]}));
    }
    return answer;
}

/// Relights the photos that were measured and writes what is made of them.
void relight_photos(SiteFile& site_file, const std::vector<const Photo*>& photos, const PhotoOptions& options,
                    std::vector<PhotoAnswer>& answers) {
    const Site& site = site_file.site;
    ProgressLine progress;
    const std::unique_ptr<Stage> stage = build_stage(site, site_file.folder());
    OutputFolder folder(options.out, "photo");
    const std::vector<Region> regions = find_regions(site, *stage);
    std::vector<LitFixture> fixtures = make_fixtures(site, site_file.folder());
    if (options.as_wired)
        apply_wiring(site_file, fixtures);
    const BounceSetup setup = set_up_bounce(*stage, fixtures, site.ambient,
                                            [&](double share) { progress.show("bouncing", share); });
    const BouncedLight bounced = find_bounced_light(setup, fixtures);
    ViewLook look{.stops = options.exposure, .ambient_lx = site.ambient, .marks = {}};
    if (options.marks)
        look.marks = fixtures;
    for (std::size_t i = 0; i < photos.size(); ++i) {
        const Photo& photo = *photos[i];
        PhotoReport& report = answers[i].report;
        const PhotoPixels picture = read_photo(path_in(site_file.folder(), photo.file));
        locate_photo(site, photo, "", [&] {
            const RelightPlan plan(site, *stage, photo, picture, report.fit.camera(), setup,
                                   [&](double share) { progress.show("photo " + photo.id, 0.5 * share); });
            const NightPhoto night_photo = plan.trace(fixtures, site.ambient, bounced, [&](double share) {
                progress.show("photo " + photo.id, 0.5 + 0.4 * share);
            });
            const std::string ending(ending_of(picture_formats(false).front()));
            const auto make_name = [&](const std::string& end) {
                return std::filesystem::path("photos") / (photo.id + end);
            };
            // A strip goes to the picture and to the file at once, and none stays. What stands out is the
            // same in fewer pixels.
            NightPicture night_picture(night_photo.camera(), look);
            ViewImage small;
            folder.write_parts(make_name(".pfm"), [&](std::ostream& file) {
                file << print_pfm_head(report.info.size.x, report.info.size.y);
                small = night_photo.visit_strips(find_shrink(report.info.size), [&](const ViewImage& strip,
                                                                                    int from) {
                    parallel_pair(
                        [&] { night_picture.add(strip, from); },
                        [&] { file << print_pfm_rows(strip.camera.width, luminance_with_lenses(strip)); });
                });
            });
            PhotoNight night{.scan = plan.scan(), .seen = {}};
            parallel_pair([&] { folder.write(make_name(".night" + ending), night_picture.finish()); },
                          [&] {
                              night.seen = {.report = measure_view(photo.id, small, fixtures, regions),
                                            .features = see_features(small, {Viewpoint::Kind::view, photo.id},
                                                                     site, *stage, regions, options.lit),
                                            .stops = options.exposure,
                                            .files = {}};
                              folder.write(make_name(".pair" + ending),
                                           draw_photo_pair(picture, small, look));
                              folder.write(make_name(".camera.json"), print_camera_json(report));
                          });
            for (const std::string& end :
                 {".night" + ending, ".pair" + ending, std::string(".pfm"), std::string(".camera.json")})
                night.seen.files.push_back(
                    (std::filesystem::path(options.out) / make_name(end)).generic_string());
            answers[i].night = std::move(night);
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
    command->add_option(
        "--point", options->points,
        "what lies at a pixel of the photo, right and down, such as 480,302; may be repeated");
    command->add_option("--upright", options->uprights,
                        "how high something stands: pixels of its foot and its top, such as 127,491,144,30");
    command->add_option("--out", options->out,
                        "relight the photos: folder for photos/ID.night.png, ID.pair.png (before and after), "
                        "ID.pfm (cd/m2) and ID.camera.json; without it only the camera is found");
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
