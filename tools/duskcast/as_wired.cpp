// --as-wired: the light that the voltage at each lamp leaves.

#include "as_wired.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/power/wired_light.hpp"
#include "duskcast/sheets/load_words.hpp"

namespace duskcast {

void add_as_wired_option(CLI::App& command, bool& is_wired) {
    command.add_flag("--as-wired", is_wired,
                     "with the volts that the site's \"network\" brings each lamp: filaments dim and redden");
}

std::vector<Problem> wire_up(const Site& site, const std::filesystem::path& folder,
                             std::vector<LitFixture>& fixtures) {
    const LoadReport report = measure_load(site, folder, {});
    const std::vector<WiredLight> lights = find_wired_light(site, report);
    for (std::size_t i = 0; i < fixtures.size(); ++i) {
        LitFixture& fixture = fixtures[i];
        fixture.scale *= lights[i].lumens_share;
        fixture.lumens *= lights[i].lumens_share;
        fixture.watts = lights[i].watts;
        fixture.colour = light_colour(lights[i].cct);
    }
    return make_wired_light_warnings(report);
}

void apply_wiring(SiteFile& site_file, std::vector<LitFixture>& fixtures) {
    const std::vector<Problem> warnings =
        site_file.locate(wire_up(site_file.site, site_file.folder(), fixtures));
    site_file.warnings.insert(site_file.warnings.end(), warnings.begin(), warnings.end());
}

void apply_wiring(const Site& variant, SiteFile& site_file, std::vector<LitFixture>& fixtures) {
    for (Problem& warning : wire_up(variant, site_file.folder(), fixtures)) {
        warning.place = {};
        site_file.warnings.push_back(std::move(warning));
    }
}

} // namespace duskcast
