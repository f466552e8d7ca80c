#include "duskcast/site/layout.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>

#include "direction.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/site/roof_plan.hpp"
#include "duskcast/site/steps_plan.hpp"
#include "duskcast/site/terraces.hpp"
#include "duskcast/site/wall_foot.hpp"

namespace duskcast {
namespace {

glm::dvec2 right_of(const glm::dvec2& direction) {
    return {direction.y, -direction.x};
}

/// Compass angle of a plan direction, 0 to 2 pi.
double azimuth_of(const glm::dvec2& direction) {
    const double angle = std::atan2(direction.x, direction.y);
    return angle < 0 ? angle + 2 * pi : angle;
}

double wrap_turn(double angle) {
    const double rest = std::fmod(angle, 2 * pi);
    return rest < 0 ? rest + 2 * pi : rest;
}

/// Half an ellipse: 1 at u = 0, 0 at u = 1.
double arc(double u) {
    return u >= 1 ? 0.0 : std::sqrt(1.0 - u * u);
}

/// Two half ellipses, one below and one above the widest place.
double egg(double t, double widest) {
    return t < widest ? arc((widest - t) / widest) : arc((t - widest) / (1 - widest));
}

/// Radius over half the width at t = 0 (lowest leaves) .. 1 (top).
double form_radius(CrownForm form, double t) {
    switch (form) {
    case CrownForm::round:
        return egg(t, 0.5);
    case CrownForm::oval:
        return egg(t, 0.4);
    case CrownForm::column: {
        const double shoulder = 0.15; // of the crown's height, at both ends
        const double end = std::min(t, 1 - t);
        return end >= shoulder ? 1.0 : arc((shoulder - end) / shoulder);
    }
    case CrownForm::cone:
        return 1 - t;
    case CrownForm::vase: {
        const double widest = 0.75, foot = 0.15;
        return t < widest ? foot + (1 - foot) * t / widest : arc((t - widest) / (1 - widest));
    }
    case CrownForm::spreading:
        return egg(t, 0.2);
    case CrownForm::weeping: {
        const double widest = 0.5, hem = 0.85;
        return t < widest ? hem + (1 - hem) * t / widest : arc((t - widest) / (1 - widest));
    }
    }
    return 0;
}

double by_word(LeafDensity density, double light, double medium, double dense) {
    return density == LeafDensity::light ? light : density == LeafDensity::medium ? medium : dense;
}

/// Of a plant that its words call bare, m2/m3; of others no limit. `depth`: its volume over its plan area.
template <class Plant> double twigs_left(const Plant& plant, double depth) {
    if (plant.plant.empty() || plant.foliage.leaf != LeafKind::twigs)
        return std::numeric_limits<double>::infinity();
    return depth > 0 ? plant.foliage.twig_area_index / depth : 0;
}

template <class Plant> double facet_area(const Plant& plant) {
    const double size = plant.foliage.leaf_size;
    return plant.plant.empty() ? leaf_area(size) : size * size * read_plant(plant.plant).kind->leaf_ratio / 2;
}

Problem missing_place(const std::string& thing, const char* kind, const std::string& id) {
    Problem problem;
    problem.what = fmt::format("{} stands at {} \"{}\", which the site does not have", thing, kind, id);
    return problem;
}

bool is_hung(const Fixture& fixture) {
    return fixture.mount == Mount::wall || fixture.mount == Mount::tree;
}

/// z that the height of a fixture's lens counts from. What stands, stands on the ground, which may fall away
/// from the foot of the wall or tree it stands before.
double ground_under(const Ground& ground, const Fixture& fixture, double foot, const glm::dvec2& foot_place,
                    const glm::dvec2& place) {
    if (is_hung(fixture))
        return foot;
    return foot + (ground_height_at(ground, place) - ground_height_at(ground, foot_place));
}

} // namespace

double setback_of(const Fixture& fixture) {
    return fixture.setback.value_or(is_hung(fixture) ? hung_setback : standing_setback);
}

std::vector<RunSegment> run_of(const std::vector<glm::dvec2>& path, bool closed) {
    std::vector<RunSegment> run;
    const std::size_t count = path.size() < 2 ? 0 : closed ? path.size() : path.size() - 1;
    double along = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const glm::dvec2 edge = path[(i + 1) % path.size()] - path[i];
        const double length = glm::length(edge);
        if (length == 0)
            continue;
        const glm::dvec2 direction = edge / length;
        run.push_back({path[i], direction, right_of(direction), along, length});
        along += length;
    }
    return run;
}

std::vector<RunSegment> run_of(const Wall& wall) {
    return run_of(wall.path, wall.closed);
}

std::vector<RunSegment> run_of(const Wall& wall, const Projection& projection) {
    return run_of(outline_of(wall, projection), false);
}

std::vector<glm::dvec2> outline_of(const Wall& wall, const Projection& projection) {
    const std::vector<RunSegment> run = run_of(wall);
    const RunSegment& behind = segment_at(run, projection.from + projection.width / 2);
    const glm::dvec2 left = behind.start + behind.direction * (projection.from - behind.along);
    const glm::dvec2 right = left + behind.direction * projection.width;
    const glm::dvec2 out = behind.outward * projection.depth;
    return {left, left + out, right + out, right};
}

const RunSegment& segment_at(const std::vector<RunSegment>& run, double along) {
    static const RunSegment none;
    if (run.empty())
        return none;
    // The last segment that starts at or before `along`; a corner belongs to the segment that starts there.
    const auto next = std::upper_bound(run.begin() + 1, run.end(), along,
                                       [](double a, const RunSegment& s) { return a < s.along; });
    return *(next - 1);
}

double top_of(const Wall& wall, double along) {
    double top = wall.height;
    for (const Gable& gable : wall.gables) {
        const double off_middle = std::abs(along - gable.from - gable.width / 2) / (gable.width / 2);
        if (off_middle < 1)
            top = std::max(top, wall.height + (gable.peak - wall.height) * (1 - off_middle));
    }
    return top;
}

std::optional<std::array<double, 2>> find_stretch(const Site& site, const Target& target) {
    const Wall* wall = target.gable.empty() ? nullptr : find_wall(site, target.on);
    if (wall)
        for (const Gable& gable : wall->gables)
            if (gable.id == target.gable)
                return {{gable.from, gable.from + gable.width}};
    return target.along;
}

double crown_radius(const Tree& tree, double z) {
    if (z < tree.base || z > tree.height || tree.height <= tree.base)
        return 0;
    return tree.width / 2 * form_radius(tree.form, (z - tree.base) / (tree.height - tree.base));
}

double crown_volume(const Tree& tree) {
    // Midpoint rule; 1,000 disks keep the error below 0.01 % for every form.
    const int disks = 1000;
    const double thickness = (tree.height - tree.base) / disks;
    double sum = 0;
    for (int i = 0; i < disks; ++i) {
        const double radius = crown_radius(tree, tree.base + (i + 0.5) * thickness);
        sum += radius * radius;
    }
    return std::max(0.0, pi * thickness * sum);
}

double shrub_volume(const Shrub& shrub) {
    if (!shrub.outline.empty())
        return std::abs(signed_area(shrub.outline)) * shrub.height;
    double length = 0;
    for (const RunSegment& segment : run_of(shrub.path, false))
        length += segment.length;
    return length * shrub.width * shrub.height;
}

double leaf_area_density(const Tree& tree) {
    if (tree.foliage.leaf_area_density)
        return *tree.foliage.leaf_area_density;
    const double volume = crown_volume(tree);
    if (!(volume > 0))
        return 0;
    // t = G u D, the optical depth through the middle of a ball of the crown's volume, at which the share
    // 2 (1 - (1 + t) exp(-t)) / t^2 of parallel light passes; G = 1/2 for leaves that lie every way.
    const double depth = by_word(tree.foliage.density, 1.386, 2.761, 4.076);
    const double g = 0.5;
    const double leaves = depth / (g * std::cbrt(6 * volume / pi)) / clumping_index(tree.plant, tree.foliage);
    return std::min(leaves,
                    twigs_left(tree, tree.width > 0 ? volume / (pi * tree.width * tree.width / 4) : 0));
}

double leaf_area_density(const Shrub& shrub) {
    if (shrub.foliage.leaf_area_density)
        return *shrub.foliage.leaf_area_density;
    const double depth = shrub.outline.empty() ? std::min(shrub.height, shrub.width) : shrub.height;
    const double leaves = depth > 0 ? std::min(20.0, by_word(shrub.foliage.density, 2, 3.5, 6) / depth) : 0;
    return std::min(leaves, twigs_left(shrub, shrub.height));
}

double leaf_area(double leaf_size) {
    return leaf_size * leaf_size / 4;
}

double leaf_area(const Tree& tree) {
    return facet_area(tree);
}

double leaf_area(const Shrub& shrub) {
    return facet_area(shrub);
}

double trunk_diameter(const Tree& tree) {
    return tree.trunk_diameter > 0 ? tree.trunk_diameter : tree.height / 40;
}

bool is_inside(const std::vector<glm::dvec2>& outline, const glm::dvec2& point) {
    bool inside = false;
    for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
        const glm::dvec2 &a = outline[i], &b = outline[j];
        if ((a.y > point.y) != (b.y > point.y) && point.x < a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y))
            inside = !inside;
    }
    return inside;
}

double distance_to_line(const glm::dvec2& point, const std::vector<glm::dvec2>& line, bool is_closed) {
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i + (is_closed ? 0 : 1) < line.size(); ++i) {
        const glm::dvec2 &from = line[i], way = line[(i + 1) % line.size()] - from;
        const double square = glm::dot(way, way);
        const double share = square > 0 ? std::clamp(glm::dot(point - from, way) / square, 0.0, 1.0) : 0;
        least = std::min(least, glm::distance(point, from + share * way));
    }
    return least;
}

GroundKind ground_kind_at(const Ground& ground, const glm::dvec2& point) {
    GroundKind kind = ground.base;
    for (const GroundArea& area : ground.areas)
        if (is_inside(area.outline, point))
            kind = area.kind;
    return kind;
}

std::vector<glm::dvec2> clip(const std::vector<glm::dvec2>& polygon, int axis, double limit, double sign) {
    std::vector<glm::dvec2> inside;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const glm::dvec2& a = polygon[i];
        const glm::dvec2& b = polygon[(i + 1) % polygon.size()];
        const double beyond_a = sign * (a[axis] - limit);
        const double beyond_b = sign * (b[axis] - limit);
        if (beyond_a <= 0)
            inside.push_back(a);
        if ((beyond_a < 0 && beyond_b > 0) || (beyond_a > 0 && beyond_b < 0))
            inside.push_back(a + beyond_a / (beyond_a - beyond_b) * (b - a));
    }
    return inside;
}

double signed_area(const std::vector<glm::dvec2>& outline) {
    double twice = 0;
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const glm::dvec2 &a = outline[i], &b = outline[(i + 1) % outline.size()];
        twice += a.x * b.y - b.x * a.y;
    }
    return twice / 2;
}

PlacedFixture place_fixture(const Site& site, const Fixture& fixture) {
    glm::dvec2 plan{0};
    double ground = 0;
    double facing = 0;
    if (!fixture.wall.empty()) {
        const Wall* wall = find_wall(site, fixture.wall);
        if (!wall)
            throw InputError(missing_place("fixture " + fixture.id, "wall", fixture.wall));
        const std::vector<RunSegment> run = run_of(*wall);
        const RunSegment& segment = segment_at(run, fixture.along);
        const glm::dvec2 face = segment.start + segment.direction * (fixture.along - segment.along);
        plan = face + segment.outward * setback_of(fixture);
        constexpr double before_face = 0.01; // metres
        const bool goes_down = !is_hung(fixture) && find_lower_ground(*wall, site.ground);
        ground = goes_down ? ground_height_at(site.ground, plan)
                           : ground_under(site.ground, fixture, wall->foot,
                                          face + before_face * segment.outward, plan);
        facing = azimuth_of(-segment.outward);
    } else if (!fixture.tree.empty()) {
        const Tree* tree = find_tree(site, fixture.tree);
        if (!tree)
            throw InputError(missing_place("fixture " + fixture.id, "tree", fixture.tree));
        plan = tree->at + direction_of(fixture.bearing) * (trunk_diameter(*tree) / 2 + setback_of(fixture));
        ground = ground_under(site.ground, fixture, tree->foot, tree->at, plan);
        facing = fixture.bearing + pi;
    } else if (fixture.at) {
        plan = *fixture.at;
        ground = ground_height_at(site.ground, plan);
    }
    const double azimuth = fixture.azimuth ? *fixture.azimuth : wrap_turn(facing + fixture.turn);
    return {{plan, ground + fixture.lens_height}, {fixture.tilt, azimuth, fixture.spin}};
}

glm::dvec3 size_of(const Lantern& lantern) {
    glm::dvec3 size(lantern.width);
    if (lantern.form == LanternForm::box)
        size.y = lantern.depth.value_or(lantern.width);
    if (lantern.form != LanternForm::sphere)
        size.z = lantern.height.value_or(lantern.width);
    return size;
}

double setback_of(const Lantern& lantern) {
    constexpr double bracket = 2 * metres_per_inch;
    return lantern.setback.value_or(size_of(lantern).y / 2 + bracket);
}

PlacedLantern place_lantern(const Site& site, const Lantern& lantern) {
    PlacedLantern placed;
    if (lantern.at) {
        placed.position = *lantern.at;
    } else {
        const Wall* wall = find_wall(site, lantern.wall);
        if (!wall)
            throw InputError(missing_place("lantern " + lantern.id, "wall", lantern.wall));
        const std::vector<RunSegment> run = run_of(*wall);
        const RunSegment& segment = segment_at(run, lantern.along);
        placed.position = {segment.start + segment.direction * (lantern.along - segment.along) +
                               segment.outward * setback_of(lantern),
                           wall->foot + lantern.up};
        placed.across = segment.direction;
    }
    const double sine = std::sin(lantern.turn), cosine = std::cos(lantern.turn);
    placed.across = {cosine * placed.across.x + sine * placed.across.y,
                     cosine * placed.across.y - sine * placed.across.x};
    return placed;
}

std::optional<Glow> glow_of(const Opening& opening) {
    if (!opening.glow && opening.room == Room::lit)
        return Glow{.luminance = 8};
    return opening.glow;
}

std::pair<glm::dvec2, glm::dvec2> plan_bounds(const Site& site) {
    const double infinity = std::numeric_limits<double>::infinity();
    glm::dvec2 low(infinity), high(-infinity);
    const auto include = [&](const glm::dvec2& point, double radius) {
        low = glm::min(low, point - radius);
        high = glm::max(high, point + radius);
    };
    for (const Wall& wall : site.walls) {
        for (const glm::dvec2& point : wall.path)
            include(point, 0);
        for (const Projection& projection : wall.projections)
            for (const RunSegment& segment : run_of(wall, projection)) {
                include(segment.start, 0);
                include(segment.start + segment.direction * segment.length, 0);
            }
    }
    for (const Roof& roof : site.roofs)
        if (!roof.outline.empty() || (!roof.wall.empty() && find_wall(site, roof.wall)))
            for (const glm::dvec2& point : plan_roof(site, roof).outline(true))
                include(point, 0);
    for (const Steps& steps : site.steps)
        if (steps.at || find_wall(site, steps.wall))
            for (const Tread& tread : plan_steps(site, steps).treads)
                for (const glm::dvec2& point : tread.outline)
                    include(point, 0);
    for (const Railing& railing : site.railings)
        for (const glm::dvec2& point : railing.path)
            include(point, 0);
    for (const Fountain& fountain : site.fountains)
        include(fountain.at, fountain.width / 2);
    for (const Tree& tree : site.trees)
        include(tree.at, tree.width / 2);
    for (const Shrub& shrub : site.shrubs) {
        for (const glm::dvec2& point : shrub.outline)
            include(point, 0);
        for (const glm::dvec2& point : shrub.path)
            include(point, shrub.width / 2);
    }
    for (const GroundArea& area : site.ground.areas)
        for (const glm::dvec2& point : area.outline)
            include(point, 0);
    for (const Lantern& lantern : site.lanterns)
        if (lantern.at || find_wall(site, lantern.wall))
            include(place_lantern(site, lantern).position, lantern.width / 2);
    // Beyond all else by whole metres: a fixture moved a little leaves the ground, and all that was found out
    // about it, as it was.
    const glm::dvec2 least = low, most = high;
    for (const Fixture& fixture : site.fixtures) {
        const bool is_known = (fixture.wall.empty() || find_wall(site, fixture.wall)) &&
                              (fixture.tree.empty() || find_tree(site, fixture.tree));
        if (!is_known)
            continue;
        const glm::dvec2 at = place_fixture(site, fixture).position;
        for (int axis = 0; axis < 2; ++axis) {
            if (at[axis] < least[axis])
                low[axis] = std::min(low[axis], std::floor(at[axis]));
            if (at[axis] > most[axis])
                high[axis] = std::max(high[axis], std::ceil(at[axis]));
        }
    }
    if (low.x > high.x)
        return {glm::dvec2(0), glm::dvec2(0)};
    return {low, high};
}

} // namespace duskcast
