#include "captions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <set>

#include "duskcast/base/sort_stably.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/sheets/fall_words.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/site/fountain_plan.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/roof_plan.hpp"
#include "duskcast/site/steps_plan.hpp"
#include "duskcast/site/terraces.hpp"
#include "duskcast/view/elevation.hpp"

namespace duskcast {
namespace {

constexpr double near_body = 3; // metres from a body within which a fixture belongs to its picture
constexpr int most_body_columns = 640;
constexpr double same_line = 0.05;  // metres between fixtures whose reach is one mark
constexpr double unseen_lx = 0.001; // a hundredth of what a clear full moon gives (from memory)

const SurfaceReport* find_report(const PlateSource& source, const Surface& surface) {
    for (const SurfaceReport& report : source.report.surfaces)
        if (&source.stage.surfaces[static_cast<std::size_t>(report.surface)] == &surface)
            return &report;
    return nullptr;
}

bool is_level(double a, double b) {
    return std::abs(a - b) < 1e-6 * b;
}

double share_at(const std::vector<LevelShare>& shares, double level) {
    for (const LevelShare& share : shares)
        if (is_level(share.level_lx, level))
            return share.share;
    return 0;
}

double main_level(const PlateSource& source, const Surface& surface) {
    return find_main_level(source.site, source.report.levels_lx, surface.id);
}

PlateText make_text(const PlateSource& source, const std::string& subject) {
    PlateText text;
    text.title = source.site.name.empty() ? subject : source.site.name + " \u2013 " + subject;
    text.length = source.site.units;
    text.light = source.site.light;
    text.levels_lx = source.report.levels_lx;
    text.note = print_estimate_note(source.lighting.fixtures);
    return text;
}

/// "Mean 0.42 fc (4.5 lx), highest 12 fc (129 lx); 38 % of it at 1 fc or more."
std::string describe_stats(const PlateSource& source, double mean_lx, double max_lx, double share,
                           double level) {
    const LightUnit unit = source.site.light;
    return fmt::format(" Mean {}, highest {}; {} of it at {} or more.", print_illuminance_both(mean_lx, unit),
                       print_illuminance_both(max_lx, unit), print_share(share),
                       print_illuminance(level, unit));
}

std::string describe_light(const PlateSource& source, const Surface& surface) {
    const SurfaceReport* report = find_report(source, surface);
    if (!report)
        return "";
    const Stats& stats = report->stats;
    if (stats.max_lx < unseen_lx)
        return " No direct light reaches it.";
    const double level = main_level(source, surface);
    return describe_stats(source, stats.mean_lx, stats.max_lx, share_at(stats.coverage, level), level);
}

/// The same of one face, from the sensors of its grid.
std::string describe_face_light(const PlateSource& source, const Surface& face) {
    const double level = main_level(source, face);
    double area = 0, sum = 0, lit = 0, highest = 0;
    for (const std::int32_t sensor : face.grid.sensor) {
        if (sensor < 0)
            continue;
        const auto i = static_cast<std::size_t>(sensor);
        const double lux = source.report.total_lx[i], part = source.stage.sensors.area[i];
        area += part;
        sum += part * lux;
        lit += lux >= level ? part : 0;
        highest = std::max(highest, lux);
    }
    return area > 0 && highest >= unseen_lx ? describe_stats(source, sum / area, highest, lit / area, level)
                                            : " No direct light reaches it.";
}

enum class AnswersOf { things, things_and_site, face };

/// The targets without a sensor on that face of their wall.
std::set<std::string> list_targets_elsewhere(const PlateSource& source, const Surface& face) {
    const std::set<std::int32_t> there(face.grid.sensor.begin(), face.grid.sensor.end());
    std::set<std::string> elsewhere;
    for (const Region& region : find_regions(source.site, source.stage))
        if (std::none_of(region.sensors.begin(), region.sensors.end(), [&](std::uint32_t sensor) {
                return there.contains(static_cast<std::int32_t>(sensor));
            }))
            elsewhere.insert(region.target->id);
    return elsewhere;
}

/// The sentences about one of the fixtures or surfaces, by id; with those about the site as a whole, or
/// without those about other fixtures at one of the surfaces and about the targets `elsewhere`.
std::vector<std::string> pick_answers(const PlateSource& source, const std::vector<std::string>& ids,
                                      AnswersOf what = AnswersOf::things,
                                      const std::set<std::string>& elsewhere = {}) {
    const auto is_shown = [&](const std::string& id) {
        return !id.empty() && std::find(ids.begin(), ids.end(), id) != ids.end();
    };
    std::vector<std::string> answers;
    for (const Sentence& sentence : print_answers(source.site, source.report))
        if (!elsewhere.contains(sentence.target) &&
            (is_shown(sentence.fixture) ||
             (is_shown(sentence.surface) && (what != AnswersOf::face || sentence.fixture.empty())) ||
             (what == AnswersOf::things_and_site && sentence.fixture.empty() && sentence.surface.empty())))
            answers.push_back(sentence.text);
    return answers;
}

double distance_to(const std::vector<RunSegment>& run, const glm::dvec2& plan) {
    double nearest = std::numeric_limits<double>::infinity();
    for (const RunSegment& segment : run) {
        const double on = std::clamp(glm::dot(plan - segment.start, segment.direction), 0.0, segment.length);
        nearest = std::min(nearest, glm::distance(plan, segment.start + on * segment.direction));
    }
    return nearest;
}

const FixtureReach* find_reach(const Report& report, const std::string& fixture, const std::string& surface) {
    for (const FixtureReach& reach : report.reaches)
        if (reach.fixture == fixture && reach.surface == surface)
            return &reach;
    return nullptr;
}

void add_reach(const FixtureReach& found, double level, LengthUnit length, WallFixture& fixture) {
    for (const Reach& reach : found.together)
        if (is_level(reach.level_lx, level) && reach.height) {
            fixture.reach = reach.height;
            fixture.reach_text = reach.is_to_top ? "to the top" : print_height(*reach.height, length);
        }
}

std::vector<RulerMark> name_heights(const Surface& surface, const Wall* wall, LengthUnit unit) {
    std::vector<RulerMark> marks;
    const auto add = [&](const char* name, double height) {
        marks.push_back({height, fmt::format("{} {}", name, print_length(height, unit))});
    };
    double top = 0;
    for (const OutlineShape& shape : surface.outline)
        for (const glm::dvec2& point : shape.points) {
            if (shape.role == OutlineShape::Role::gable && point.y > (wall ? wall->height : 0) + 1e-6)
                add("peak", point.y);
            top = std::max(top, point.y);
        }
    if (wall)
        add(marks.empty() ? "top" : "eave", wall->height);
    else
        add("top", top);
    sort_stably(marks, [](const RulerMark& a, const RulerMark& b) { return a.height > b.height; });
    return marks;
}

} // namespace

WallSheet make_wall_sheet(const PlateSource& source, const Surface& surface, int face) {
    const Site& site = source.site;
    const bool is_face = face >= 0;
    const std::string side = is_face ? name_side(surface, face) : "";
    WallSheet sheet{.text = make_text(source, surface.id + (is_face ? ", " + side + " face" : "")),
                    .surface = is_face ? face_of(surface, static_cast<std::size_t>(face)) : surface,
                    .lux = source.report.total_lx};
    const RunSegment& piece = sheet.surface.run.back();
    const Wall* wall = surface.kind == SurfaceKind::wall ? find_wall(site, surface.id) : nullptr;
    sheet.heights = name_heights(sheet.surface, wall, site.units);

    const double level = main_level(source, surface);
    sheet.reach_key = fmt::format("{} reaches this height on the fixture's line, all lamps lit",
                                  print_illuminance(level, site.light));
    std::vector<std::string> ids{surface.id};
    for (const Fixture& fixture : site.fixtures) {
        const FixtureReach* reach = find_reach(source.report, fixture.id, surface.id);
        if (!reach && !(wall && fixture.wall == wall->id))
            continue;
        const PlacedFixture placed = place_fixture(site, fixture);
        WallFixture shown;
        shown.along = reach ? reach->along : fixture.along;
        const RunSegment& stands_at = segment_at(surface.run, shown.along);
        if (is_face && stands_at.along != piece.along)
            continue;
        shown.height = placed.position.z - surface.foot;
        const glm::dvec3 axis = beam_axis(placed.aim);
        shown.stem = {glm::dot(glm::dvec2(axis), stands_at.direction), axis.z};
        shown.text = describe_fixture(site, fixture, distance_to(surface.run, glm::dvec2(placed.position)),
                                      shown.height);
        shown.text.from_corner =
            fmt::format("{} from left corner", print_length(shown.along - stands_at.along, site.units));
        const bool is_marked =
            std::any_of(sheet.fixtures.begin(), sheet.fixtures.end(), [&](const WallFixture& other) {
                return other.reach && std::abs(other.along - shown.along) < same_line;
            });
        if (reach && !is_marked)
            add_reach(*reach, level, site.units, shown);
        sheet.fixtures.push_back(std::move(shown));
        ids.push_back(fixture.id);
    }
    const double width = piece.along + piece.length - (is_face ? piece.along : 0);
    sheet.text.detail =
        fmt::format("{} to scale, {} wide, {} high, seen from outside.",
                    is_face                                   ? "The " + side + " face"
                    : surface.kind == SurfaceKind::projection ? "Projection unfolded"
                                                              : "Wall unfolded",
                    print_length(width, site.units), print_length(sheet.heights.front().height, site.units));
    sheet.text.detail +=
        is_face ? describe_face_light(source, sheet.surface) : describe_light(source, surface);
    sheet.text.answers =
        is_face ? pick_answers(source, ids, AnswersOf::face, list_targets_elsewhere(source, sheet.surface))
                : pick_answers(source, ids);
    if (source.photos != nullptr) {
        auto photo = std::make_shared<const WallPhoto>(source.stage, sheet.surface, *source.photos);
        if (photo->is_any()) {
            sheet.text.detail +=
                fmt::format(" On photo {}, laid flat and dimmed; what it does not show is drawn in colours.",
                            photo->id());
            sheet.photo = std::move(photo);
        }
    }
    return sheet;
}

namespace {

/// The two sides shown: from the first view and its opposite, otherwise from south and north.
std::array<double, 2> find_sides(const Site& site, const glm::dvec2& middle) {
    double first = pi;
    if (!site.views.empty()) {
        const glm::dvec2 way = glm::dvec2(site.views.front().eye) - middle;
        if (glm::length(way) > 0)
            first = std::atan2(way.x, way.y);
    }
    return {first, first + pi};
}

/// Of a bed or hedge that stands end-on towards those sides, the two that show its length.
std::array<double, 2> find_long_sides(const Stage& stage, const std::string& shrub,
                                      const std::array<double, 2>& sides) {
    constexpr double end_on = 0.5; // of its length, what is seen of it
    constexpr int directions = 24; // of half a turn
    const std::vector<glm::dvec2> footprint = find_footprint(stage, shrub);
    const auto width_from = [&](double azimuth) {
        const glm::dvec2 right(-std::cos(azimuth), std::sin(azimuth));
        double low = HUGE_VAL, high = -HUGE_VAL;
        for (const glm::dvec2& corner : footprint) {
            low = std::min(low, glm::dot(corner, right));
            high = std::max(high, glm::dot(corner, right));
        }
        return high - low;
    };
    double longest = sides[0];
    for (int i = 0; i < directions; ++i)
        if (const double azimuth = i * pi / directions; width_from(azimuth) > width_from(longest) + 1e-6)
            longest = azimuth;
    if (width_from(sides[0]) >= end_on * width_from(longest))
        return sides;
    const bool is_far = std::cos(longest - sides[0]) < 0;
    return {is_far ? longest + pi : longest, is_far ? longest : longest + pi};
}

std::vector<BandRow> make_bands(const PlateSource& source, const Surface& surface) {
    const double level = main_level(source, surface);
    const Site& site = source.site;
    std::vector<BandRow> rows;
    for (const TreeReport& report : source.report.trees)
        if (report.tree == surface.id && report.from.is_whole())
            for (const TreeBand& band : report.bands) {
                const double share = share_at(band.lit, level);
                rows.push_back({band.from, band.to, print_height_range(band.from, band.to, site.units),
                                print_illuminance(band.mean_lx, site.light), print_share(share), share,
                                band.mean_lx});
            }
    return rows;
}

} // namespace

BodySheet make_body_sheet(const PlateSource& source, const Surface& surface, int pixels, std::size_t sides) {
    const Site& site = source.site;
    const LengthUnit unit = site.units;
    const std::string& body = surface.part_of;
    BodySheet sheet{.text = make_text(source, body)};
    const BodyBounds bounds = find_body_bounds(source.stage, body);
    const glm::dvec2 middle(bounds.middle());
    const Tree* tree = find_tree(site, body);
    sheet.foot = surface.kind == SurfaceKind::mesh ? std::max(bounds.low.z, 0.0) : surface.foot;
    sheet.top = bounds.high.z;

    // Nobody knows a plant's height to half an inch.
    const double height = tree ? tree->height : sheet.top - sheet.foot;
    const bool is_plant = tree || surface.kind == SurfaceKind::shrub;
    const std::string high = is_plant ? print_height(height, unit) : print_length(height, unit);
    sheet.top = std::max(sheet.top, sheet.foot + height); // single leaves need not reach up to it
    sheet.heights.push_back({height, "top " + high});
    if (tree)
        sheet.heights.push_back({tree->base, "leaves " + print_height(tree->base, unit)});
    sheet.bands = make_bands(source, surface);
    sheet.share_heading = print_illuminance(main_level(source, surface), site.light) + " or more";

    std::array<double, 2> shown_sides = find_sides(site, middle);
    if (surface.kind == SurfaceKind::shrub)
        shown_sides = find_long_sides(source.stage, body, shown_sides);
    for (const double azimuth : shown_sides)
        if (sheet.elevations.size() < sides)
            sheet.elevations.push_back(
                trace_elevation(source.stage, source.lighting, body, azimuth, pixels, most_body_columns));

    std::vector<std::string> ids;
    for (const Surface& part : source.stage.surfaces)
        if (part.part_of == body)
            ids.push_back(part.id);
    for (const Fixture& fixture : site.fixtures) {
        const bool is_at_tree = tree && fixture.tree == body;
        const PlacedFixture placed = place_fixture(site, fixture);
        const glm::dvec2 plan(placed.position);
        const glm::dvec2 nearest = glm::clamp(plan, glm::dvec2(bounds.low), glm::dvec2(bounds.high));
        // A path light beside a tree lights the path.
        const bool is_near = fixture.at && glm::distance(plan, nearest) < near_body &&
                             !(tree && fixture.kind == FixtureKind::path);
        if (!is_at_tree && !is_near)
            continue;
        std::optional<double> setback;
        if (tree)
            setback = glm::distance(plan, tree->at) - trunk_diameter(*tree) / 2;
        BodyFixture shown{.plan = plan - middle, .height = placed.position.z, .axis = beam_axis(placed.aim)};
        shown.text = describe_fixture(site, fixture, setback, placed.position.z - sheet.foot);
        sheet.fixtures.push_back(std::move(shown));
        ids.push_back(fixture.id);
    }
    sheet.text.detail = fmt::format("{}, {} high, from two sides. Colours show the light on the side seen.",
                                    tree                                    ? "Tree"
                                    : surface.kind == SurfaceKind::shrub    ? "Shrub"
                                    : surface.kind == SurfaceKind::steps    ? "Steps"
                                    : surface.kind == SurfaceKind::fountain ? "Fountain"
                                                                            : "Body",
                                    high);
    if (surface.kind == SurfaceKind::steps)
        sheet.text.detail += " Figures are of the treads.";
    if (surface.kind != SurfaceKind::mesh) // a mesh's upright planes have figures of their own
        sheet.text.detail += describe_light(source, surface);
    sheet.text.answers = pick_answers(source, ids);
    return sheet;
}

GroundSheet make_ground_sheet(const PlateSource& source) {
    const Site& site = source.site;
    GroundSheet sheet{.text = make_text(source, "ground"), .lux = source.report.total_lx};
    sheet.text.detail = "Plan, north up. Colours show the light that falls on the ground.";
    std::vector<std::string> ids;
    const Surface* brightest = nullptr;
    double highest = unseen_lx;
    for (const Surface& surface : source.stage.surfaces)
        if (surface.kind == SurfaceKind::ground) {
            sheet.grounds.push_back(&surface);
            ids.push_back(surface.id);
            const SurfaceReport* report = find_report(source, surface);
            if (report && report->stats.max_lx > highest) {
                highest = report->stats.max_lx;
                brightest = &surface;
            }
        }
    if (brightest)
        sheet.text.detail += fmt::format(" Highest {}, on {}.", print_illuminance_both(highest, site.light),
                                         brightest->id == "ground" ? "the open ground" : brightest->id);
    for (const GroundArea& area : site.ground.areas)
        sheet.areas.push_back({area.id, area.outline, true});
    for (const GroundArea& area : site.ground.areas)
        if (const std::optional<FallLine> line = find_fall_line(area))
            sheet.falls.push_back({line->high, line->low, print_fall(area, site.units), area.id});
    sheet.houses = list_house_footprints(site);
    for (const Wall& wall : site.walls) {
        sheet.walls.push_back({wall.id, wall.path, wall.closed});
        for (const Projection& projection : wall.projections)
            sheet.walls.push_back({"", outline_of(wall, projection), true});
    }
    for (const Steps& steps : site.steps) {
        const std::vector<Tread> treads = plan_steps(site, steps).treads;
        const std::vector<glm::dvec2>&first = treads.front().outline, &last = treads.back().outline;
        sheet.steps.push_back({steps.id, {last[0], last[1], first[2], first[3]}, true});
        for (std::size_t i = 0; i + 1 < treads.size(); ++i)
            sheet.steps.push_back({"", {treads[i].outline[0], treads[i].outline[1]}, false});
    }
    for (const Railing& railing : site.railings)
        sheet.steps.push_back({"", railing.path, false});
    for (const Fountain& fountain : site.fountains)
        for (const double rim : plan_fountain(site, fountain).rims)
            sheet.steps.push_back(
                {rim == fountain.width / 2 ? fountain.id : "", circle_round(fountain.at, rim), true});
    for (const Shrub& shrub : site.shrubs) {
        const bool is_bed = !shrub.outline.empty();
        sheet.shrubs.push_back(
            {shrub.id, is_bed ? shrub.outline : shrub.path, is_bed, is_bed ? 0 : shrub.width});
    }
    for (const Mesh& mesh : site.meshes)
        sheet.meshes.push_back({mesh.id, find_footprint(source.stage, mesh.id), true});
    for (const Tree& tree : site.trees)
        sheet.trees.push_back({tree.id, tree.at, tree.width / 2, trunk_diameter(tree) / 2});
    for (const Fixture& fixture : site.fixtures) {
        const PlacedFixture placed = place_fixture(site, fixture);
        sheet.fixtures.push_back(
            {fixture.id, glm::dvec2(placed.position), glm::dvec2(beam_axis(placed.aim))});
    }
    sheet.text.answers = pick_answers(source, ids, AnswersOf::things_and_site);
    return sheet;
}

} // namespace duskcast
