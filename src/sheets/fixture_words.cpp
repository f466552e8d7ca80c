#include "duskcast/sheets/fixture_words.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <vector>

#include "duskcast/base/sort_stably.hpp"
#include "duskcast/sheets/client_words.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {
namespace {

constexpr double tape_slack = 0.0127; ///< metres, half an inch: what lies on ground that falls is no longer

/// A point to measure from with a tape.
struct TapePoint {
    std::string name;
    glm::dvec2 at{0};
};

std::vector<TapePoint> list_tape_points(const Site& site) {
    std::vector<TapePoint> points;
    for (const Wall& wall : site.walls) {
        const glm::dvec2 middle = std::accumulate(wall.path.begin(), wall.path.end(), glm::dvec2(0)) /
                                  static_cast<double>(std::max<std::size_t>(wall.path.size(), 1));
        for (const glm::dvec2& corner : wall.path) {
            const glm::dvec2 way = corner - middle;
            points.push_back({fmt::format("the {} {} of {}", print_compass(std::atan2(way.x, way.y), 8),
                                          wall.path.size() > 2 ? "corner" : "end", spoken_name(wall.id)),
                              corner});
        }
    }
    if (points.size() < 2)
        for (const Tree& tree : site.trees)
            points.push_back({"the trunk of " + spoken_name(tree.id), tree.at});
    if (points.size() < 2)
        for (const GroundArea& area : site.ground.areas)
            for (const glm::dvec2& corner : area.outline)
                points.push_back({fmt::format("the corner of {} {} east and {} north of the plan's origin",
                                              spoken_name(area.id), print_length(corner.x, site.units),
                                              print_length(corner.y, site.units)),
                                  corner});
    return points;
}

} // namespace

FixtureText describe_fixture(const Site& site, const Fixture& fixture, std::optional<double> setback,
                             double height) {
    FixtureText text;
    text.id = fixture.id;
    text.lamp = fixture.lamp;
    if (const Lamp* lamp = find_lamp(site, fixture.lamp)) {
        if (!lamp->name.empty())
            text.lamp = lamp->name;
        if (lamp->watts > 0 && text.lamp.find(" W") == std::string::npos)
            text.lamp += fmt::format(", {} W", print_number(lamp->watts));
    }
    if (height > hung_height)
        text.placed = print_length(height, site.units) + " up, ";
    else if (setback)
        text.placed = print_setback(*setback, site.units) + " back, ";
    const bool is_plumb = fixture.kind == FixtureKind::path && pi - fixture.tilt < radians_from_degrees(0.25);
    text.placed += fixture.dimming == 0 ? "off" : is_plumb ? "plumb" : "tilt " + print_angle(fixture.tilt);
    return text;
}

std::string print_fixture_place(const Site& site, const Fixture& fixture) {
    const LengthUnit unit = site.units;
    if (const Wall* wall = find_wall(site, fixture.wall); wall && !fixture.wall.empty()) {
        const std::vector<RunSegment> run = run_of(*wall);
        const RunSegment& piece = segment_at(run, fixture.along);
        const double from_left = fixture.along - piece.along;
        const bool is_left = from_left <= piece.length / 2;
        return fmt::format(
            "{} from the {} corner of the {} face of {}",
            print_length(is_left ? from_left : piece.length - from_left, unit), is_left ? "left" : "right",
            print_compass(std::atan2(piece.outward.x, piece.outward.y)), spoken_name(wall->id));
    }
    if (!fixture.tree.empty())
        return fmt::format("at the trunk of {}, on its {} side ({} from north)", spoken_name(fixture.tree),
                           print_compass(fixture.bearing), print_angle(fixture.bearing));
    const glm::dvec2 plan(place_fixture(site, fixture).position);
    std::vector<TapePoint> points = list_tape_points(site);
    sort_stably(points, [&](const TapePoint& a, const TapePoint& b) {
        return glm::distance(a.at, plan) < glm::distance(b.at, plan);
    });
    std::string text;
    bool is_level = true;
    for (std::size_t i = 0; i < std::min<std::size_t>(2, points.size()); ++i) {
        const double distance = glm::distance(points[i].at, plan);
        text +=
            fmt::format("{}{} from {}", i == 0 ? "" : " and ", print_length(distance, unit), points[i].name);
        const GroundWay way = measure_way(site.ground, {points[i].at, plan});
        is_level = is_level && way.length + way.climb < distance + tape_slack;
    }
    if (!is_level)
        text += ", the tape held level";
    return text.empty() ? fmt::format("{} east and {} north of the plan's origin", print_length(plan.x, unit),
                                      print_length(plan.y, unit))
                        : text;
}

bool shines_straight_down(const Site& site, const Fixture& fixture) {
    return place_fixture(site, fixture).aim.tilt > pi - straight_aim;
}

bool has_way(const Site& site, const Fixture& fixture) {
    return !shines_straight_down(site, fixture) &&
           place_fixture(site, fixture).aim.tilt >= radians_from_degrees(0.25);
}

std::string print_fixture_way(const Site& site, const Fixture& fixture) {
    if (!has_way(site, fixture))
        return "";
    const Aim aim = place_fixture(site, fixture).aim;
    const double azimuth = std::fmod(aim.azimuth + 4 * pi, 2 * pi);
    const std::string compass =
        fmt::format("{}, {:.0f}\u00b0", print_compass(azimuth), degrees_from_radians(azimuth));
    if (fixture.wall.empty() && fixture.tree.empty())
        return "toward the " + compass;
    Fixture plain = fixture;
    plain.azimuth.reset();
    plain.turn = 0;
    const double turned = std::remainder(aim.azimuth - place_fixture(site, plain).aim.azimuth, 2 * pi);
    const char* what = fixture.wall.empty() ? "at the trunk" : "square to the wall";
    if (std::abs(turned) < straight_aim)
        return fmt::format("{} ({})", what, compass);
    return fmt::format("{} to the {} of {} ({})", print_angle(std::abs(turned)),
                       turned > 0 ? "right" : "left", what, compass);
}

std::string print_carry(const Reach& reach, LengthUnit unit) {
    if (!reach.height)
        return "reaches nowhere";
    // Also where what is missing rounds to nothing.
    const bool is_to_top =
        reach.is_to_top || print_length(*reach.height, unit) == print_length(reach.wall_height, unit);
    return "reaches " + (is_to_top ? "all the way up" : print_height(*reach.height, unit));
}

} // namespace duskcast
