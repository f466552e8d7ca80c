// Where lights and cables had better not be, as an experienced installer would say on the walk round.

#include <algorithm>
#include <cmath>

#include "checker.hpp"
#include "direction.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/photometry/shield.hpp"
#include "duskcast/site/fountain_plan.hpp"
#include "duskcast/site/roof_plan.hpp"
#include "duskcast/site/terraces.hpp"
#include "siting_messages.hpp"

namespace duskcast {
namespace {

constexpr double pool_distance = 10 * metres_per_foot;      ///< NEC article 411, of lights (from memory)
constexpr double cable_pool_distance = 5 * metres_per_foot; ///< NEC 680.11 before 2017 (from memory)
constexpr double line_clearance = 10 * metres_per_foot; ///< 29 CFR 1910.333(c)(3), up to 50 kV (from memory)

// Common practice, no source.
constexpr double skirt_gap = 2 * metres_per_foot;      ///< leaves nearer above a lens take its light
constexpr double edge_room = 1 * metres_per_foot;      ///< so near to an edge a fixture is out of the way
constexpr double mower_room = 2 * metres_per_foot;     ///< so near to something the mower keeps off
constexpr double ladder_height = 10 * metres_per_foot; ///< from here on it hangs high
constexpr double least_crossing = 0.15;                ///< metres of paving that need a sleeve

constexpr double late_lux = 1;      ///< on windows in zone E2 after curfew, CIE 150
constexpr double eye_height = 1.5;  ///< metres, of somebody walking
constexpr double walker_every = 2;  ///< metres between places where somebody may walk
constexpr double walker_range = 15; ///< metres within which a beam in the eyes of a walker counts
constexpr double eye_range = 50;    ///< the same of eyes and views that the site names
constexpr double grazing = 0.34;    ///< cos 70 degrees: flatter light hardly enters a room (no source)
constexpr double above_roof = 1 * metres_per_foot; ///< so near above a covering all light falls on it
constexpr double much_taken = 1.0 / 3; ///< of its lumens by a shroud: another lamp would do (no source)
const double brow = radians_from_degrees(30); ///< a lens higher above an eye than that is not looked into

bool stands_up(const Fixture& fixture) {
    return (fixture.mount == Mount::spike || fixture.mount == Mount::surface) &&
           fixture.kind != FixtureKind::in_ground && fixture.kind != FixtureKind::downlight;
}

const GroundArea* area_at(const Ground& ground, const glm::dvec2& point) {
    const GroundArea* top = nullptr;
    for (const GroundArea& area : ground.areas)
        if (is_inside(area.outline, point))
            top = &area;
    return top;
}

std::string name_ground(const GroundArea* area) {
    return area ? "\"" + area->id + "\"" : "the ground outside every area";
}

/// Metres to the edges of ground areas, walls and shrubs and to trunks: what a mower steers clear of.
double distance_to_anything(const Site& site, const glm::dvec2& point) {
    double least = HUGE_VAL;
    for (const GroundArea& area : site.ground.areas)
        least = std::min(least, distance_to_line(point, area.outline, true));
    for (const Wall& wall : site.walls)
        least = std::min(least, distance_to_line(point, wall.path, wall.closed));
    for (const Shrub& shrub : site.shrubs)
        least = std::min(least, shrub.outline.empty()
                                    ? distance_to_line(point, shrub.path, false) - shrub.width / 2
                                    : distance_to_line(point, shrub.outline, true));
    for (const Tree& tree : site.trees)
        least = std::min(least, glm::distance(point, tree.at) - trunk_diameter(tree) / 2);
    return least;
}

bool is_in_shrub(const Shrub& shrub, const glm::dvec3& lens) {
    const glm::dvec2 plan(lens);
    const double foot = foot_at(shrub, plan);
    if (lens.z < foot || lens.z > foot + shrub.height)
        return false;
    return shrub.outline.empty() ? distance_to_line(plan, shrub.path, false) < shrub.width / 2
                                 : is_inside(shrub.outline, plan);
}

/// Height of the lowest leaves of a crown straight above a lens, over the lens; 0 among them, none where the
/// crown is not above it.
std::optional<double> gap_below(const Tree& tree, const glm::dvec3& lens) {
    const double away = glm::distance(glm::dvec2(lens), tree.at), step = 0.05;
    for (double z = tree.base + step / 2; z < tree.height; z += step)
        if (crown_radius(tree, z) > away && tree.foot + z > lens.z - step)
            return std::max(0.0, tree.foot + z - step / 2 - lens.z);
    return std::nullopt;
}

/// What lies over a place: a roof, or a wall's eave.
struct Cover {
    std::string name; ///< "the roof \"porch\""; empty: none
    double underside = 0, top = 0;
};

/// Where a gable rises, the wall has none.
bool has_eave_at(const Wall& wall, const RunSegment& segment, const glm::dvec2& point) {
    const double on = glm::dot(point - segment.start, segment.direction);
    return on >= 0 && on <= segment.length && top_of(wall, segment.along + on) <= wall.height + touch;
}

Cover find_cover(const Site& site, const Roof& roof, const glm::dvec2& point) {
    const RoofPlan plan = plan_roof(site, roof);
    const Wall* wall = find_wall(site, roof.wall);
    if (!is_inside(plan.outline(true), point))
        return {};
    Cover cover{"the roof \"" + roof.id + "\"", plan.underside, plan.top_at(point)};
    for (const RoofSide& side : plan.sides) {
        if (side.inside(point) >= 0)
            continue;
        if (!side.is_sloping) // the rake, under which it is open
            cover.underside = std::max(cover.underside, cover.top - side.edge);
        else if (wall && side.segment >= 0 &&
                 !has_eave_at(*wall, run_of(*wall)[static_cast<std::size_t>(side.segment)], point))
            return {};
    }
    return cover;
}

std::vector<Cover> list_covers(const Site& site, const glm::dvec2& point) {
    std::vector<Cover> covers;
    for (const Roof& roof : site.roofs)
        covers.push_back(find_cover(site, roof, point));
    for (const Wall& wall : site.walls)
        for (const RunSegment& segment : run_of(wall)) {
            const double off = glm::dot(point - segment.start, segment.outward);
            if (wall.eave && off >= 0 && off < wall.eave->depth && has_eave_at(wall, segment, point))
                covers.push_back({"the eave of \"" + wall.id + "\"", wall.foot + wall.height,
                                  wall.foot + wall.height + wall.eave->thickness});
        }
    std::erase_if(covers, [](const Cover& cover) { return cover.name.empty(); });
    return covers;
}

/// The first wall that a ray meets, and where.
struct WallHit {
    const Wall* wall = nullptr;
    double along = 0, height = 0; ///< above its foot
    double distance = HUGE_VAL;
};

WallHit find_wall_hit(const Site& site, const glm::dvec3& from, const glm::dvec3& way) {
    WallHit nearest;
    for (const Wall& wall : site.walls)
        for (const RunSegment& segment : run_of(wall)) {
            const double towards = -glm::dot(glm::dvec2(way), segment.outward);
            const glm::dvec2 offset = glm::dvec2(from) - segment.start;
            const double off = glm::dot(offset, segment.outward);
            const double distance = off / towards;
            if (towards == 0 || !(distance > touch) || distance >= nearest.distance)
                continue;
            const double on =
                glm::dot(offset, segment.direction) + distance * glm::dot(glm::dvec2(way), segment.direction);
            const double height = from.z + distance * way.z - wall.foot;
            if (on >= 0 && on <= segment.length && height >= 0 && height <= top_of(wall, segment.along + on))
                nearest = {&wall, segment.along + on, height, distance};
        }
    return nearest;
}

} // namespace

std::vector<Onlooker> list_onlookers(const Site& site) {
    std::vector<Onlooker> all;
    for (const Eye& eye : site.eyes)
        all.push_back({"\"" + eye.id + "\"", eye.at, eye_range});
    for (const View& view : site.views)
        all.push_back({"whoever looks from view \"" + view.id + "\"", view.eye, eye_range});
    for (const GroundArea& area : site.ground.areas) {
        if (area.kind != GroundKind::paving || area.outline.empty())
            continue;
        glm::dvec2 low = area.outline.front(), high = low;
        for (const glm::dvec2& point : area.outline) {
            low = glm::min(low, point);
            high = glm::max(high, point);
        }
        const glm::dvec2 size = glm::min(high - low, glm::dvec2(100)); // metres; drives are no longer
        const glm::ivec2 count = glm::max(glm::ivec2(glm::ceil(size / walker_every)), glm::ivec2(1));
        for (int i = 0; i < count.x * count.y; ++i) {
            const glm::dvec2 share((i % count.x + 0.5) / count.x, (i / count.x + 0.5) / count.y);
            const glm::dvec2 at = low + share * size;
            if (area_at(site.ground, at) == &area)
                all.push_back({"somebody on \"" + area.id + "\"",
                               {at, ground_height_at(site.ground, at) + eye_height},
                               walker_range});
        }
    }
    return all;
}

std::vector<GroundStretch> find_paving(const Site& site, const std::vector<glm::dvec2>& line) {
    std::vector<GroundStretch> stretches, here; // here: of the paving that the line is on
    const auto add = [](std::vector<GroundStretch>& list, const std::string& area, double length) {
        auto found = std::find_if(list.begin(), list.end(),
                                  [&](const GroundStretch& one) { return one.area == area; });
        if (found == list.end())
            found = list.insert(found, {area, 0});
        found->length += length;
    };
    const auto find_kind = [&](const GroundArea* area) { return area ? area->kind : site.ground.base; };
    const auto is_paved = [&](const glm::dvec2& point) {
        return find_kind(area_at(site.ground, point)) == GroundKind::paving;
    };
    // Along an edge the cable lies beside the paving, wherever the line is drawn to an inch.
    bool is_beside = true;
    const auto leave = [&] {
        for (const GroundStretch& one : here)
            if (!is_beside)
                add(stretches, one.area, one.length);
        here.clear();
        is_beside = true;
    };
    const double step = 0.02; // metres
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const glm::dvec2 way = line[i + 1] - line[i];
        const double length = glm::length(way);
        const int steps = std::max(1, static_cast<int>(std::ceil(std::min(length, max_length) / step)));
        for (int s = 0; s < steps; ++s) {
            const glm::dvec2 point = glm::mix(line[i], line[i + 1], (s + 0.5) / steps);
            const GroundArea* area = area_at(site.ground, point);
            if (find_kind(area) != GroundKind::paving) {
                leave();
                continue;
            }
            const glm::dvec2 aside = least_crossing / 2 / length * glm::dvec2(-way.y, way.x);
            is_beside = is_beside && !(is_paved(point + aside) && is_paved(point - aside));
            const double climb = glm::dot(ground_plane_at(site.ground, point).rise, way);
            add(here, area ? area->id : "", std::hypot(length, climb) / steps);
        }
    }
    leave();
    std::erase_if(stretches, [](const GroundStretch& one) { return one.length < least_crossing; });
    return stretches;
}

/// Candela of a fixture towards a point, as new and with nothing in between but its own parts.
double Checker::candela_towards(const Fixture& fixture, const glm::dvec3& point) {
    const LampLight* light = light_of(fixture.lamp);
    const PlacedFixture placed = place_fixture(site, fixture);
    const glm::dvec3 way = point - placed.position;
    if (light == nullptr || glm::length(way) < touch)
        return 0;
    const glm::dvec3 own = glm::normalize(way * world_from_fixture(placed.aim)); // transposed: into its frame
    const double lens = lens_diameter(fixture), gamma = std::acos(std::clamp(-own.z, -1.0, 1.0));
    const bool is_well = fixture.kind == FixtureKind::in_ground;
    const Shield shield{.lens_diameter = lens,
                        .shroud_length = fixture.shroud_length,
                        .hood_length = fixture.hood_length,
                        .rim = is_well ? Rim{} : fixture.rim,
                        .louvre = is_well ? Louvre{} : fixture.louvre};
    double share = visible_lens_share(shield, std::atan2(own.y, own.x), gamma);
    if (is_well) { // its rim and louvre stay level
        const double from_up = std::acos(std::clamp(glm::normalize(way).z, -1.0, 1.0));
        share *= visible_share(fixture.rim, lens, from_up) * visible_share(fixture.louvre, from_up);
    }
    return light->distribution.candela_towards(own) * share * fixture.dimming;
}

/// On the ground: water, shrubs, low leaves, paving, the mower.
void Checker::advise_place(const Fixture& fixture, const std::string& path) {
    const glm::dvec3 lens = place_fixture(site, fixture).position;
    const glm::dvec2 plan(lens);
    advise_water(plan, path);
    if (fixture.mount != Mount::spike && fixture.mount != Mount::surface)
        return;
    for (const Shrub& shrub : site.shrubs)
        if (is_in_shrub(shrub, lens))
            warn(path,
                 messages::in_shrub(shrub.id, shown(shrub.height), shown(lens.z - foot_at(shrub, plan))));
    const bool throws_up = is_uplight(fixture.kind) || fixture.kind == FixtureKind::wash;
    for (const Tree& tree : site.trees)
        if (const std::optional<double> gap = gap_below(tree, lens); gap && *gap <= 0)
            warn(path, messages::in_crown(tree.id));
        else if (gap && *gap < skirt_gap && throws_up)
            warn(path, messages::under_skirt(tree.id, shown(*gap)));
    const GroundKind ground = ground_kind_at(site.ground, plan);
    const GroundArea* area = area_at(site.ground, plan);
    if (ground == GroundKind::paving && fixture.mount == Mount::spike)
        warn(path, messages::spike_in_paving(name_ground(area)));
    else if (ground == GroundKind::paving && stands_up(fixture) && area &&
             distance_to_line(plan, area->outline, true) > edge_room &&
             distance_to_anything(site, plan) > edge_room)
        warn(path, messages::stands_on_paving(name_ground(area)));
    else if (ground == GroundKind::lawn && fixture.mount == Mount::spike)
        warn(path, messages::spike_in_lawn(is_uplight(fixture.kind)));
    else if (ground == GroundKind::lawn && stands_up(fixture) &&
             distance_to_anything(site, plan) > mower_room)
        warn(path, messages::stands_in_lawn());
}

/// Where a roof or an eave swallows all the light.
void Checker::advise_cover(const Fixture& fixture, const std::string& path) {
    const glm::dvec3 lens = place_fixture(site, fixture).position;
    const bool falls = fixture.kind == FixtureKind::downlight && fixture.mount != Mount::tree;
    for (const Cover& cover : list_covers(site, glm::dvec2(lens))) {
        const bool is_above = lens.z >= cover.top;
        if (lens.z > cover.underside + touch && lens.z < cover.top + (falls ? above_roof : 0)) {
            warn(join_path(path, "lens_height"),
                 messages::in_roof(cover.name, shown(cover.underside), is_above));
            return;
        }
    }
}

/// A long shroud on a wide lamp.
void Checker::advise_shroud(const Fixture& fixture, const std::string& path) {
    const LampLight* light = light_of(fixture.lamp);
    const Shield shield{.lens_diameter = lens_diameter(fixture),
                        .shroud_length = fixture.shroud_length,
                        .hood_length = fixture.hood_length};
    if (light == nullptr || (shield.shroud_length <= 0 && shield.hood_length <= 0))
        return;
    // Even steps in s = sin(gamma / 2) are finest where narrow beams are; s ds is the solid angle.
    constexpr int rings = 120, spokes = 12;
    double all = 0, open = 0;
    for (int ring = 0; ring < rings; ++ring) {
        const double s = (ring + 0.5) / rings, gamma = 2 * std::asin(s);
        for (int spoke = 0; spoke < spokes; ++spoke) {
            const double c = 2 * pi * spoke / spokes;
            const glm::dvec3 way(std::sin(gamma) * std::cos(c), std::sin(gamma) * std::sin(c),
                                 -std::cos(gamma));
            const double lumens = s * light->distribution.candela_towards(way);
            all += lumens;
            open += lumens * visible_lens_share(shield, c, gamma);
        }
    }
    const double taken = all > 0 ? 1 - open / all : 0;
    if (taken <= much_taken)
        return;
    warn(join_path(path, "lamp"),
         messages::shroud_takes(print_share(taken), shield.shroud_length > 0, shield.hood_length > 0));
}

void Checker::advise_water(const glm::dvec2& plan, const std::string& path) {
    for (const Water& water : list_waters(site)) {
        const bool is_in = is_inside(water.outline, plan);
        const double away = distance_to_line(plan, water.outline, true);
        if (is_in || away < pool_distance - touch)
            warn(path, messages::near_water(shown(away), water.id, shown(pool_distance), is_in));
    }
}

/// Into windows and eyes.
void Checker::advise_beam(const Fixture& fixture, const std::string& path) {
    const LampLight* light = light_of(fixture.lamp);
    if (light == nullptr || fixture.dimming <= 0)
        return;
    const PlacedFixture placed = place_fixture(site, fixture);
    const WallHit hit = find_wall_hit(site, placed.position, beam_axis(placed.aim));
    const double straightness = // cosine of the angle at which the beam meets the wall
        hit.wall
            ? -glm::dot(glm::dvec2(beam_axis(placed.aim)), segment_at(run_of(*hit.wall), hit.along).outward)
            : 0;
    if (straightness > grazing)
        for (const Opening& opening : hit.wall->openings)
            if (opening.kind == OpeningKind::window && hit.along > opening.from &&
                hit.along < opening.from + opening.width && hit.height > opening.sill &&
                hit.height < opening.sill + opening.height)
                warn(path, messages::beam_in_window(hit.wall->id, opening.id));

    const auto is_in_sight = [&](const glm::dvec3& point) {
        const glm::dvec3 way = point - placed.position;
        const double distance = glm::length(way), face = 0.05; // a window's point lies on its wall
        return distance > face &&
               find_wall_hit(site, placed.position, way / distance).distance > distance - face;
    };
    for (const WatchPoint& point : site.watch_points) {
        const glm::dvec3 way = point.at - placed.position;
        const double distance = glm::length(way);
        if (distance < touch)
            continue;
        const double level = std::hypot(way.x, way.y) / distance;
        const double cosine =
            !point.facing ? level : -glm::dot(glm::dvec2(way), direction_of(*point.facing)) / distance;
        const double lux = candela_towards(fixture, point.at) * cosine / (distance * distance);
        if (lux > late_lux && is_in_sight(point.at))
            warn(path, messages::light_at_watch_point(point.id, print_illuminance(lux, site.light),
                                                      print_illuminance(late_lux, site.light)));
    }
    const double half = measure_max_candela(light->distribution) * fixture.dimming / 2;
    std::set<std::string> warned;
    for (const Onlooker& onlooker : onlookers) {
        const glm::dvec3 way = onlooker.at - placed.position;
        const double distance = glm::length(way);
        if (distance > onlooker.range || -way.z > distance * std::sin(brow) || warned.contains(onlooker.name))
            continue;
        if (candela_towards(fixture, onlooker.at) >= half && is_in_sight(onlooker.at)) {
            warn(path, messages::beam_in_eyes(onlooker.name));
            warned.insert(onlooker.name);
        }
    }
}

/// One warning for all that hang high, at the first of them.
void Checker::advise_ladders() {
    std::vector<std::string> ids;
    std::string path;
    double highest = 0;
    bool has_tree = false;
    for (std::size_t i = 0; i < site.fixtures.size(); ++i) {
        const Fixture& fixture = site.fixtures[i];
        const bool hangs = fixture.mount == Mount::tree || fixture.mount == Mount::wall ||
                           fixture.kind == FixtureKind::downlight;
        if (!hangs || fixture.lens_height < ladder_height)
            continue;
        if (ids.empty())
            path = join_path("fixtures", i);
        ids.push_back(fixture.id);
        highest = std::max(highest, fixture.lens_height);
        has_tree = has_tree || !fixture.tree.empty();
    }
    if (!ids.empty())
        warn(path, messages::hangs_high(ids, shown(highest), shown(line_clearance), has_tree));
}

void Checker::advise_cables() {
    if (!site.network)
        return;
    const Network& network = *site.network;
    const double half = site.units == LengthUnit::foot ? metres_per_foot / 2 : 0.1;
    for (std::size_t i = 0; i < network.transformers.size(); ++i)
        advise_water(network.transformers[i].at, join_path("network.transformers", i));
    for (std::size_t i = 0; i < network.runs.size(); ++i) {
        const std::string path = join_path("network.runs", i);
        const CableCourse course = lay_cable(site, network.runs[i]);
        std::vector<std::vector<glm::dvec2>> buried{course.cable, course.home};
        if (network.runs[i].layout == RunLayout::hub)
            for (std::size_t j = 0; j < course.joints.size(); ++j)
                buried.push_back({course.joints[j], course.lights[j]});
        std::map<std::string, double> crossed; ///< metres by area
        for (const std::vector<glm::dvec2>& line : buried)
            for (const GroundStretch& stretch : find_paving(site, line))
                crossed[stretch.area] += stretch.length;
        if (!network.runs[i].is_sleeved)
            for (const auto& [area, length] : crossed)
                warn(path, messages::crosses_unsleeved(area.empty() ? "paving" : "\"" + area + "\"",
                                                       shown(std::round(length / half) * half)));
        for (const Water& water : list_waters(site)) {
            double nearest = HUGE_VAL;
            bool is_through = false; // which is a matter of its own
            for (const std::vector<glm::dvec2>& line : buried)
                for (double along = 0, end = line_length(line); along <= end && !line.empty();
                     along += metres_per_foot / 4) {
                    const glm::dvec2 point = point_along(line, along);
                    nearest = std::min(nearest, distance_to_line(point, water.outline, true));
                    is_through = is_through || is_inside(water.outline, point);
                }
            if (nearest < cable_pool_distance && !is_through)
                warn(path, messages::cable_near_water(shown(nearest), water.id, shown(cable_pool_distance)));
        }
    }
}

/// Of all whose name stands on a plan.
void Checker::advise_names() {
    struct Named {
        const char* kind;
        std::string path;
    };
    std::map<std::string, Named> taken;
    const auto add = [&](const char* kind, const std::string& list, const std::vector<std::string>& ids) {
        for (std::size_t i = 0; i < ids.size(); ++i) {
            if (ids[i].empty())
                continue; // left out for its faults
            const std::string path = join_path(list, i);
            const auto [entry, is_new] = taken.try_emplace(lower_case(ids[i]), Named{kind, path});
            if (!is_new && entry->second.kind != kind)
                warn(join_path(path, "id"),
                     messages::same_name(ids[i], kind, entry->second.kind, entry->second.path));
        }
    };
    add("wall", "walls", ids_of(site.walls));
    add("tree", "trees", ids_of(site.trees));
    add("shrub", "shrubs", ids_of(site.shrubs));
    add("mesh", "meshes", ids_of(site.meshes));
    add("ground area", "ground.areas", ids_of(site.ground.areas));
    add("fixture", "fixtures", ids_of(site.fixtures));
    if (!site.network)
        return;
    add("transformer", "network.transformers", ids_of(site.network->transformers));
    add("hub", "network.hubs", ids_of(site.network->hubs));
}

} // namespace duskcast
