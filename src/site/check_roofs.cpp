#include <algorithm>

#include "checker.hpp"
#include "duskcast/site/roof_plan.hpp"
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
        check_roof(roof, path);
    }
}

} // namespace duskcast
