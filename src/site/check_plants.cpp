#include <algorithm>
#include <cmath>

#include "checker.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {
namespace {

constexpr double max_leaves = 6e6;
constexpr double max_sensors = 5e6;
constexpr double most_slope_run = 2; ///< metres of plan for one of fall, at least

/// One-sided leaf area of the volume over the area of one leaf.
template <class Plant> double leaf_count(const Plant& plant, double volume) {
    return leaf_area_density(plant) * volume / leaf_area(plant);
}

} // namespace

void Checker::check_growth(const Tree& tree, const std::string& path) {
    const auto check_mature = [&](const char* key, const std::string& what, double now,
                                  const std::optional<double>& mature) {
        if (mature && *mature > touch && *mature < now)
            error(join_path(join_path(path, "growth"), key),
                  messages::mature_already(what, shown(now), shown(*mature)));
    };
    check_mature("mature_height", "height", tree.height, tree.growth->mature_height);
    check_mature("mature_width", "width", tree.width, tree.growth->mature_width);
}

void Checker::check_trees() {
    for (std::size_t i = 0; i < site.trees.size(); ++i) {
        const Tree& tree = site.trees[i];
        const std::string path = join_path("trees", i);
        check_id(surfaces, tree.id, path);
        const Faults faults = check_fields(*tree_fields(), &tree, path);
        if (!faults.contains("height") && !faults.contains("base") && tree.base >= tree.height)
            error(join_path(path, "base"), messages::base_above_top(shown(tree.base), shown(tree.height)));
        if (tree.growth)
            check_growth(tree, path);
        check_footing(path, "tree", tree.at, tree.foot);
    }
}

void Checker::check_shrubs() {
    for (std::size_t i = 0; i < site.shrubs.size(); ++i) {
        const Shrub& shrub = site.shrubs[i];
        const std::string path = join_path("shrubs", i);
        check_id(surfaces, shrub.id, path);
        check_fields(*shrub_fields(), &shrub, path);
        if (shrub.outline.empty() == shrub.path.empty()) {
            error(path, messages::outline_or_path());
        } else if (shrub.path.empty()) {
            if (check_line(join_path(path, "outline"), shrub.outline, true, "outline"))
                check_footing(path, "bed", footing_of(shrub), shrub.foot);
        } else {
            if (check_line(join_path(path, "path"), shrub.path, false, "path"))
                check_footing(path, "hedge", footing_of(shrub), shrub.foot);
            check_size(join_path(path, "width"), shrub.width, max_height);
        }
    }
}

void Checker::check_ground() {
    for (std::size_t i = 0; i < site.ground.areas.size(); ++i) {
        const GroundArea& area = site.ground.areas[i];
        const std::string path = join_path("ground.areas", i);
        check_id(surfaces, area.id, path);
        const Faults faults = check_fields(*ground_area_fields(), &area, path);
        const bool is_good = check_line(join_path(path, "outline"), area.outline, true, "outline");
        check_glow(area.glow, path);
        if (area.retaining && !area.height)
            error(join_path(path, "retaining"), messages::needs_key("retaining", "height"));
        if (area.fall && !area.height)
            error(join_path(path, "fall"), messages::needs_key("fall", "height"));
        if (is_good && !faults.contains("height") && !faults.contains("fall") && is_fall_good(area, path))
            check_terraces(i, path);
    }
}

bool Checker::is_fall_good(const GroundArea& area, const std::string& path) {
    if (!area.fall)
        return true;
    if (!area.height)
        return false;
    const std::string place = join_path(path, "fall");
    const double fall = *area.height - area.fall->to, length = fall_length(area.outline, area.fall->towards);
    if (fall < touch)
        error(join_path(place, "to"), messages::falls_upwards(shown(area.fall->to), shown(*area.height)));
    else if (most_slope_run * fall > length + touch)
        error(place, messages::falls_steeply(shown(fall), shown(length), most_slope_run));
    else
        return true;
    return false;
}

/// An area lies as a whole upon a terrace that is lower than itself, or beside it.
void Checker::check_terraces(std::size_t index, const std::string& path) {
    constexpr double apart = 0.1, inwards = 0.01;
    const GroundArea& area = site.ground.areas[index];
    std::vector<glm::dvec2> places; // along its edge, just within
    const double turn = signed_area(area.outline) > 0 ? 1 : -1;
    for (std::size_t i = 0; i < area.outline.size(); ++i) {
        const glm::dvec2 a = area.outline[i], b = area.outline[(i + 1) % area.outline.size()];
        const double length = glm::distance(a, b);
        const glm::dvec2 way = (b - a) / length, aside = turn * inwards * glm::dvec2(-way.y, way.x);
        const int count = std::clamp(static_cast<int>(length / apart), 1, 2000);
        for (int k = 0; k < count; ++k)
            if (const glm::dvec2 place = a + (k + 0.5) / count * (b - a) + aside;
                is_inside(area.outline, place))
                places.push_back(place);
    }
    const GroundPlane own = plane_of(site.ground, area);
    if (area.kind == GroundKind::water && !own.is_level())
        return error(join_path(path, area.fall ? "fall" : "outline"),
                     messages::water_that_falls(area.fall.has_value()));
    for (std::size_t j = 0; j < index; ++j) {
        const GroundArea& below = site.ground.areas[j];
        if (!below.height || below.outline.size() < 3)
            continue;
        const auto inside = std::count_if(places.begin(), places.end(), [&](const glm::dvec2& place) {
            return is_inside(below.outline, place);
        });
        const bool is_around = inside == 0 && is_inside(area.outline, find_inner_place(below.outline));
        if (inside == 0 && !is_around)
            continue;
        const GroundPlane under = plane_of(site.ground, below);
        double least = HUGE_VAL, most = -HUGE_VAL, highest = -HUGE_VAL; // above it, and of it
        for (const glm::dvec2& point : area.outline) {
            const double height = under.height_at(point), above = own.height_at(point) - height;
            least = std::min(least, above);
            most = std::max(most, above);
            highest = std::max(highest, height);
        }
        if (area.height && (least < -touch || most < touch))
            return error(join_path(path, "height"),
                         messages::terrace_in_higher(below.id, shown(highest), under.is_level()));
        else if (is_around || inside < static_cast<std::ptrdiff_t>(places.size()))
            return error(join_path(path, "outline"), messages::area_across_terrace(below.id));
    }
}

void Checker::check_footing(const std::string& path, const std::string& thing, const glm::dvec2& plan,
                            double foot) {
    const double ground = ground_height_at(site.ground, plan);
    if (foot < ground - touch)
        warn(join_path(path, "foot"), messages::below_terrace(thing, shown(ground - foot), shown(ground)));
}

void Checker::check_meshes() {
    for (std::size_t i = 0; i < site.meshes.size(); ++i) {
        const Mesh& mesh = site.meshes[i];
        const std::string path = join_path("meshes", i);
        check_id(surfaces, mesh.id, path);
        std::error_code ignored;
        if (mesh.file.empty())
            error(join_path(path, "file"), messages::file_name_missing());
        else if (!std::filesystem::is_regular_file(path_in(folder, mesh.file), ignored))
            error(join_path(path, "file"), messages::no_such_file(mesh.file));
        check_fields(*mesh_fields(), &mesh, path);
    }
}

void Checker::check_leaf_count() {
    double total = 0, largest = 0, leaf_size = 0;
    std::string id, path;
    const auto add = [&](const auto& plant, const std::string& where, double volume) {
        const double count = leaf_count(plant, volume);
        total += count;
        if (count > largest) {
            largest = count;
            id = plant.id;
            path = where;
            leaf_size = plant.foliage.leaf_size;
        }
    };
    for (std::size_t i = 0; i < site.trees.size(); ++i)
        add(site.trees[i], join_path("trees", i), crown_volume(site.trees[i]));
    for (std::size_t i = 0; i < site.shrubs.size(); ++i)
        add(site.shrubs[i], join_path("shrubs", i), shrub_volume(site.shrubs[i]));
    if (total <= max_leaves)
        return;
    const double factor = std::ceil(std::sqrt(total / max_leaves) * 10) / 10, enough = leaf_size * factor;
    const std::string shown_size = site.units == LengthUnit::foot
                                       ? print_number(std::ceil(enough / metres_per_inch * 10) / 10) + " in"
                                       : print_number(std::ceil(enough * 1000)) + " mm";
    error(join_path(path, "leaf_size"), messages::too_many_leaves(total, factor, id, shown_size));
}

void Checker::check_sensor_count() {
    double wall_area = 0;
    for (const Wall& wall : site.walls) {
        double top = wall.height;
        for (const Gable& gable : wall.gables)
            top = std::max(top, gable.peak);
        wall_area += run_length(run_of(wall)) * top;
    }
    const auto [low, high] = plan_bounds(site);
    const glm::dvec2 size = high - low + 2 * site.ground.margin;
    const auto check = [&](const std::string& key, double area, double spacing) {
        const double sensors = area / (spacing * spacing);
        if (sensors > max_sensors)
            error(key, messages::too_many_sensors(
                           sensors, key, shown(std::sqrt(area / max_sensors) + metres_per_inch / 2)));
    };
    check("sensor_spacing", wall_area, site.sensor_spacing);
    check("ground_spacing", size.x * size.y, site.ground_spacing);
}

} // namespace duskcast
