// Lights a site and draws all that an offer shows of it.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <memory>

#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/base/version.hpp"
#include "duskcast/draw/jpeg.hpp"
#include "duskcast/light/solve_bounce.hpp"
#include "duskcast/photo/photo_report.hpp"
#include "duskcast/photo/relight.hpp"
#include "duskcast/power/advice.hpp"
#include "duskcast/sheets/client_plan.hpp"
#include "duskcast/sheets/client_words.hpp"
#include "duskcast/sheets/fixture_words.hpp"
#include "duskcast/sheets/load_picture.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "duskcast/sheets/plate.hpp"
#include "duskcast/sheets/proposal.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/season.hpp"
#include "duskcast/view/fixture_bodies.hpp"
#include "duskcast/view/see.hpp"

namespace duskcast {

namespace {

constexpr double picture_shape = 2.0 / 3.0; ///< height of width
// Pixels across: of the page, of its text, and of half of that and less.
constexpr int cover_width = 1350, view_width = 1050, before_width = 780, small_width = 640;
constexpr double years_shown = 10;

/// A site made ready for pictures.
struct Scene {
    Site site;
    std::shared_ptr<const Stage> stage;
    std::vector<LitFixture> fixtures;
    BounceSetup setup;
    BouncedLight bounced;
};

Scene make_scene(const Site& site, const std::filesystem::path& folder, BounceUse use) {
    Scene scene{.site = site};
    scene.stage = build_stage(site, folder);
    scene.fixtures = make_fixtures(site, folder);
    scene.setup = set_up_bounce(*scene.stage, scene.fixtures, site.ambient, {}, use);
    scene.bounced = find_bounced_light(scene.setup, scene.fixtures);
    return scene;
}

/// The client's own picture, which shows what can be promised better than any drawing.
struct ClientPhoto {
    PhotoPixels day;
    std::unique_ptr<const RelightPlan> plan;
};

/// A view of what the photo shows, for all that the site's views are asked for.
View make_view(const Photo& photo, const Camera& camera) {
    const double half = camera.width / 2.0 / camera.pixels_per_tangent;
    return {.id = photo.id,
            .eye = camera.eye,
            .look_at = camera.eye + camera.forward,
            .field_of_view = 2 * std::atan(half)};
}

class ProposalMaker {
public:
    ProposalMaker(const SiteFile& site_file, const BusinessFile& business, const ProposalChoice& choice,
                  const Progress& progress)
        : site_file_(site_file), site_(site_file.site), choice_(choice), progress_(progress) {
        made_.business = business;
        made_.site_name = site_.name;
        made_.client = choice.client;
        made_.date = choice.date;
        made_.units = site_.units;
        made_.paper = choice.paper;
        made_.origin = fmt::format("Drawn by duskcast {} from {}, version {:016x}.", duskcast_version,
                                   text_of(site_file.file.filename()), site_file.hash);
    }

    Proposal make() {
        find_faults();
        std::optional<Camera> camera;
        if (!site_.photos.empty()) {
            camera = measure_photo(site_, site_.photos.front(), site_file_.folder()).fit.camera();
            if (site_.views.empty())
                site_.views.push_back(make_view(site_.photos.front(), *camera));
        }
        scene_ = make_scene(site_, site_file_.folder(), BounceUse::figures);
        for (const View& view : site_.views)
            check_eye(*scene_.stage, view);
        if (camera)
            plan_photo(*camera);
        tell(0.1);
        lighting_ = trace_lighting(*scene_.stage, scene_.fixtures);
        add_bounce(scene_.setup, lighting_);
        report_ = measure_with_views(site_, site_file_.folder(), *scene_.stage, lighting_);
        tell(0.3);
        draw_cover();
        draw_views();
        tell(0.45);
        draw_features();
        tell(0.6);
        draw_options();
        tell(0.75);
        draw_seasons();
        tell(0.85);
        made_.plan = make_page_picture(
            draw_client_plan(site_, read_colour(made_.business.business.accent), first_format()),
            first_format(), "Plan of the property with the lights by their numbers");
        list_fixtures();
        made_.service = print_service(site_, plan_service(site_, made_.business.business));
        add_technical_sheets();
        add_summary();
        return std::move(made_);
    }

private:
    static PictureFormat first_format() { return picture_formats(false).front(); }
    void tell(double share) const {
        if (progress_)
            progress_(share);
    }

    void find_faults() const {
        if (site_.views.empty() && site_.photos.empty())
            throw InputError(Problem{
                .place = {.path = "views"},
                .what = "a proposal shows the property from its views or in a photo, and there are none",
                .remedy = "add a view, for example \"arriving\", or a photo with its marks"});
        if (site_.fixtures.empty())
            throw InputError(Problem{.place = {.path = "fixtures"},
                                     .what = "there are no fixtures to propose",
                                     .remedy = "add one"});
    }

    ViewImage trace(const Scene& scene, const View& view, int width) const {
        if (choice_.is_quick)
            width /= 4;
        const Camera camera = make_camera(view, width, static_cast<int>(std::lround(width * picture_shape)));
        ViewImage image = trace_view(*scene.stage, scene.fixtures, camera, scene.site.ambient, scene.bounced,
                                     {}, nullptr, Detail::fine_by_night);
        if (scene.fixtures.empty()) // as it is today
            return image;
        return show_bodies(build_fixture_bodies(scene.site), *scene.stage, scene.fixtures, scene.site.ambient,
                           scene.bounced, std::move(image));
    }

    PagePicture night(const ViewImage& image, std::string words) const {
        return {"image/jpeg",
                print_jpeg(make_night_raster(image, {.ambient_lx = site_.ambient, .sky = site_.sky})),
                std::move(words)};
    }

    void plan_photo(const Camera& camera) {
        const Photo& photo = site_.photos.front();
        photo_.emplace(ClientPhoto{read_photo(path_in(site_file_.folder(), photo.file)), nullptr});
        photo_->plan =
            std::make_unique<RelightPlan>(site_, *scene_.stage, photo, photo_->day, camera, scene_.setup);
    }

    /// The client's photo in the light of a scene.
    PagePicture relight_photo(const Scene& scene, std::string words) const {
        const ViewImage image = photo_->plan->relight(scene.fixtures, scene.site.ambient, scene.bounced);
        return {"image/jpeg", print_jpeg(make_photo_raster(image, {.ambient_lx = scene.site.ambient})),
                std::move(words)};
    }

    void draw_cover() {
        const std::string words = fmt::format("{} by night, as designed", site_.name);
        if (photo_) {
            made_.cover = relight_photo(scene_, words);
            made_.before = {"image/jpeg", print_jpeg(make_photo_raster(photo_->day)),
                            fmt::format("{} by day, as it is now", site_.name)};
            made_.is_photo = true;
            return;
        }
        const View& view = site_.views.front();
        const ViewImage image = trace(scene_, view, cover_width);
        made_.cover = night(image, words);
        Scene dark{.site = site_, .stage = scene_.stage};
        dark.setup = scene_.setup; // the same rays, without lamps
        update_bounce(*dark.stage, {}, site_.ambient, dark.setup);
        dark.bounced = find_bounced_light(dark.setup, {});
        made_.before = night(trace(dark, view, before_width),
                             fmt::format("{} by night today, without the lighting", site_.name));
    }

    void draw_views() {
        constexpr std::size_t most_views = 4;
        for (const View& view : site_.views) {
            if (made_.views.size() == most_views)
                break;
            const std::string title = print_viewpoint(view.id);
            // The cover shows the first, unless it is a photo.
            PagePicture picture =
                made_.views.empty() && !photo_ ? made_.cover : night(trace(scene_, view, view_width), title);
            made_.views.push_back({title, std::move(picture), print_from_view(site_, report_, view.id)});
        }
    }

    /// Where the things of a feature stand in space.
    std::vector<glm::dvec3> find_points(const LitThing& thing) const {
        std::vector<glm::dvec3> points;
        const Sensors& sensors = scene_.stage->sensors;
        if (thing.target != nullptr) {
            for (const Target& target : site_.targets)
                if (target.id == thing.id)
                    for (const std::uint32_t sensor : find_region(site_, *scene_.stage, target).sensors)
                        points.emplace_back(sensors.position(sensor));
            return points;
        }
        for (const Surface& surface : scene_.stage->surfaces)
            if (surface.part_of == thing.on || surface.id == thing.on)
                for (std::uint32_t i = 0; i < surface.count; ++i)
                    points.emplace_back(sensors.position(surface.first + i));
        return points;
    }

    /// Of the views that show the thing the one whose picture holds most of it.
    const View& find_view_of(const LitThing& thing, const std::vector<glm::dvec3>& points) const {
        const View* best = &site_.views.front();
        std::size_t most = 0;
        for (const View& view : site_.views) {
            const bool is_seen =
                std::any_of(report_.seen.begin(), report_.seen.end(), [&](const SeenFeature& seen) {
                    return seen.feature == thing.id && seen.from.view == view.id && seen.is_seen();
                });
            if (!is_seen)
                continue;
            const Camera camera = make_camera(view, 300, 200);
            const auto held = static_cast<std::size_t>(
                std::count_if(points.begin(), points.end(), [&](const glm::dvec3& point) {
                    const auto place = camera.project(point);
                    return place && place->x >= 0 && place->x < 300 && place->y >= 0 && place->y < 200;
                }));
            if (held > most) {
                most = held;
                best = &view;
            }
        }
        return *best;
    }

    /// The view with its field narrowed to the points; itself where they are not before it.
    static View frame_points(View view, const std::vector<glm::dvec3>& points) {
        constexpr double air = 1.35; // room round the thing
        if (points.empty())
            return view;
        glm::dvec3 low = points.front(), high = points.front();
        for (const glm::dvec3& point : points) {
            low = glm::min(low, point);
            high = glm::max(high, point);
        }
        const double widest = view.field_of_view;
        View near = view;
        near.look_at = (low + high) / 2.0;
        near.field_of_view = radians_from_degrees(90);
        const Camera camera = make_camera(near, 1000, 667);
        double half = 0; // tangent of the half field
        for (const glm::dvec3& point : points) {
            const auto place = camera.project(point);
            if (!place)
                return view;
            half = std::max({half, std::abs(place->x - 500) / camera.pixels_per_tangent,
                             std::abs(place->y - 333.5) / camera.pixels_per_tangent / picture_shape});
        }
        near.field_of_view = std::clamp(2 * std::atan(air * half), radians_from_degrees(12),
                                        std::max(widest, radians_from_degrees(60)));
        return near;
    }

    void draw_features() {
        constexpr std::size_t most_features = 12;
        for (LitThing& thing : list_lit_things(site_, report_)) {
            if (made_.features.size() == most_features)
                break;
            const std::vector<glm::dvec3> points = find_points(thing);
            const View& view = find_view_of(thing, points);
            for (const SeenFeature& seen : report_.seen) // as the picture beside the words shows it
                if (seen.feature == thing.id && seen.is_tree == thing.is_tree && seen.from.view == view.id &&
                    seen.is_seen())
                    thing.seen = &seen;
            const std::string title = titled(spoken_name(thing.id));
            made_.features.push_back(
                {title,
                 night(trace(scene_, frame_points(view, points), small_width), title + " by night"),
                 {print_lit_thing(site_, thing)}});
        }
    }

    void draw_options() {
        std::vector<Site> sites;
        made_.options = make_options(site_file_, choice_, made_.business.business, sites);
        for (std::size_t i = 0; i < sites.size(); ++i) {
            if (made_.options[i].is_proposed) {
                made_.options[i].picture = made_.cover;
                continue;
            }
            Scene scene{.site = sites[i], .stage = scene_.stage};
            scene.fixtures = make_fixtures(sites[i], site_file_.folder());
            scene.setup = scene_.setup;
            update_bounce(*scene.stage, scene.fixtures, sites[i].ambient, scene.setup);
            scene.bounced = find_bounced_light(scene.setup, scene.fixtures);
            const std::string words = made_.options[i].name + " by night";
            made_.options[i].picture = photo_ ? relight_photo(scene, words)
                                              : night(trace(scene, site_.views.front(), small_width), words);
        }
    }

    void draw_seasons() {
        const Site grown = in_season(site_, Season::in_leaf, years_shown);
        const TreeFrame frame = frame_tree(grown);
        const bool has_leaves = std::any_of(site_.trees.begin(), site_.trees.end(),
                                            [](const Tree& tree) { return tree.foliage.is_deciduous; });
        if (has_leaves)
            add_season(in_season(site_, Season::bare, 0), frame.view, "In winter",
                       {"Bare boughs catch the light, and more of it passes through."});
        std::vector<std::string> growth;
        for (std::size_t i = 0; i < site_.trees.size(); ++i)
            if (grown.trees[i].height > site_.trees[i].height)
                growth.push_back(fmt::format("The {} is {} tall today and about {} then.",
                                             spoken_name(site_.trees[i].id),
                                             print_height(site_.trees[i].height, site_.units),
                                             print_height(grown.trees[i].height, site_.units)));
        if (!growth.empty()) {
            growth.push_back("Lights at a growing tree are moved out and given stronger lamps in time.");
            add_season(grown, frame.view,
                       fmt::format("In {} years", print_count(static_cast<std::size_t>(years_shown))),
                       growth);
        }
        if (!made_.seasons.empty() && frame.tree != nullptr)
            made_.seasons.insert(
                made_.seasons.begin(),
                {"Today",
                 night(trace(scene_, frame.view, small_width), "Today"),
                 {fmt::format("The {}, as the first night will show it.", spoken_name(frame.tree->id))}});
    }

    /// A tree, and a view that takes in all of it.
    struct TreeFrame {
        View view;
        const Tree* tree = nullptr; ///< null: none is seen
    };

    /// Of the trees seen from the site's views the one that fills a picture best; where some of them grow, of
    /// those.
    TreeFrame frame_tree(const Site& grown) const {
        const double widest = radians_from_degrees(55);
        TreeFrame best{site_.views.front()};
        bool is_growing = false; // the best
        for (const SeenFeature& seen : report_.seen)
            for (const View& view : site_.views) {
                const Tree* then_tree = find_tree(grown, seen.on);
                if (then_tree == nullptr || !seen.is_seen() || seen.from.view != view.id)
                    continue;
                const Tree* tree = find_tree(site_, seen.on);
                const View framed = frame_points(view, list_extremes(*then_tree));
                const double now = best.view.field_of_view, then = framed.field_of_view;
                const bool grows = then_tree->height > tree->height;
                const bool is_better =
                    grows != is_growing ? grows : (now > widest ? then < now : then > now && then <= widest);
                if (best.tree == nullptr || is_better) {
                    best = {framed, tree};
                    is_growing = grows;
                }
            }
        return best;
    }

    /// The ends of a tree, four about its foot and four at its top.
    static std::vector<glm::dvec3> list_extremes(const Tree& tree) {
        std::vector<glm::dvec3> points;
        for (const double height : {0.0, tree.height})
            for (const glm::dvec2 side : {glm::dvec2(-0.5, 0), {0.5, 0}, {0, -0.5}, {0, 0.5}})
                points.emplace_back(tree.at + tree.width * side, tree.foot + height);
        return points;
    }

    void add_season(const Site& site, const View& view, const std::string& title,
                    std::vector<std::string> sentences) {
        for (const Problem& problem : check_site(site, site_file_.folder()))
            if (problem.severity == Severity::error)
                return; // such as a fixture that a trunk has grown over
        const Scene scene = make_scene(site, site_file_.folder(), BounceUse::pictures);
        made_.seasons.push_back({title, night(trace(scene, view, small_width), title), std::move(sentences)});
    }

    void list_fixtures() {
        for (const Fixture& fixture : site_.fixtures) {
            const PlacedFixture placed = place_fixture(site_, fixture);
            const bool is_set_back = !fixture.wall.empty() || !fixture.tree.empty();
            const FixtureText text = describe_fixture(
                site_, fixture, is_set_back ? std::optional(setback_of(fixture)) : std::nullopt,
                placed.position.z);
            ProposalFixture row{.id = fixture.id,
                                .lamp = text.lamp,
                                .spot = print_fixture_place(site_, fixture),
                                .aim = text.placed};
            const FixtureModel* model = find_model(site_.catalogue, fixture.model);
            row.name = titled(model == nullptr      ? name_of(fixture.kind)
                              : model->name.empty() ? model->id
                                                    : model->name);
            row.place = !fixture.wall.empty()   ? "at the " + spoken_name(fixture.wall)
                        : !fixture.tree.empty() ? "at the " + spoken_name(fixture.tree)
                                                : "";
            for (const FixturePurpose& purpose : report_.purposes)
                if (purpose.fixture == fixture.id && !purpose.on.empty()) {
                    const std::string& thing = purpose.target.empty() ? purpose.on : purpose.target;
                    if (purpose.on != fixture.tree && thing != fixture.wall)
                        row.place +=
                            (row.place.empty() ? "" : ", ") + std::string("for the ") + spoken_name(thing);
                }
            if (row.place.empty())
                for (const GroundArea& area : site_.ground.areas)
                    if (is_inside(area.outline, glm::dvec2(placed.position)))
                        row.place = "in the " + spoken_name(area.id);
            made_.fixtures.push_back(std::move(row));
        }
    }

    void add_technical_sheets() {
        const PlateSource source{site_, *scene_.stage, lighting_, report_};
        for (const Plate& plate : list_plates(source))
            made_.plates.push_back(
                make_page_picture(draw_plate(source, plate, first_format()), first_format(), plate.id));
        made_.tables.push_back({"Light by surface", print_surface_table(site_, *scene_.stage, report_)});
        if (!site_.network)
            return;
        const LoadReport load = measure_load(site_, site_file_.folder(), {});
        made_.diagrams.push_back(
            make_page_picture(draw_cable_plan(site_, load, first_format()), first_format(), "Cable plan"));
        made_.diagrams.push_back(make_page_picture(draw_one_line(site_, load, first_format()), first_format(),
                                                   "One-line diagram"));
        made_.tables.push_back({"Load", print_load_table(load, site_.units)});
        made_.tables.push_back({"What it comes to", print_load_verdict(load, site_.units)});
        made_.cautions = print_load_cautions(site_.units);
    }

    void add_summary() {
        double watts = 0;
        for (const LitFixture& fixture : scene_.fixtures)
            watts += fixture.watts;
        constexpr double old_bulb = 60; // watts
        const auto bulbs = static_cast<std::size_t>(std::max(1L, std::lround(watts / old_bulb)));
        made_.summary = fmt::format(
            "{} lights, {} watts in all: {} {} light bulb{} of the old kind.",
            titled(print_count(site_.fixtures.size())), print_number(std::round(watts)),
            watts < old_bulb ? "less than" : "about as much as", print_count(bulbs), bulbs == 1 ? "" : "s");
        if (made_.cautions.empty())
            made_.cautions.push_back(
                "The line-voltage side is work for a licensed electrician. Local code decides.");
        made_.cautions.insert(
            made_.cautions.begin(),
            "The pictures are computed from the plan, lamp by lamp. They are estimates: weather, planting, "
            "dirt and the real colours of things change what is seen, and the lights are aimed by eye on "
            "the first night.");
    }

    const SiteFile& site_file_;
    Site site_; ///< with a view at least
    const ProposalChoice& choice_;
    const Progress& progress_;
    Proposal made_;
    Scene scene_;
    std::optional<ClientPhoto> photo_; ///< the first, where the site has one
    Lighting lighting_;
    Report report_;
};

} // namespace

Proposal make_proposal(const SiteFile& site_file, const BusinessFile& business, const ProposalChoice& choice,
                       const Progress& progress) {
    return ProposalMaker(site_file, business, choice, progress).make();
}

} // namespace duskcast
