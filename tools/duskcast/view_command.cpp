// duskcast view SITE --out DIR

#include <algorithm>
#include <array>
#include <filesystem>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <memory>

#include "as_wired.hpp"
#include "command.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/output_folder.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "duskcast/sheets/view_words.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/view/fixture_bodies.hpp"
#include "duskcast/view/see.hpp"

namespace duskcast {

namespace {

namespace fs = std::filesystem;

constexpr std::array night_skies{NightSky::late, NightSky::blue_hour, NightSky::dusk};

struct ViewOptions {
    std::string site;
    std::vector<std::string> views;
    bool all = false;
    std::string out;
    int width = 1600;
    int height = 1000;
    double exposure = 0;
    std::string sky; ///< empty: the site's
    bool marks = false;
    SeasonOptions season;
    bool direct_only = false;
    bool as_wired = false;
    bool json = false;
    double lit = usual_lit_luminance; ///< cd/m2
    std::vector<std::string> only{"night", "luminance", "day", "raw"};

    bool wants(std::string_view what) const {
        return std::find(only.begin(), only.end(), what) != only.end();
    }
};

std::vector<View> choose_views(const SiteFile& site_file, const ViewOptions& options) {
    const Site& site = site_file.site;
    if (site.views.empty())
        throw InputError(Problem{.place = {.file = text_of(site_file.file)},
                                 .what = "the site has no views",
                                 .remedy = "add \"views\": [{\"id\": \"street\", \"eye\": [x, y, z], "
                                           "\"look_at\": [x, y, z]}]"});
    if (options.views.empty() || options.all)
        return site.views;
    std::vector<View> chosen;
    std::vector<Problem> problems;
    for (const std::string& id : options.views) {
        const auto found = std::find_if(site.views.begin(), site.views.end(),
                                        [&](const View& view) { return view.id == id; });
        if (found != site.views.end()) {
            chosen.push_back(*found);
            continue;
        }
        std::vector<std::string> known;
        for (const View& view : site.views)
            known.push_back(view.id);
        const std::string nearest = find_nearest_word(id, known);
        problems.push_back({.place = {.file = text_of(site_file.file)},
                            .what = fmt::format("there is no view called \"{}\"", id),
                            .remedy = nearest.empty() ? fmt::format("known are {}", fmt::join(known, ", "))
                                                      : fmt::format("did you mean \"{}\"?", nearest)});
    }
    if (!problems.empty())
        throw InputError(problems);
    return chosen;
}

/// Runs `call`; an error of it leaves with the view's place in the site file.
template <class Call> void locate_view(const Site& site, const View& view, Call call) {
    try {
        call();
    } catch (const InputError& error) {
        std::vector<Problem> problems = error.problems();
        for (std::size_t i = 0; i < site.views.size(); ++i)
            if (site.views[i].id == view.id)
                for (Problem& problem : problems)
                    problem.place.path = fmt::format("views[{}]", i);
        throw InputError(problems);
    }
}

/// A view's images: figures and luminance come from `image`, pictures from `shown`, which has the fixtures'
/// bodies; `before`: without fixtures, where it is wanted.
struct ViewImages {
    ViewImage image, shown, before;
};

std::vector<fs::path> write_view(const Site& site, const View& view, const ViewImages& images,
                                 const std::vector<LitFixture>& fixtures, const ViewOptions& options,
                                 OutputFolder& folder) {
    ViewLook look{.stops = options.exposure, .ambient_lx = site.ambient, .sky = site.sky};
    for (const NightSky sky : night_skies)
        if (name_of(sky) == options.sky)
            look.sky = sky;
    if (options.marks)
        look.marks = fixtures;
    const std::string detail =
        fmt::format("View {}: luminance, the light that comes back to the eye, from {} {}, {}bounced light.",
                    view.id, fixtures.size(), fixtures.size() == 1 ? "fixture" : "fixtures",
                    options.direct_only ? "without " : "with ");
    std::vector<fs::path> files;
    for (const std::string what : {"night", "before", "pair", "luminance", "day", "raw"}) {
        if (!options.wants(what))
            continue;
        const std::string ending =
            what == "raw" ? ".pfm" : fmt::format(".{}{}", what, ending_of(picture_formats(false).front()));
        const fs::path name = fs::path("views") / (view.id + ending);
        files.push_back(fs::path(options.out) / name);
        ViewLook unmarked = look;
        unmarked.marks.clear();
        folder.write(name, what == "night"       ? draw_night_picture(images.shown, look)
                           : what == "before"    ? draw_night_picture(images.before, unmarked)
                           : what == "pair"      ? draw_night_pair(images.before, images.shown, look)
                           : what == "luminance" ? draw_luminance_plate(images.image, look, site.name, detail)
                           : what == "day"       ? draw_day_picture(images.shown, look)
                                                 : print_pfm(options.width, options.height,
                                                             luminance_with_lenses(images.image)));
    }
    return files;
}

int run_view(const ViewOptions& options) {
    ProgressLine progress;
    progress.show("reading", 0);
    SiteFile site_file = read_site_file(options.site);
    apply_season(options.season, site_file);
    const Site& site = site_file.site;
    std::vector<ViewResult> results;
    locate_errors(site_file, [&] {
        const std::vector<View> views = choose_views(site_file, options);
        std::vector<Camera> cameras;
        for (const View& view : views)
            locate_view(site, view,
                        [&] { cameras.push_back(make_camera(view, options.width, options.height)); });
        const std::unique_ptr<Stage> stage = build_stage(site, site_file.folder());
        for (const View& view : views)
            locate_view(site, view, [&] { check_eye(*stage, view); });
        OutputFolder folder(options.out, "view");
        const std::vector<Region> regions = find_regions(site, *stage);
        std::vector<LitFixture> fixtures = make_fixtures(site, site_file.folder());
        if (options.as_wired)
            apply_wiring(site_file, fixtures);
        const bool wants_before = options.wants("before") || options.wants("pair");
        BouncedLight bounced, bounced_before;
        if (!options.direct_only) {
            BounceSetup setup = set_up_bounce(
                *stage, fixtures, site.ambient, [&](double share) { progress.show("bouncing", 0.2 * share); },
                BounceUse::pictures);
            bounced = find_bounced_light(setup, fixtures);
            if (wants_before) { // the same rays, without lamps
                update_bounce(*stage, {}, site.ambient, setup);
                bounced_before = find_bounced_light(setup, {});
            }
        }
        const FixtureBodies bodies = build_fixture_bodies(site);
        for (std::size_t i = 0; i < views.size(); ++i) {
            const double part = 1.0 / static_cast<double>(views.size());
            const double start = 0.2 + 0.8 * part * static_cast<double>(i);
            const double night_share = wants_before ? 0.6 : 0.9;
            ViewImages images;
            images.image = trace_view(
                *stage, fixtures, cameras[i], site.ambient, bounced,
                [&](double share) {
                    progress.show("view " + views[i].id, start + 0.8 * part * night_share * share);
                },
                nullptr, options.wants("day") ? Detail::fine : Detail::fine_by_night);
            if (wants_before)
                images.before = trace_view(
                    *stage, {}, cameras[i], site.ambient, bounced_before,
                    [&](double share) {
                        progress.show("before, view " + views[i].id,
                                      start + 0.8 * part * (night_share + 0.3 * share));
                    },
                    nullptr, Detail::fine_by_night);
            results.push_back(
                {.report = measure_view(views[i].id, images.image, fixtures, regions),
                 .features = look_from_views(site, *stage, {views[i]}, fixtures, bounced, options.lit,
                                             static_cast<double>(options.height) / options.width),
                 .stops = options.exposure});
            images.shown = show_bodies(bodies, *stage, fixtures, site.ambient, bounced, images.image);
            for (const fs::path& file : write_view(site, views[i], images, fixtures, options, folder))
                results.back().files.push_back(file.generic_string());
        }
        folder.finish();
        progress.clear();
        print_problems(site_file.warnings);
        print_problems(site_file.locate(stage->warnings));
    });
    if (options.json)
        fmt::print("{}", print_views_json(site, results));
    else
        for (const std::string& line : print_views(site, results, options.lit))
            fmt::print("{}\n", line);
    return status_done;
}

} // namespace

void add_view_command(CLI::App& app, std::function<int()>& run) {
    CLI::App* command = app.add_subcommand(
        "view", "Picture a site from its views: by night, in false colour, by day, and as figures");
    auto options = std::make_shared<ViewOptions>();
    command->add_option("SITE", options->site, "site file (NAME.site.json) with \"views\"")->required();
    command->add_option("--out", options->out, "folder for views/ID.night.png and the others")->required();
    auto* one = command->add_option("--view", options->views, "ids of views, comma between; default all")
                    ->delimiter(',');
    command->add_flag("--all", options->all, "all views of the site (the default)")->excludes(one);
    command->add_option("--width", options->width, "pixels, 16 to 8000; default 1600")
        ->check(in_range(16, 8000));
    command->add_option("--height", options->height, "pixels, 16 to 8000; default 1000")
        ->check(in_range(16, 8000));
    command
        ->add_option("--exposure", options->exposure,
                     "doublings of the night picture's light, not of its sky, -10 to 10; default 0, the same "
                     "for every site")
        ->check(in_range(-10, 10));
    command
        ->add_option("--sky", options->sky,
                     "the hour behind the night picture: late, \"blue hour\" or dusk; default the site's")
        ->check(CLI::IsMember({"late", "blue hour", "dusk"}));
    add_season_options(*command, options->season);
    add_as_wired_option(*command, options->as_wired);
    add_lit_option(*command, options->lit);
    command->add_flag("--direct-only", options->direct_only,
                      "leave out bounced light: only what comes straight from the lamps");
    command->add_flag("--marks", options->marks, "mark the fixtures; hidden ones dashed and faint");
    command
        ->add_option(
            "--only", options->only,
            "what to write, comma between: night, luminance, day and raw (cd/m2 as PFM), which are the "
            "default; before (the same night without the fixtures: lit windows, lanterns and moon "
            "alone) and pair (before and after side by side)")
        ->delimiter(',')
        ->check(CLI::IsMember({"night", "before", "pair", "luminance", "day", "raw"}));
    command->add_flag("--json", options->json, "print figures as JSON");
    command->callback([options, &run] { run = [options] { return run_view(*options); }; });
}

} // namespace duskcast
