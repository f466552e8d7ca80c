#include "duskcast/study/contribution.hpp"

#include <algorithm>

#include "duskcast/measure/region.hpp"
#include "duskcast/measure/stats.hpp"

namespace duskcast {

Contributions measure_contributions(const Site& site, const Stage& stage, const Lighting& lighting,
                                    const Report& report) {
    Contributions made;
    const std::vector<Region> regions = find_regions(site, stage);
    for (std::size_t i = 0; i < regions.size(); ++i) {
        const Target& target = site.targets[i];
        made.targets.push_back({.target = target.id,
                                .level_lx = target.level,
                                .wanted_share = target.share,
                                .share = report.targets[i].share,
                                .fixtures = {}});
    }
    for (std::size_t f = 0; f < lighting.fixtures.size(); ++f) {
        const std::vector<float> layer = fixture_layer(lighting, f);
        std::vector<double> own(layer.begin(), layer.end()), rest = report.total_lx;
        for (std::size_t s = 0; s < rest.size(); ++s)
            rest[s] = std::max(0.0, rest[s] - own[s]);
        bool is_needed = false;
        double lumens_on_targets = 0;
        for (std::size_t i = 0; i < regions.size(); ++i) {
            const double all = measure_mean(stage, lighting.direct_lx, regions[i].sensors);
            FixtureContribution share{.fixture = lighting.fixtures[f].id};
            share.of_light = all > 0 ? measure_mean(stage, own, regions[i].sensors) / all : 0;
            share.without =
                measure_share(collect_samples(stage, rest, regions[i].sensors), site.targets[i].level);
            share.is_decisive = report.targets[i].is_reached && share.without < site.targets[i].share;
            const bool is_part_of_missed = !report.targets[i].is_reached && share.of_light >= needed_light;
            is_needed = is_needed || made.targets[i].share - share.without >= needless_share ||
                        share.is_decisive || is_part_of_missed;
            made.targets[i].fixtures.push_back(share);
            for (const std::uint32_t sensor : regions[i].sensors)
                lumens_on_targets += own[sensor] * static_cast<double>(stage.sensors.area[sensor]);
        }
        if (is_needed)
            continue;
        const bool is_serving = lumens_on_targets >= serving_share * lighting.fixtures[f].lumens;
        (is_serving ? made.needless : made.without_target).push_back(lighting.fixtures[f].id);
    }
    return made;
}

} // namespace duskcast
