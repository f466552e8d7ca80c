#include <algorithm>

#include "checker.hpp"
#include "duskcast/site/dormer_plan.hpp"
#include "names.hpp"

namespace duskcast {
namespace {

bool is_convex(const std::vector<RoofSide>& sides) {
    for (const RoofSide& side : sides)
        for (const RoofSide& other : sides)
            if (side.inside(other.start) < -touch)
                return false;
    return true;
}

} // namespace

void Checker::check_roof(const Roof& roof, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    const Faults faults = check_fields(*roof_fields(), &roof, path);
    if (roof.wall.empty() == roof.outline.empty())
        return error(path, messages::roof_over_what());
    if (roof.wall.empty()) {
        if (!check_line(at("outline"), roof.outline, true, "outline") || faults.contains("outline"))
            return;
        if (!roof.height)
            return error(path, messages::needs_key("outline", "height"));
    } else {
        const Wall* wall = find_wall(site, roof.wall);
        if (!wall)
            return error(at("wall"), messages::dangling("wall", roof.wall, ids_of(site.walls)));
        if (!is_usable(*wall))
            return;
        if (wall->path.size() == 2 && !roof.depth)
            return error(path, messages::roof_needs_depth());
        if (wall->path.size() > 2 && roof.depth)
            return error(at("depth"), messages::roof_has_depth());
        if (roof.columns)
            error(at("columns"), messages::columns_without_outline());
    }
    if (!faults.empty())
        return;
    const RoofPlan plan = plan_roof(site, roof);
    const char* const over = roof.wall.empty() ? "outline" : "wall";
    if (!is_convex(plan.sides))
        return error(at(over), messages::roof_not_convex());
    if (roof.form != RoofForm::hip && plan.sides.size() != 4)
        return error(at(over), messages::roof_corners(name_of(roof_form_names, roof.form),
                                                      static_cast<int>(plan.sides.size())));
    if (const double ridge = plan.ridge(); ridge > max_height)
        error(path, messages::roof_too_high(shown(ridge), shown(max_height)));
    if (roof.columns && roof.columns->foot > plan.underside - touch)
        error(join_path(at("columns"), "foot"), messages::columns_above_roof());
    for (std::size_t i = 0; i < roof.chimneys.size(); ++i)
        if (!is_inside(plan.outline(false), roof.chimneys[i].at))
            error(join_path(join_path(at("chimneys"), i), "at"),
                  messages::chimney_beside_roof(roof.chimneys[i].id));
    for (std::size_t i = 0; i < roof.dormers.size(); ++i) {
        const Dormer& dormer = roof.dormers[i];
        const std::string one = join_path(at("dormers"), i), window = join_path(one, "window");
        const Faults in_dormer = check_fields(*dormer_fields(), &dormer, one);
        if (dormer.window) {
            IdSpace windows{false};
            check_id(windows, dormer.window->id, window);
            check_glow(dormer.window->glow, window);
            if (dormer.window->glow && dormer.window->room == Room::dark)
                error(join_path(window, "room"), messages::dark_room_glows());
        }
        if (in_dormer.empty())
            check_dormer(dormer, plan, one);
    }
}

void Checker::check_dormer(const Dormer& dormer, const RoofPlan& roof, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    const auto side = static_cast<std::size_t>(dormer.side) - 1;
    if (side >= roof.sides.size() || !roof.sides[side].is_sloping)
        return error(at("side"), messages::dormer_off_roof(dormer.id, static_cast<int>(roof.sides.size())));
    const DormerPlan plan = plan_dormer(roof, dormer);
    if (dormer.form == DormerForm::shed && plan.slope > roof.slope - 1e-3)
        return error(at("slope"), messages::dormer_too_steep(dormer.id));
    const glm::dvec2 way = glm::normalize(plan.side->end - plan.side->start), inward(-way.y, way.x);
    const std::vector<glm::dvec2> footprint = roof.outline(false);
    const auto is_on_slope = [&](double along, double back) {
        const glm::dvec2 point = plan.side->start + along * way + (back + touch) * inward;
        return is_inside(footprint, point) && roof.top_at(point) > roof.plane_at(*plan.side, point) - touch;
    };
    const double middle = (plan.left + plan.right) / 2;
    const bool is_shed = dormer.form == DormerForm::shed;
    if (!is_on_slope(plan.left + touch, plan.face) || !is_on_slope(plan.right - touch, plan.face) ||
        !is_on_slope(is_shed ? plan.left + touch : middle, plan.back) ||
        !is_on_slope(is_shed ? plan.right - touch : middle, plan.back))
        error(path, messages::dormer_too_large(dormer.id));
    if (!dormer.window)
        return;
    const Opening& window = *dormer.window;
    if (window.from + window.width > dormer.width - touch ||
        window.sill + window.height > dormer.height - touch || window.from < touch ||
        window.sill < roof.slope * window.reveal)
        error(at("window"), messages::dormer_window(window.id));
}

void Checker::check_roofs() {
    for (std::size_t i = 0; i < site.roofs.size(); ++i) {
        const Roof& roof = site.roofs[i];
        const std::string path = join_path("roofs", i);
        check_id(surfaces, roof.id, path);
        IdSpace parts{false, "trim", "the edges of the roof"};
        for (std::size_t chimney = 0; chimney < roof.chimneys.size(); ++chimney) {
            const std::string one = join_path(join_path(path, "chimneys"), chimney);
            check_id(parts, roof.chimneys[chimney].id, one);
            check_fields(*chimney_fields(), &roof.chimneys[chimney], one);
        }
        for (std::size_t dormer = 0; dormer < roof.dormers.size(); ++dormer) {
            const std::string one = join_path(join_path(path, "dormers"), dormer);
            check_id(parts, roof.dormers[dormer].id, one);
        }
        check_roof(roof, path);
    }
}

} // namespace duskcast
