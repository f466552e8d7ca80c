#include "duskcast/site/site_file.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <utility>

#include "checker.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/photometry/lm63.hpp"
#include "duskcast/site/lamp_lights.hpp"
#include "json_text.hpp"
#include "messages.hpp"

namespace duskcast {

Place SiteFile::place_of(const std::string& path) const {
    return find_place(places, path, text_of(file));
}

std::vector<Problem> SiteFile::locate(std::vector<Problem> problems) const {
    for (Problem& problem : problems)
        if (problem.place.file.empty() && !problem.place.path.empty()) {
            const Place found = place_of(problem.place.path);
            problem.place = {found.file, found.line, found.column, problem.place.path,
                             find_fixture_name(places, problem.place.path)};
        }
    return problems;
}

std::string name_path(const Site& site, const std::string& path) {
    for (std::size_t i = 0; i < site.fixtures.size(); ++i)
        if (root_of(path) == join_path("fixtures", i))
            return fmt::format("{} ({})", path, site.fixtures[i].id);
    return path;
}

void write_site_file(const Site& site, const std::filesystem::path& file) {
    if (const std::string reason = replace_file(file, print_site(site)); !reason.empty()) {
        const Message message = messages::cannot_write(reason);
        throw InputError(
            Problem{.place = {.file = text_of(file)}, .what = message.what, .remedy = message.remedy});
    }
}

LampLight make_lamp_light(const Lamp& lamp, const std::filesystem::path& folder) {
    LampLight light;
    light.watts = lamp.watts;
    if (lamp.file.empty()) {
        light.distribution = make_distribution(lamp.figures);
    } else {
        Lm63 read = read_lm63_file(path_in(folder, lamp.file));
        light.opening_diameter = opening_diameter(read);
        light.tilt = std::move(read.tilt);
        light.distribution = std::move(read.distribution);
        if (!(lamp.watts > 0))
            light.watts = read.input_watts;
        light.warnings = std::move(read.warnings);
    }
    light.lumens = measure_lumens(light.distribution);
    return light;
}

const LampLight& LampLights::of(const Lamp& lamp) {
    const auto found =
        std::find_if(known_.begin(), known_.end(), [&](const auto& one) { return one.first == lamp; });
    return found != known_.end() ? found->second
                                 : known_.emplace_back(lamp, make_lamp_light(lamp, folder_)).second;
}

Site moved_to(const Site& site, const std::filesystem::path& from, const std::filesystem::path& to) {
    const auto moved = [&](const std::string& file) {
        const std::filesystem::path named = path_in({}, file);
        if (file.empty() || named.is_absolute())
            return file;
        return text_of(std::filesystem::absolute(from / named)
                           .lexically_normal()
                           .lexically_relative(std::filesystem::absolute(to).lexically_normal()));
    };
    Site made = site;
    made.catalogue_file = moved(site.catalogue_file);
    for (Lamp& lamp : made.lamps)
        lamp.file = moved(lamp.file);
    for (Mesh& mesh : made.meshes)
        mesh.file = moved(mesh.file);
    return made;
}

} // namespace duskcast
