#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "checker.hpp"
#include "direction.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {
namespace {

constexpr double low_projection = 2 * metres_per_foot; ///< lower ones are floors and no bays (no source)

/// Whether a lens of this radius there would stick in the wall.
bool is_in_wall(const Wall& wall, const glm::dvec3& position, double radius) {
    for (const RunSegment& segment : run_of(wall)) {
        const glm::dvec2 offset = glm::dvec2(position) - segment.start;
        const double on = glm::dot(offset, segment.direction);
        if (on < 0 || on > segment.length || std::abs(glm::dot(offset, segment.outward)) >= radius)
            continue;
        if (position.z >= wall.foot && position.z < wall.foot + top_of(wall, segment.along + on))
            return true;
    }
    return false;
}

/// Further inside than on its wall's face, where a window's point may lie.
bool is_inside_building(const Wall& wall, const glm::dvec3& position) {
    const double face = 0.01;
    return wall.closed && signed_area(wall.path) > 0 && is_inside(wall.path, glm::dvec2(position)) &&
           position.z < wall.foot + wall.height && !is_in_wall(wall, position, face);
}

} // namespace

void Checker::check_position(const Fixture& fixture, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    const int positions = !fixture.wall.empty() + !fixture.tree.empty() + fixture.at.has_value();
    if (positions != 1)
        return error(path, positions ? messages::two_positions() : messages::no_position());

    glm::dvec2 out{0}; // away from the wall or trunk
    std::string behind;
    if (!fixture.wall.empty()) {
        const Wall* wall = find_wall(site, fixture.wall);
        if (!wall)
            return error(at("wall"), messages::dangling("wall", fixture.wall, ids_of(site.walls)));
        if (!is_usable(*wall))
            return;
        const std::vector<RunSegment> run = run_of(*wall);
        if (!check_distance(at("along"), fixture.along, max_length) ||
            !check_along(at("along"), fixture.along, run))
            return;
        out = segment_at(run, fixture.along).outward;
        behind = "wall";
    } else if (!fixture.tree.empty()) {
        const Tree* tree = find_tree(site, fixture.tree);
        if (!tree)
            return error(at("tree"), messages::dangling("tree", fixture.tree, ids_of(site.trees)));
        if (!check_angle(at("bearing"), fixture.bearing, full_turn))
            return;
        if (fixture.lens_height > tree->height && tree->height > 0)
            error(at("lens_height"),
                  messages::above_the_tree(shown(fixture.lens_height), shown(tree->height)));
        out = direction_of(fixture.bearing);
        behind = "trunk";
    }

    if (!behind.empty()) {
        const double setback = setback_of(fixture);
        if (setback < 0)
            return error(at("setback"), messages::behind_the_wall(behind));
        if (!check_distance(at("setback"), setback, max_length))
            return;
        // How far the tilted lens disk reaches back towards the face.
        const double along_axis = glm::dot(beam_axis(place_fixture(site, fixture).aim), glm::dvec3(out, 0));
        const double reach =
            lens_diameter(fixture) / 2 * std::sqrt(std::max(0.0, 1 - along_axis * along_axis));
        if (reach > setback + touch)
            error(at("setback"), messages::lens_in_the_wall(behind, shown(reach)));
    }
    const double height = place_fixture(site, fixture).position.z;
    const double ground = ground_height_at(site.ground, glm::dvec2(place_fixture(site, fixture).position));
    if (fixture.lens_height >= 0 && height < ground - touch)
        error(at("lens_height"), ground > 0 ? messages::inside_terrace(shown(ground - height))
                                            : messages::below_level_ground(shown(-height)));
    check_obstacles(fixture, path);
}

/// Not inside a bay, a chimney or a closed building.
void Checker::check_obstacles(const Fixture& fixture, const std::string& path) {
    const glm::dvec3 position = place_fixture(site, fixture).position;
    const glm::dvec2 plan(position);
    for (const Wall& wall : site.walls) {
        if (!is_usable(wall))
            continue;
        for (const Projection& projection : wall.projections) {
            if (is_inside(outline_of(wall, projection), plan) &&
                position.z >= wall.foot + projection.bottom && position.z < wall.foot + projection.height)
                return error(path, messages::inside_projection(projection.id));
        }
        if (fixture.at && is_in_wall(wall, position, lens_diameter(fixture) / 2))
            return error(join_path(path, "at"), messages::on_the_wall(wall.id));
        const bool is_on_face = wall.id == fixture.wall && fixture.setback && *fixture.setback < touch;
        if (wall.closed && !is_on_face && signed_area(wall.path) > 0 && is_inside(wall.path, plan) &&
            position.z < wall.foot + wall.height)
            return error(path, messages::inside_building(wall.id));
    }
    for (const Tree& tree : site.trees)
        if (fixture.at && glm::distance(plan, tree.at) < trunk_diameter(tree) / 2 &&
            position.z < tree.foot + tree.base)
            return error(join_path(path, "at"), messages::inside_trunk(tree.id));
}

void Checker::check_targets() {
    for (std::size_t i = 0; i < site.targets.size(); ++i) {
        const std::string path = join_path("targets", i);
        check_id(targets, site.targets[i].id, path);
        check_target(site.targets[i], path);
    }
}

void Checker::check_target(const Target& target, const std::string& path) {
    std::vector<std::string> known = surfaces.ids();
    known.push_back(surfaces.reserved);
    const auto check_order = [&](const std::string& key, const std::array<double, 2>& span) {
        if (!(span[0] < span[1]))
            error(join_path(path, key), messages::wrong_order(shown(span[0]), shown(span[1])));
    };
    check_fields(*target_fields(), &target, path);
    if (target.between)
        check_order("between", *target.between);
    if (target.along)
        check_order("along", *target.along);

    if (target.on.find('.') != std::string::npos)
        return check_part(target, path);
    const Wall* wall = find_wall(site, target.on);
    if (!wall && std::find(known.begin(), known.end(), target.on) == known.end())
        return error(join_path(path, "on"),
                     messages::dangling("wall, tree, shrub, mesh or ground area", target.on, known));
    if (!wall && !target.gable.empty())
        error(join_path(path, "gable"), messages::gable_not_on_wall());
    if (!wall && target.along)
        error(join_path(path, "along"), messages::along_not_on_wall());
    if (!wall || !is_usable(*wall))
        return;
    const std::vector<std::string> gables = ids_of(wall->gables);
    if (!target.gable.empty() && std::find(gables.begin(), gables.end(), target.gable) == gables.end())
        error(join_path(path, "gable"), messages::dangling("gable", target.gable, gables));
    check_stretch(target, run_of(*wall), "wall", path);
}

/// A target on "WALL.PROJECTION" or on "MESH.PART"; a mesh's parts are known only once its file is read.
void Checker::check_part(const Target& target, const std::string& path) {
    const std::size_t dot = target.on.find('.');
    const std::string whole = target.on.substr(0, dot), part = target.on.substr(dot + 1);
    if (!target.gable.empty())
        error(join_path(path, "gable"), messages::gable_not_on_wall());
    if (std::any_of(site.meshes.begin(), site.meshes.end(),
                    [&](const Mesh& mesh) { return mesh.id == whole; }))
        return;
    const Wall* wall = find_wall(site, whole);
    if (!wall) {
        std::vector<std::string> known = ids_of(site.walls);
        for (const Mesh& mesh : site.meshes)
            known.push_back(mesh.id);
        return error(join_path(path, "on"), messages::dangling("wall or mesh", whole, known));
    }
    const auto projection = std::find_if(wall->projections.begin(), wall->projections.end(),
                                         [&](const Projection& one) { return one.id == part; });
    if (projection == wall->projections.end()) {
        error(join_path(path, "on"), messages::dangling("projection", part, ids_of(wall->projections)));
    } else if (is_usable(*wall)) {
        check_stretch(target, run_of(*wall, *projection), "projection", path);
        if (projection->bottom == 0 && projection->height < low_projection)
            warn(join_path(path, "on"), messages::low_projection(shown(projection->height)));
    }
}

void Checker::check_stretch(const Target& target, const std::vector<RunSegment>& run, const std::string& what,
                            const std::string& path) {
    const std::string along = join_path(path, "along");
    if (target.along && check_distance(along, (*target.along)[0], max_length))
        check_along(along, (*target.along)[1], run, what);
}

void Checker::check_views() {
    for (std::size_t i = 0; i < site.views.size(); ++i) {
        const View& view = site.views[i];
        const std::string path = join_path("views", i);
        check_id(views, view.id, path);
        check_fields(*view_fields(), &view, path);
        if (glm::distance(view.eye, view.look_at) < touch)
            error(join_path(path, "look_at"), messages::looks_at_itself("eye"));
    }
    for (std::size_t i = 0; i < site.eyes.size(); ++i) {
        const Eye& eye = site.eyes[i];
        const std::string path = join_path("eyes", i);
        check_id(views, eye.id, path); // reports name views and eyes side by side
        const Faults faults = check_fields(*eye_fields(), &eye, path);
        if (eye.look_at && !faults.contains("look_at") && glm::distance(eye.at, *eye.look_at) < touch)
            error(join_path(path, "look_at"), messages::looks_at_itself("at"));
    }
}

void Checker::check_pixel(const std::vector<double>& pixel, const std::string& path) {
    if (pixel.size() != 2)
        error(path, messages::no_pixel(pixel.size()));
}

void Checker::check_mark(const PhotoMark& mark, const std::string& path) {
    check_fields(*photo_mark_fields(), &mark, path);
    check_pixel(mark.pixel, join_path(path, "pixel"));
    if (mark.wall.empty() == !mark.at)
        return error(path, messages::unplaced_mark(mark.at.has_value()));
    if (mark.wall.empty())
        return;
    const Wall* wall = find_wall(site, mark.wall);
    if (!wall) {
        return error(join_path(path, "wall"), messages::dangling("wall", mark.wall, ids_of(site.walls)));
    }
    if (is_usable(*wall))
        check_along(join_path(path, "along"), mark.along, run_of(*wall));
}

void Checker::check_photo_length(const PhotoLength& length, const std::string& path) {
    const Faults faults = check_fields(*photo_length_fields(), &length, path);
    check_pixel(length.from, join_path(path, "from"));
    check_pixel(length.to, join_path(path, "to"));
    constexpr double least_pixels = 2;
    if (length.from.size() == 2 && length.to.size() == 2 &&
        std::hypot(length.to[0] - length.from[0], length.to[1] - length.from[1]) < least_pixels)
        error(join_path(path, "to"), messages::length_of_a_pixel());
    if (length.wall.empty()) {
        if (length.along != 0)
            error(join_path(path, "along"), messages::along_no_wall());
        return;
    }
    const Wall* wall = find_wall(site, length.wall);
    if (!wall)
        return error(join_path(path, "wall"), messages::dangling("wall", length.wall, ids_of(site.walls)));
    if (is_usable(*wall) && !faults.contains("along"))
        check_along(join_path(path, "along"), length.along, run_of(*wall));
}

void Checker::check_mask(const PhotoMask& mask, const std::string& path) {
    check_fields(*photo_mask_fields(), &mask, path);
    if (mask.outline.size() % 2 != 0)
        error(join_path(path, "outline"), messages::odd_outline(mask.outline.size()));
    if (mask.kind != MaskKind::plant) {
        if (!mask.plant.empty())
            error(join_path(path, "plant"), messages::mask_of_no_plant());
        return;
    }
    std::vector<std::string> known = ids_of(site.trees);
    for (const std::string& id : ids_of(site.shrubs))
        known.push_back(id);
    if (std::find(known.begin(), known.end(), mask.plant) == known.end())
        error(mask.plant.empty() ? path : join_path(path, "plant"),
              mask.plant.empty() ? messages::mask_without_plant()
                                 : messages::dangling("tree or shrub", mask.plant, known));
}

void Checker::check_photos() {
    for (std::size_t i = 0; i < site.photos.size(); ++i) {
        const Photo& photo = site.photos[i];
        const std::string path = join_path("photos", i);
        check_id(photos, photo.id, path);
        check_fields(*photo_fields(), &photo, path);
        IdSpace marks;
        for (std::size_t j = 0; j < photo.marks.size(); ++j) {
            const std::string at = join_path(join_path(path, "marks"), j);
            check_id(marks, photo.marks[j].id, at);
            check_mark(photo.marks[j], at);
        }
        for (std::size_t j = 0; j < photo.lengths.size(); ++j) {
            const std::string at = join_path(join_path(path, "lengths"), j);
            check_id(marks, photo.lengths[j].id, at); // reports name marks and lengths below each other
            check_photo_length(photo.lengths[j], at);
        }
        if (photo.taken == Daylight::sun && !photo.sun)
            error(path, messages::sun_not_said());
        if (photo.sun && photo.taken != Daylight::sun)
            error(join_path(path, "sun"), messages::sun_not_out());
        if (photo.white)
            check_pixel(photo.white->pixel, join_path(join_path(path, "white"), "pixel"));
        for (std::size_t j = 0; j < photo.masks.size(); ++j)
            check_mask(photo.masks[j], join_path(join_path(path, "masks"), j));
    }
}

void Checker::check_watch_points() {
    for (std::size_t i = 0; i < site.watch_points.size(); ++i) {
        const WatchPoint& point = site.watch_points[i];
        const std::string path = join_path("watch_points", i);
        check_id(watch_points, point.id, path);
        if (check_fields(*watch_point_fields(), &point, path).contains("at") ||
            !check_distance(join_path(path, "at"), point.at.z, max_height))
            continue;
        for (const Wall& wall : site.walls)
            if (is_usable(wall) && is_inside_building(wall, point.at))
                error(join_path(path, "at"), messages::watched_inside(wall.id));
    }
}

void Checker::check_variants() {
    for (std::size_t i = 0; i < site.variants.size(); ++i) {
        const Variant& variant = site.variants[i];
        const std::string path = join_path("variants", i);
        check_id(variants, variant.id, path);
        if (variant.changes.empty() && variant.without.empty() && variant.added.empty() && !variant.plants)
            error(path, messages::empty_variant());
        Faults faults = check_fields(*variant_fields(), &variant, path);
        for (std::size_t j = 0; j < variant.changes.size(); ++j)
            faults.merge(check_fields(*change_fields(), &variant.changes[j],
                                      join_path(join_path(path, "changes"), j)));
        if (!faults.empty())
            continue;
        try {
            const Site made = make_variant(site, variant, folder);
            Checker checker{made, made_lights};
            checker.check_all();
            for (const Problem& problem : checker.problems)
                if (problem.severity == Severity::error)
                    error(path,
                          {fmt::format("as this variant has it, {}: {}", problem.place.path, problem.what),
                           problem.remedy});
        } catch (const InputError& fault) {
            for (const Problem& problem : fault.problems())
                error(path, {problem.what, problem.remedy});
        }
    }
}

namespace {

/// The site with nothing left of what has errors; everything keeps its number.
Site keep_sound(const Site& site, const std::set<std::string>& faulty) {
    Site sound = site;
    const auto clear = [&](auto& list, const char* key) {
        for (std::size_t i = 0; i < list.size(); ++i)
            if (faulty.contains(join_path(key, i)))
                list[i] = {};
    };
    clear(sound.walls, "walls");
    clear(sound.roofs, "roofs");
    clear(sound.steps, "steps");
    clear(sound.railings, "railings");
    clear(sound.fountains, "fountains");
    clear(sound.trees, "trees");
    clear(sound.shrubs, "shrubs");
    clear(sound.ground.areas, "ground.areas");
    clear(sound.meshes, "meshes");
    const auto is_faulty = [&](const char* list) {
        return std::any_of(faulty.begin(), faulty.end(),
                           [&](const std::string& path) { return path.starts_with(list); });
    };
    if (is_faulty("views"))
        sound.views.clear();
    if (is_faulty("eyes"))
        sound.eyes.clear();
    if (is_faulty("watch_points"))
        sound.watch_points.clear();
    // Cables lead along and to all of these.
    for (const char* list : {"network", "fixtures", "walls", "trees", "shrubs", "ground"})
        if (is_faulty(list))
            sound.network.reset();
    return sound;
}

} // namespace

bool Checker::has_errors() const {
    return std::any_of(problems.begin(), problems.end(),
                       [](const Problem& one) { return one.severity == Severity::error; });
}

void Checker::check_all() {
    check_fields(*site_fields(), &site, "");
    check_ground();
    for (std::size_t i = 0; i < site.walls.size(); ++i) {
        check_id(surfaces, site.walls[i].id, join_path("walls", i));
        check_wall(site.walls[i], join_path("walls", i));
    }
    check_roofs();
    check_steps();
    check_fountains();
    check_trees();
    check_shrubs();
    check_meshes();
    check_lanterns();
    check_lamps();
    for (std::size_t i = 0; i < site.fixtures.size(); ++i)
        check_fixture(site.fixtures[i], join_path("fixtures", i));
    check_targets();
    check_views();
    check_photos();
    check_watch_points();
    check_network();
    if (has_errors())
        return;
    check_leaf_count(); // these measure things that must be sound by now
    check_sensor_count();
    check_variants();
}

bool has_errors(const Site& site, LampLights& lights) {
    Checker checker{site, lights};
    checker.check_all();
    return checker.has_errors();
}

std::vector<Problem> check_site(const Site& site, const std::filesystem::path& folder,
                                std::set<std::string> unread) {
    LampLights lights(folder);
    Checker checker{site, lights};
    checker.check_all();
    std::set<std::string> faulty = std::move(unread);
    for (const Problem& problem : checker.problems)
        if (problem.severity == Severity::error)
            faulty.insert(root_of(problem.place.path));
    const Site sound = keep_sound(site, faulty);
    Checker adviser{sound, lights};
    adviser.lights = std::move(checker.lights);
    adviser.faulty = std::move(faulty);
    adviser.advise();
    std::vector<Problem> problems = std::move(checker.problems);
    problems.insert(problems.end(), adviser.problems.begin(), adviser.problems.end());
    return problems;
}

} // namespace duskcast
