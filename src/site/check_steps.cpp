#include "checker.hpp"
#include "duskcast/site/fountain_plan.hpp"
#include "duskcast/site/steps_plan.hpp"

namespace duskcast {

void Checker::check_steps_place(const Steps& steps, const std::string& path) {
    const auto at = [&](const char* key) { return join_path(path, key); };
    const Faults faults = check_fields(*steps_fields(), &steps, path);
    if (steps.at.has_value() != steps.wall.empty())
        return error(path, steps.at ? messages::excludes_key("at", "wall") : messages::steps_without_place());
    if (!steps.wall.empty()) {
        const Wall* wall = find_wall(site, steps.wall);
        if (!wall)
            return error(at("wall"), messages::dangling("wall", steps.wall, ids_of(site.walls)));
        if (!is_usable(*wall))
            return;
        check_along(at("along"), steps.along, run_of(*wall));
    }
    if (!faults.contains("height") && !faults.contains("riser") && steps.height / steps.riser > most_steps)
        error(at("riser"), messages::too_many_steps(most_steps));
}

void Checker::check_steps() {
    for (std::size_t i = 0; i < site.steps.size(); ++i) {
        const std::string path = join_path("steps", i);
        check_id(surfaces, site.steps[i].id, path);
        check_steps_place(site.steps[i], path);
    }
    for (std::size_t i = 0; i < site.railings.size(); ++i) {
        const Railing& railing = site.railings[i];
        const std::string path = join_path("railings", i);
        check_id(surfaces, railing.id, path);
        check_line(join_path(path, "path"), railing.path, false, "path");
        check_fields(*railing_fields(), &railing, path);
    }
}

void Checker::check_fountains() {
    for (std::size_t i = 0; i < site.fountains.size(); ++i) {
        const Fountain& fountain = site.fountains[i];
        const std::string path = join_path("fountains", i);
        check_id(surfaces, fountain.id, path);
        check_glow(fountain.glow, path);
        const Faults faults = check_fields(*fountain_fields(), &fountain, path);
        if (!fountain.height || !faults.empty())
            continue;
        if (fountain.bowls == 0)
            error(join_path(path, "height"), messages::height_without_bowl());
        else if (*fountain.height < least_height(fountain) - touch)
            error(join_path(path, "height"), messages::fountain_too_low(shown(least_height(fountain))));
    }
}

} // namespace duskcast
