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
#include "duskcast/sheets/report_words.hpp"
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
    std::vector<std::string> views, variants;
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

/// What is pictured: the site as it is, or as a variant has it.
struct PicturedSite {
    std::string variant; ///< id; empty: as it is
    Site site;
    bool has_own_plants = false; ///< of another season than the site's
};

/// The site as it is, then its variants in the order of the file.
std::vector<PicturedSite> choose_pictured(const SiteFile& site_file, const ViewOptions& options) {
    std::vector<PicturedSite> chosen;
    chosen.push_back({.variant = {}, .site = site_file.site});
    for (const Variant& variant : choose_variants(site_file.site, options.variants))
        chosen.push_back({.variant = variant.id,
                          .site = make_variant(site_file.site, variant, site_file.folder()),
                          .has_own_plants = variant.plants.has_value()});
    return chosen;
}

/// A view's images: figures and luminance come from `image`, pictures from `shown`, which has the fixtures'
/// bodies; `before`: without fixtures, where it is wanted.
struct ViewImages {
    ViewImage image, shown, before;
};

std::vector<fs::path> write_view(const PicturedSite& pictured, const View& view, const ViewImages& images,
                                 const std::vector<LitFixture>& fixtures, const ViewOptions& options,
                                 OutputFolder& folder) {
    const Site& site = pictured.site;
    ViewLook look{.stops = options.exposure, .ambient_lx = site.ambient, .sky = site.sky};
    for (const NightSky sky : night_skies)
        if (name_of(sky) == options.sky)
            look.sky = sky;
    if (options.marks)
        look.marks = fixtures;
    const std::string of = pictured.variant.empty() ? "" : "." + pictured.variant;
    const std::string detail = fmt::format(
        "View {}{}: luminance, the light that comes back to the eye, from {} {}, {}bounced light.", view.id,
        pictured.variant.empty() ? "" : " as variant " + pictured.variant + " has it", fixtures.size(),
        fixtures.size() == 1 ? "fixture" : "fixtures", options.direct_only ? "without " : "with ");
    std::vector<fs::path> files;
    for (const std::string what : {"night", "before", "pair", "luminance", "day", "raw"}) {
        if (!options.wants(what))
            continue;
        // Without fixtures a variant is the site as it is, but for the season.
        if (what == "before" && !pictured.variant.empty() && !pictured.has_own_plants)
            continue;
        const std::string ending =
            what == "raw" ? ".pfm" : fmt::format(".{}{}", what, ending_of(picture_formats(false).front()));
        const fs::path name = fs::path("views") / (view.id + of + ending);
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

/// A stage with what was traced on it, kept from one variant to the next where that changes no plant.
struct StageToPicture {
    bool has_own_plants = false; ///< of a variant
    std::unique_ptr<Stage> stage;
    std::vector<Region> regions;
    BounceSetup setup;
    BouncedLight bounced_before; ///< without fixtures
    std::vector<ViewImage> before;
};

/// A share of the whole work, for its progress.
struct ShareOfWork {
    double from = 0, part = 1;
    double at(double share) const { return from + part * share; }
};

class SitePicturer {
public:
    SitePicturer(SiteFile& site_file, const ViewOptions& options)
        : site_file_(site_file), options_(options), views_(choose_views(site_file, options)) {
        for (const View& view : views_)
            locate_view(site_file.site, view,
                        [&] { cameras_.push_back(make_camera(view, options.width, options.height)); });
    }

    void picture(const PicturedSite& pictured, ShareOfWork work, OutputFolder& folder,
                 std::vector<ViewResult>& results) {
        const Site& site = pictured.site;
        if (!held_.stage || held_.has_own_plants || pictured.has_own_plants)
            set_stage(pictured);
        const std::vector<LitFixture> fixtures = make_lit(pictured);
        const BouncedLight bounced = bounce(site, fixtures, work);
        const FixtureBodies bodies = build_fixture_bodies(site);
        for (std::size_t i = 0; i < views_.size(); ++i) {
            const View& view = views_[i];
            const double part = 0.8 / static_cast<double>(views_.size());
            const ShareOfWork own{work.at(0.2 + part * static_cast<double>(i)), work.part * part};
            const bool needs_before = wants_before() && held_.before.size() <= i;
            const double night_share = needs_before ? 0.6 : 0.9;
            ViewImages images;
            images.image = trace_view(
                *held_.stage, fixtures, cameras_[i], site.ambient, bounced,
                [&](double share) { progress_.show("view " + view.id, own.at(night_share * share)); },
                nullptr, options_.wants("day") ? Detail::fine : Detail::fine_by_night);
            if (needs_before)
                held_.before.push_back(trace_view(
                    *held_.stage, {}, cameras_[i], site.ambient, held_.bounced_before,
                    [&](double share) {
                        progress_.show("before, view " + view.id, own.at(night_share + 0.3 * share));
                    },
                    nullptr, Detail::fine_by_night));
            if (wants_before())
                images.before = held_.before[i];
            results.push_back(
                {.report = measure_view(view.id, images.image, fixtures, held_.regions),
                 .features = look_from_views(site, *held_.stage, {view}, fixtures, bounced, options_.lit,
                                             static_cast<double>(options_.height) / options_.width),
                 .stops = options_.exposure,
                 .variant = pictured.variant});
            images.shown = show_bodies(bodies, *held_.stage, fixtures, site.ambient, bounced, images.image);
            for (const fs::path& file : write_view(pictured, view, images, fixtures, options_, folder))
                results.back().files.push_back(file.generic_string());
        }
    }

    void finish() {
        progress_.clear();
        print_problems(site_file_.warnings);
        print_problems(warnings_);
    }

private:
    void set_stage(const PicturedSite& pictured) {
        held_ = {.has_own_plants = pictured.has_own_plants, .setup = {.use = BounceUse::pictures}};
        held_.stage = build_stage(pictured.site, site_file_.folder());
        for (const View& view : views_)
            locate_view(pictured.site, view, [&] { check_eye(*held_.stage, view); });
        held_.regions = find_regions(pictured.site, *held_.stage);
        for (Problem& warning : site_file_.locate(held_.stage->warnings))
            if (std::find(warnings_.begin(), warnings_.end(), warning) == warnings_.end())
                warnings_.push_back(std::move(warning));
    }

    bool wants_before() const { return options_.wants("before") || options_.wants("pair"); }

    std::vector<LitFixture> make_lit(const PicturedSite& pictured) {
        std::vector<LitFixture> fixtures = make_fixtures(pictured.site, site_file_.folder());
        if (options_.as_wired && pictured.variant.empty())
            apply_wiring(site_file_, fixtures);
        else if (options_.as_wired)
            apply_wiring(pictured.site, site_file_, fixtures);
        return fixtures;
    }

    BouncedLight bounce(const Site& site, const std::vector<LitFixture>& fixtures, ShareOfWork work) {
        if (options_.direct_only)
            return {};
        const Progress progress = [&](double share) { progress_.show("bouncing", work.at(0.2 * share)); };
        update_bounce(*held_.stage, fixtures, site.ambient, held_.setup, progress);
        BouncedLight bounced = find_bounced_light(held_.setup, fixtures);
        if (wants_before() && held_.before.empty()) { // the same rays, without lamps
            update_bounce(*held_.stage, {}, site.ambient, held_.setup);
            held_.bounced_before = find_bounced_light(held_.setup, {});
        }
        return bounced;
    }

    SiteFile& site_file_;
    const ViewOptions& options_;
    std::vector<View> views_;
    std::vector<Camera> cameras_;
    StageToPicture held_;
    std::vector<Problem> warnings_; ///< of stages
    ProgressLine progress_;
};

int run_view(const ViewOptions& options) {
    SiteFile site_file = read_site_file(options.site);
    apply_season(options.season, site_file);
    std::vector<ViewResult> results;
    std::string light_loss;
    locate_errors(site_file, [&] {
        SitePicturer picturer(site_file, options);
        const std::vector<PicturedSite> all =
            name_option("--variant", [&] { return choose_pictured(site_file, options); });
        std::vector<NamedSite> named;
        for (const PicturedSite& one : all)
            named.push_back({one.variant, &one.site});
        light_loss = print_light_losses(named);
        OutputFolder folder(options.out, "view");
        for (std::size_t k = 0; k < all.size(); ++k) {
            const double part = 1.0 / static_cast<double>(all.size());
            picturer.picture(all[k], {part * static_cast<double>(k), part}, folder, results);
        }
        folder.finish();
        picturer.finish();
    });
    if (options.json)
        fmt::print("{}", print_views_json(site_file.site, results));
    else {
        for (const std::string& line : print_views(site_file.site, results, options.lit))
            fmt::print("{}\n", line);
        fmt::print("{}\n", light_loss);
    }
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
    command
        ->add_option("--variant", options->variants,
                     "ids of variants of the site, comma between: each is pictured beside the site as it is, "
                     "as views/ID.VARIANT.night.png and so on")
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
