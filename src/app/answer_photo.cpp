// Photos: their cameras, what clicks on them measure, what is drawn on them, and the photo by night.

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "answers.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/photo/photo_places.hpp"
#include "duskcast/sheets/photo_words.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"
#include "photo_desk.hpp"

namespace duskcast {
namespace {

constexpr double ninety = 1.645; ///< standard deviations to either side, of a normal distribution

const Photo& find_photo(const Session& session, const Json& question) {
    const std::string id = question.at("photo").get<std::string>();
    std::vector<std::string> known;
    for (const Photo& photo : session.site().photos) {
        if (photo.id == id)
            return photo;
        known.push_back(photo.id);
    }
    const std::string nearest = find_nearest_word(id, known);
    refuse("the site has no photo \"" + id + "\"",
           nearest.empty() ? "name one of those under \"photos\"" : "did you mean \"" + nearest + "\"?");
}

/// The photo's camera; throws where it is not known.
const PhotoReport& find_camera(const PhotoSight& sight) {
    if (!sight.report)
        throw InputError(sight.problems);
    return *sight.report;
}

/// A tenth of a pixel is more than is seen.
Json pixel_point(const glm::dvec2& at) {
    return Json::array({0.1 * std::round(10 * at.x), 0.1 * std::round(10 * at.y)});
}
Json pixel_point(const std::optional<glm::dvec2>& at) {
    return at ? pixel_point(*at) : Json(nullptr);
}
Json pixel_points(const std::vector<glm::dvec2>& line) {
    Json list = Json::array();
    for (const glm::dvec2& at : line)
        list.push_back(pixel_point(at));
    return list;
}

glm::dvec2 read_pixel(const Json& question, const char* key) {
    const auto values = question.at(key).get<std::array<double, 2>>();
    return {values[0], values[1]};
}

bool is_same_place(const Site& site, const PhotoMark& a, const PhotoMark& b) {
    constexpr double near = 1e-3; // metres
    return glm::distance(place_of(site, a), place_of(site, b)) < near;
}

/// "16 ft 9 in east, 16 ft south, on the ground".
std::string print_spot(const glm::dvec3& at, LengthUnit unit) {
    return fmt::format("{} {}, {} {}, {}", print_length(std::abs(at.x), unit), at.x < 0 ? "west" : "east",
                       print_length(std::abs(at.y), unit), at.y < 0 ? "south" : "north",
                       at.z == 0 ? "on the ground" : print_length(at.z, unit) + " up");
}

/// The part and the place on it, such as "left-window" and "lower left corner": where a mark is said to be.
std::pair<std::string, std::string> name_place(const Site& site, const std::vector<PhotoPlace>& places,
                                               const PhotoMark& mark) {
    for (const PhotoPlace& place : places)
        if (is_same_place(site, place.mark, mark))
            return {place.of, place.words};
    if (mark.at)
        return {"", print_spot(*mark.at, site.units)};
    return {mark.wall, fmt::format("{} along, {} up", print_length(mark.along, site.units),
                                   print_length(mark.up, site.units))};
}

/// "the lower left corner of the left window".
std::string call_place(const std::pair<std::string, std::string>& place) {
    auto [of, words] = place;
    std::replace(of.begin(), of.end(), '-', ' ');
    return of.empty() ? "the mark at " + words : fmt::format("the {} of the {}", words, of);
}

/// Clicks are good to 1 pixel in 960 (fit_camera): three times that is more than a hand's trembling.
const char* mark_state(const MarkFit& fit, glm::ivec2 size) {
    if (fit.is_suspect)
        return "wrong";
    return glm::length(fit.off_px) > 3 * size.x / 960.0 ? "off" : "good";
}

Json print_marks(const Site& site, const Photo& photo, const PhotoSight& sight) {
    const std::vector<PhotoPlace> places = list_places(site);
    Json list = Json::array();
    for (std::size_t i = 0; i < photo.marks.size(); ++i) {
        const PhotoMark& mark = photo.marks[i];
        const auto [of, words] = name_place(site, places, mark);
        Json row = json_object({{"id", mark.id},
                                {"of", of},
                                {"place", words},
                                {"falls_at", nullptr},
                                {"off_px", nullptr},
                                {"fit_words", ""},
                                {"state", "open"}});
        if (sight.report) {
            const MarkFit& fit = sight.report->fit.marks[i];
            row["falls_at"] = pixel_point(sight.report->fit.camera().project(place_of(site, mark)));
            row["off_px"] = glm::length(fit.off_px);
            row["fit_words"] =
                fit.is_suspect
                    ? fmt::format("looks wrong: the others would have it {:.0f} px away", fit.without_px)
                    : fmt::format("{:.1f} px{}", glm::length(fit.off_px),
                                  fit.off_m < 0.006 ? "" : ", " + print_length(fit.off_m, site.units));
            row["state"] = mark_state(fit, sight.report->info.size);
        }
        list.push_back(std::move(row));
    }
    return list;
}

/// "Good to 1 in on the walls and 5 in on the ground": nine times of ten, at the marks.
std::string print_worth(const Site& site, const Photo& photo, const PhotoReport& report) {
    std::vector<double> on_walls, on_ground;
    const Camera camera = report.fit.camera();
    for (const PhotoMark& mark : photo.marks) {
        const auto pixel = camera.project(place_of(site, mark));
        if (!pixel)
            continue;
        if (const Wall* wall = find_wall(site, mark.wall)) {
            if (const auto found = measure_on_wall(*wall, report.fit, *pixel))
                on_walls.push_back(std::max(found->along_deviation, found->up_deviation));
        } else if (mark.at) {
            const glm::dvec3 at = *mark.at;
            if (const auto found = measure_on_plane(report.fit, *pixel, {0, 0, at.z}, {0, 0, 1}))
                on_ground.push_back(std::max(found->deviation({1, 0, 0}), found->deviation({0, 1, 0})));
        }
    }
    const auto middle = [&](std::vector<double>& values) {
        std::sort(values.begin(), values.end());
        return print_length(std::max(0.0127, ninety * values[values.size() / 2]), site.units);
    };
    if (on_walls.empty())
        return on_ground.empty() ? "" : fmt::format("Good to {} on the ground", middle(on_ground));
    if (on_ground.empty())
        return fmt::format("Good to {} on the walls", middle(on_walls));
    return fmt::format("Good to {} on the walls and {} on the ground", middle(on_walls), middle(on_ground));
}

/// Where a fixture would stand along its wall: along, and the pixel of its lens there.
Json print_rail(const Site& site, const Fixture& fixture, const glm::dvec3& lens, const Camera& camera) {
    constexpr double step = 0.15; // metres
    Json rail = Json::array();
    const Wall* wall = find_wall(site, fixture.wall);
    if (!wall)
        return rail;
    const double setback = setback_of(fixture);
    for (const RunSegment& segment : run_of(*wall)) {
        const int count = std::max(1, static_cast<int>(std::ceil(segment.length / step)));
        for (int i = 0; i <= count; ++i) {
            const double along = segment.length * i / count;
            const glm::dvec2 at = segment.start + along * segment.direction + setback * segment.outward;
            if (const auto pixel = camera.project({at, lens.z}))
                rail.push_back(Json::array({segment.along + along, 0.1 * std::round(10 * pixel->x),
                                            0.1 * std::round(10 * pixel->y)}));
        }
    }
    return rail;
}

Json print_seen_fixtures(const Session& session, const Camera& camera) {
    constexpr float farthest = 60, slack = 0.15f; // metres; a lens is its own fixture's neighbour
    const Site& site = session.site();
    const RayKernel& kernel = *session.stage().kernel;
    Json list = Json::array();
    for (const Fixture& fixture : site.fixtures) {
        const PlacedFixture placed = place_fixture(site, fixture);
        const glm::vec3 lens(placed.position), eye(camera.eye);
        const double foot = placed.position.z - fixture.lens_height;
        const glm::vec3 beam(beam_axis(placed.aim));
        const Hit met = kernel.find_hit(lens, beam, 0.02f, farthest);
        const float off = glm::distance(lens, eye);
        const Hit before = kernel.find_hit(eye, (lens - eye) / off, 0, std::max(0.0f, off - slack));
        std::optional<glm::dvec2> aim;
        if (met)
            aim = camera.project(glm::dvec3(lens + met.distance * beam));
        list.push_back(
            json_object({{"id", fixture.id},
                         {"lens", pixel_point(camera.project(placed.position))},
                         {"foot", pixel_point(camera.project({placed.position.x, placed.position.y, foot}))},
                         {"aim", pixel_point(aim)},
                         {"is_hidden", static_cast<bool>(before)},
                         {"rail", print_rail(site, fixture, placed.position, camera)}}));
    }
    return list;
}

Json print_photo(const Session& session, const Photo& photo, const PhotoSight& sight) {
    const Site& site = session.site();
    Json answer = json_object({{"id", photo.id},
                               {"file", photo.file},
                               {"size", nullptr},
                               {"focal_35mm", number(photo.focal_35mm)},
                               {"is_found", sight.report.has_value()},
                               {"problems", list_problems(sight.problems, session.folder())},
                               {"doubts", Json::array()},
                               {"worth", ""},
                               {"marks", print_marks(site, photo, sight)},
                               {"fixtures", Json::array()}});
    if (sight.info) {
        answer["size"] = Json::array({sight.info->size.x, sight.info->size.y});
        if (!photo.focal_35mm)
            answer["focal_35mm"] = number(sight.info->focal_35mm);
    }
    if (sight.report) {
        answer["doubts"] = print_mark_doubts(sight.report->fit, site.units, [&](std::size_t mark) {
            return call_place(name_place(site, list_places(site), photo.marks[mark]));
        });
        answer["worth"] = print_worth(site, photo, *sight.report);
        answer["fixtures"] = print_seen_fixtures(session, sight.report->fit.camera());
    }
    return answer;
}

/// The parts of walls on the picture, as they are drawn on the wall's own sheet.
Json print_shapes(const Session& session, const Camera& camera) {
    Json shapes = Json::array();
    for (const Surface& surface : session.stage().surfaces) {
        if (surface.kind != SurfaceKind::wall || surface.run.empty())
            continue;
        for (const OutlineShape& outline : surface.outline) {
            if (outline.points.empty() ||
                (outline.role != OutlineShape::Role::opening && surface.run.size() > 1))
                continue;
            std::vector<glm::dvec2> line;
            bool is_seen = true;
            for (const glm::dvec2& at : outline.points) {
                const RunSegment& segment = segment_at(surface.run, at.x);
                const glm::dvec2 plan = segment.start + (at.x - segment.along) * segment.direction;
                const auto pixel = camera.project({plan, surface.foot + at.y});
                is_seen =
                    is_seen && pixel && glm::dot(glm::dvec2(camera.eye) - segment.start, segment.outward) > 0;
                line.push_back(pixel.value_or(glm::dvec2(0)));
            }
            if (is_seen)
                shapes.push_back(json_object({{"wall", surface.id},
                                              {"id", outline.id},
                                              {"role", outline_word(outline.role)},
                                              {"points", pixel_points(line)},
                                              {"is_closed", outline.is_closed}}));
        }
    }
    return shapes;
}

std::optional<ClickPlane> find_plane(const Site& site, const CameraFit& fit, const glm::dvec2& pixel) {
    const Click click = measure_click(site, fit, pixel);
    if (click.on_wall)
        return plane_of(*find_wall(site, click.on_wall->wall), click.on_wall->along);
    return click.on_ground ? find_ground(site.ground, fit, pixel) : std::nullopt;
}

Json print_on_wall(const Site& site, const std::optional<ClickOnWall>& click) {
    if (!click)
        return nullptr;
    return json_object({{"wall", click->wall},
                        {"along", click->along},
                        {"up", click->up},
                        {"words", fmt::format("{} along, {} up",
                                              print_within(click->along, click->along_deviation, site.units),
                                              print_within(click->up, click->up_deviation, site.units))}});
}

Json print_on_ground(const Site& site, const std::optional<MeasuredPlace>& place) {
    if (!place)
        return nullptr;
    return json_object(
        {{"at", point(glm::dvec2(place->place))},
         {"words", fmt::format("{} east, {} north",
                               print_within(place->place.x, place->deviation({1, 0, 0}), site.units),
                               print_within(place->place.y, place->deviation({0, 1, 0}), site.units))}});
}

/// Where a fixture stands whose lens is seen at that pixel, as high above the ground as it is now.
std::optional<MeasuredPlace> measure_lens(const Site& site, const std::string& id, const CameraFit& fit,
                                          const glm::dvec2& pixel) {
    for (const Fixture& fixture : site.fixtures)
        if (fixture.id == id) {
            const glm::dvec3 lens = place_fixture(site, fixture).position;
            const double above = lens.z - ground_height_at(site.ground, lens);
            if (const auto plane = find_ground(site.ground, fit, pixel, above))
                return measure_on_plane(fit, pixel, plane->point, plane->normal);
            return std::nullopt;
        }
    refuse("the site has no fixture \"" + id + "\"", "");
}

} // namespace

Json answer_photos(const Session& session, PhotoDesk& desk) {
    Json list = Json::array();
    for (const Photo& photo : session.site().photos)
        list.push_back(print_photo(session, photo, desk.look(session, photo)));
    return json_object({{"photos", std::move(list)}});
}

Json answer_photo_lines(const Session& session, PhotoDesk& desk, const Json& question) {
    const Site& site = session.site();
    const Photo& photo = find_photo(session, question);
    const PhotoSight& sight = desk.look(session, photo);
    std::optional<Camera> camera;
    if (sight.report)
        camera = sight.report->fit.camera();
    Json grid = Json::array(), places = Json::array();
    if (camera) {
        const bool is_metric = site.units == LengthUnit::metre;
        const double step = is_metric ? 0.5 : metres_per_foot;
        const int strong = is_metric ? 2 : 5;
        for (const GridLine& line : project_wall_grid(site, *camera, step))
            grid.push_back(json_object({{"wall", line.wall},
                                        {"is_upright", line.is_upright},
                                        {"is_strong", line.number % strong == 0},
                                        {"words", print_length(line.number * step, site.units)},
                                        {"points", pixel_points(line.points)}}));
    }
    for (const PhotoPlace& place : list_places(site)) {
        const bool is_marked =
            std::any_of(photo.marks.begin(), photo.marks.end(),
                        [&](const PhotoMark& mark) { return is_same_place(site, mark, place.mark); });
        std::optional<glm::dvec2> falls_at;
        if (camera)
            falls_at = camera->project(place_of(site, place.mark));
        places.push_back(json_object({{"id", place.id},
                                      {"of", place.of},
                                      {"words", place.words},
                                      {"wall", place.mark.wall},
                                      {"along", place.mark.along},
                                      {"up", place.mark.up},
                                      {"at", place.mark.at ? point(*place.mark.at) : Json(nullptr)},
                                      {"falls_at", pixel_point(falls_at)},
                                      {"is_marked", is_marked}}));
    }
    return json_object({{"grid", std::move(grid)},
                        {"shapes", camera ? print_shapes(session, *camera) : Json::array()},
                        {"places", std::move(places)}});
}

Json answer_photo_click(const Session& session, PhotoDesk& desk, const Json& question) {
    const Site& site = session.site();
    const CameraFit& fit = find_camera(desk.look(session, find_photo(session, question))).fit;
    const glm::dvec2 pixel = read_pixel(question, "pixel");
    if (const std::string moved = value_of<std::string>(question, "fixture", ""); !moved.empty())
        return json_object(
            {{"wall", nullptr}, {"ground", print_on_ground(site, measure_lens(site, moved, fit, pixel))}});
    const std::string id = value_of<std::string>(question, "wall", "");
    const Click click = measure_click(site, fit, pixel);
    if (id.empty())
        return json_object({{"wall", print_on_wall(site, click.on_wall)},
                            {"ground", print_on_ground(site, click.on_ground)}});
    const Wall* wall = find_wall(site, id);
    if (!wall)
        refuse("the site has no wall \"" + id + "\"", "");
    return json_object({{"wall", print_on_wall(site, measure_on_wall(*wall, fit, pixel))},
                        {"ground", print_on_ground(site, click.on_ground)}});
}

Json answer_photo_length(const Session& session, PhotoDesk& desk, const Json& question) {
    const Site& site = session.site();
    const CameraFit& fit = find_camera(desk.look(session, find_photo(session, question))).fit;
    const glm::dvec2 from = read_pixel(question, "from"), to = read_pixel(question, "to");
    const auto start = find_plane(site, fit, from), end = find_plane(site, fit, to);
    std::optional<MeasuredLength> found;
    if (start && end)
        found = measure_length(fit, from, *start, to, *end);
    if (!found)
        return json_object(
            {{"length", nullptr}, {"within", nullptr}, {"words", "on no wall and not on the ground"}});
    return json_object({{"length", found->length},
                        {"within", ninety * found->deviation},
                        {"words", print_within(found->length, found->deviation, site.units)}});
}

Json answer_photo_upright(const Session& session, PhotoDesk& desk, const Json& question) {
    const Site& site = session.site();
    const CameraFit& fit = find_camera(desk.look(session, find_photo(session, question))).fit;
    const glm::dvec2 foot = read_pixel(question, "foot");
    const auto ground = find_ground(site.ground, fit, foot);
    std::optional<MeasuredHeight> height;
    std::optional<MeasuredLength> side;
    if (ground) {
        height = measure_height(fit, foot, read_pixel(question, "top"), *ground);
        side = measure_side(fit, foot, read_pixel(question, "side"), *ground);
    }
    if (!height || !side)
        refuse("the foot is not seen on the ground, so nothing of it can be measured",
               "click where the trunk meets the ground");
    return json_object(
        {{"at", point(glm::dvec2(height->foot))},
         {"height", height->height},
         {"width", 2 * side->length},
         {"words",
          fmt::format("{} high, {} wide", print_within(height->height, height->deviation, site.units),
                      print_within(2 * side->length, 2 * side->deviation, site.units))}});
}

Json answer_relight(Session& session, PhotoDesk& desk, const Json& question, AnswerMaker& maker,
                    const Progress& progress) {
    const Photo& photo = find_photo(session, question);
    const bool is_quick = value_of(question, "is_quick", false);
    constexpr int most_pixels = 20'000; // of the widest photo
    const SmallNight night =
        desk.relight(session, photo, count_of(question, "width", 0, 1, most_pixels), is_quick, progress);
    // As `duskcast photo` shows it.
    const NightLight light(night.image, {.ambient_lx = session.site().ambient, .marks = {}});
    const Raster raster = make_night_raster(light);
    std::vector<std::uint8_t> rgba = print_rgba(raster);
    if (!is_quick && value_of(question, "is_kept", false)) {
        std::vector<glm::vec3> kept(night.image.luminance.size());
        for (std::size_t pixel = 0; pixel < kept.size(); ++pixel)
            kept[pixel] = glm::vec3(light.at(pixel));
        desk.keep_night(session, photo, std::move(kept), rgba);
    }
    return json_object({{"width", raster.width},
                        {"height", raster.height},
                        {"rgba", maker.add(std::move(rgba))},
                        {"doubts", print_scan_doubts(night.scan)}});
}

Json answer_photo_glance(Session& session, PhotoDesk& desk, const Json& question, const Look& look,
                         AnswerMaker& maker) {
    std::optional<GlancedNight> night = desk.glance_at(session, question.at("photo").get<std::string>(),
                                                       question.at("text").get<std::string>(), look);
    if (!night)
        return json_object({{"width", 0}, {"height", 0}, {"rgba", nullptr}});
    return json_object(
        {{"width", night->width}, {"height", night->height}, {"rgba", maker.add(std::move(night->rgba))}});
}

} // namespace duskcast
