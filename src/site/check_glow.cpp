// What gives light of its own.

#include "checker.hpp"

namespace duskcast {

void Checker::check_glow(const std::optional<Glow>& glow, const std::string& path) {
    if (glow && glow->luminance.has_value() == glow->lumens.has_value())
        error(join_path(path, "glow"), messages::glow_by_one_figure());
}

void Checker::check_lanterns() {
    for (std::size_t i = 0; i < site.lanterns.size(); ++i) {
        const Lantern& lantern = site.lanterns[i];
        const std::string path = join_path("lanterns", i);
        const auto at = [&](const char* key) { return join_path(path, key); };
        check_id(surfaces, lantern.id, path);
        check_glow(lantern.glow, path);
        const Faults faults = check_fields(*lantern_fields(), &lantern, path);
        if (lantern.at.has_value() != lantern.wall.empty()) {
            error(path,
                  lantern.at ? messages::excludes_key("at", "wall") : messages::lantern_without_place());
            continue;
        }
        if (!lantern.at) {
            const Wall* wall = find_wall(site, lantern.wall);
            if (!wall) {
                error(at("wall"), messages::dangling("wall", lantern.wall, ids_of(site.walls)));
                continue;
            }
            if (!is_usable(*wall))
                continue;
            check_along(at("along"), lantern.along, run_of(*wall));
        }
        if (lantern.is_hooded && lantern.form == LanternForm::sphere)
            error(at("hooded"), messages::hooded_sphere());
        if (lantern.pole && !lantern.at)
            error(at("pole"), messages::needs_key("pole", "at"));
        if (lantern.is_hooded && lantern.pole && !(lantern.pole->arm > 0))
            error(at("pole"), messages::hooded_on_pole());
        if (!faults.empty())
            continue;
        const glm::dvec3 half = size_of(lantern) / 2.0;
        if (!lantern.at && setback_of(lantern) < half.y - touch)
            error(at("setback"), messages::lantern_in_the_wall(shown(half.y)));
        if (const double bottom = place_lantern(site, lantern).position.z - half.z; bottom < -touch)
            error(at(lantern.at ? "at" : "up"), messages::lantern_in_the_ground(shown(-bottom)));
        else if (lantern.pole && lantern.pole->foot > bottom - touch)
            error(join_path(at("pole"), "foot"), messages::pole_above_lantern(shown(bottom)));
    }
}

} // namespace duskcast
