#include "duskcast/power/wired_light.hpp"

#include <fmt/format.h>

#include "duskcast/power/halogen.hpp"

namespace duskcast {

std::vector<WiredLight> find_wired_light(const Site& site, const LoadReport& report) {
    std::vector<WiredLight> lights;
    for (const FixtureLoad& fixture : report.fixtures) {
        const Lamp* lamp = find_lamp(site, fixture.lamp);
        WiredLight light{.lumens_share = 1, .watts = fixture.watts, .cct = lamp->cct};
        if (!report.runs[fixture.run].is_found) {
            light.lumens_share = 0;
        } else if (lamp->draw == Draw::halogen || lamp->draw == Draw::resistance) {
            const double share = fixture.volts / lamp->rated_volts;
            light.lumens_share = halogen_lumens_share(share);
            light.cct *= halogen_colour_share(share);
        }
        lights.push_back(light);
    }
    return lights;
}

std::vector<Problem> wired_light_warnings(const LoadReport& report) {
    std::vector<Problem> warnings;
    for (std::size_t i = 0; i < report.runs.size(); ++i) {
        const RunLoad& run = report.runs[i];
        const Place place{.path = fmt::format("network.runs[{}]", i)};
        if (!run.is_found) {
            warnings.push_back({Severity::warning, place,
                                "the run has no operating point; its lamps stay dark", "see duskcast load"});
            continue;
        }
        std::string outside;
        for (const std::size_t index : run.fixtures)
            if (report.fixtures[index].state != WindowState::good)
                outside += (outside.empty() ? "" : ", ") + report.fixtures[index].id;
        if (!outside.empty())
            warnings.push_back(
                {Severity::warning, place,
                 fmt::format("outside their windows, so that their light is a guess: {}", outside),
                 "see duskcast load"});
    }
    return warnings;
}

} // namespace duskcast
