#include "duskcast/power/wired_light.hpp"

#include <cmath>

#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {

std::vector<WiredLight> find_wired_light(const Site& site, const LoadReport& report) {
    std::vector<WiredLight> lights;
    for (const FixtureLoad& fixture : report.fixtures) {
        const Lamp* lamp = find_lamp(site, fixture.lamp);
        WiredLight light{.lumens_share = 1, .watts = fixture.watts, .cct = lamp->cct};
        if (!report.runs[fixture.run].is_found) {
            light.lumens_share = 0;
        } else if (is_dimmed_by_voltage(*lamp)) {
            const double share = fixture.volts / lamp->rated_volts;
            light.lumens_share = std::pow(share, halogen_lumens_exponent);
            light.cct *= std::pow(share, halogen_colour_exponent);
        }
        lights.push_back(light);
    }
    return lights;
}

} // namespace duskcast
