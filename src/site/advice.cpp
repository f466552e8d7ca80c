// What an experienced installer would say of a layout that is not wrong.

#include <algorithm>
#include <cmath>

#include "checker.hpp"

namespace duskcast {
namespace {

// All common practice, no source.
constexpr double usual_setback_from = 12 * metres_per_inch;
constexpr double usual_setback_to = 18 * metres_per_inch;
constexpr double lowest_axis = 2 * metres_per_foot; ///< above the wall's foot
constexpr double bright_ambient = 5;                ///< lux, as under street lights

/// Height above the lens at which a ray meets the wall, at an angle from straight up towards the wall;
/// infinite when it does not.
double rise(double setback, double angle) {
    return angle <= 0 ? HUGE_VAL : setback * std::cos(angle) / std::sin(angle);
}

/// By a fixture, or in a variant.
bool is_used(const Site& site, const std::string& lamp) {
    const auto has_it = [&](const Fixture& one) { return one.lamp == lamp; };
    if (std::any_of(site.fixtures.begin(), site.fixtures.end(), has_it))
        return true;
    for (const Variant& variant : site.variants) {
        if (std::any_of(variant.added.begin(), variant.added.end(), has_it))
            return true;
        for (const Change& change : variant.changes)
            for (const Setting& setting : change.settings)
                if (setting.lamp == lamp)
                    return true;
    }
    return false;
}

} // namespace

std::vector<Problem> find_unused_lamps(const Site& site) {
    std::vector<Problem> unused;
    for (std::size_t i = 0; i < site.lamps.size(); ++i)
        if (const Message message = messages::lamp_unused(); !is_used(site, site.lamps[i].id))
            unused.push_back(
                {Severity::warning, {.path = join_path("lamps", i)}, message.what, message.remedy});
    return unused;
}

void Checker::advise() {
    if (faulty.contains("units"))
        return; // every length may mean something else
    if (!faulty.contains("ambient") && site.ambient > bright_ambient)
        warn("ambient", messages::ambient_bright(print_illuminance(site.ambient, site.light),
                                                 print_illuminance(bright_ambient, site.light)));
    onlookers = list_onlookers(site);
    for (std::size_t i = 0; i < site.fixtures.size(); ++i) {
        const std::string path = join_path("fixtures", i);
        if (is_sound(site.fixtures[i], path))
            advise_fixture(site.fixtures[i], path);
    }
    advise_ladders();
    advise_cables();
    advise_names();
}

bool Checker::is_sound(const Fixture& fixture, const std::string& path) const {
    const auto is_there = [&](const auto& list, const char* key, const std::string& id) {
        if (id.empty())
            return true;
        for (std::size_t i = 0; i < list.size(); ++i)
            if (list[i].id == id)
                return !faulty.contains(join_path(key, i));
        return false;
    };
    return !faulty.contains(path) && is_there(site.walls, "walls", fixture.wall) &&
           is_there(site.trees, "trees", fixture.tree) &&
           fixture.wall.empty() + fixture.tree.empty() + !fixture.at.has_value() == 2;
}

void Checker::advise_fixture(const Fixture& fixture, const std::string& path) {
    advise_place(fixture, path);
    advise_beam(fixture, path);
    advise_cover(fixture, path);
    advise_shroud(fixture, path);
    const bool stands = fixture.mount == Mount::spike || fixture.mount == Mount::surface;
    if (!fixture.wall.empty() && is_uplight(fixture.kind) && stands && light_of(fixture.lamp))
        advise_wall_uplight(fixture, path);
    const double level = radians_from_degrees(90);
    if (fixture.kind == FixtureKind::path && fixture.tilt < level)
        warn(join_path(path, "tilt"), messages::path_points_up());
    if (fixture.kind == FixtureKind::downlight && fixture.tilt <= level)
        warn(join_path(path, "tilt"), messages::downlight_points_up());
}

void Checker::advise_wall_uplight(const Fixture& fixture, const std::string& path) {
    const double setback = setback_of(fixture);
    if (setback < usual_setback_from - touch || setback > usual_setback_to + touch)
        warn(join_path(path, "setback"),
             messages::setback_unusual(shown(setback), shown(usual_setback_from), shown(usual_setback_to),
                                       setback < usual_setback_from));

    const Wall& wall = *find_wall(site, fixture.wall);
    const std::vector<RunSegment> run = run_of(wall);
    const glm::dvec2 out = segment_at(run, fixture.along).outward;
    const glm::dvec3 axis = beam_axis(place_fixture(site, fixture).aim);
    // In the upright plane square to the wall: 0 straight up, positive towards the wall.
    const double lean = std::atan2(-glm::dot(glm::dvec2(axis), out), axis.z);
    const double hit = fixture.lens_height + rise(setback, lean);
    const double top = top_of(wall, fixture.along);
    const double half_beam = measure_full_angle(light_of(fixture.lamp)->distribution, 0.5) / 2;
    if (axis.z <= 0)
        warn(join_path(path, "tilt"), messages::points_down());
    else if (lean < radians_from_degrees(-0.5))
        warn(join_path(path, "tilt"), messages::aims_away());
    else if (hit < lowest_axis)
        warn(join_path(path, "tilt"), messages::aims_at_foot(shown(std::max(0.0, hit))));
    else if (fixture.lens_height + rise(setback, lean + half_beam) > top)
        warn(join_path(path, "tilt"), messages::passes_over(shown(top)));

    const double distance = std::hypot(setback, top - fixture.lens_height);
    const double spot = 2 * distance * std::tan(std::min(half_beam, radians_from_degrees(85)));
    if (spot > run_length(run))
        warn(join_path(path, "lamp"), messages::wider_than_wall(shown(spot), shown(run_length(run))));
}

} // namespace duskcast
