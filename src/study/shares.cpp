#include "duskcast/study/shares.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include "duskcast/base/version.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/measure/stats.hpp"

namespace duskcast {

Shares measure_shares(const Site& site, const Stage& stage, const Lighting& lighting, const Report& report) {
    Shares shares;
    const std::vector<Region> regions = find_regions(site, stage);
    for (std::size_t i = 0; i < regions.size(); ++i) {
        const Target& target = site.targets[i];
        shares.targets.push_back({.target = target.id,
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
        bool is_missed = false;
        for (std::size_t i = 0; i < regions.size(); ++i) {
            const double all = measure_mean(stage, lighting.direct_lx, regions[i].sensors);
            FixtureShare share{.fixture = lighting.fixtures[f].id};
            share.of_light = all > 0 ? measure_mean(stage, own, regions[i].sensors) / all : 0;
            share.without =
                measure_share(collect_samples(stage, rest, regions[i].sensors), site.targets[i].level);
            share.is_decisive = report.targets[i].is_reached && share.without < site.targets[i].share;
            is_missed = is_missed || shares.targets[i].share - share.without >= unmissed || share.is_decisive;
            shares.targets[i].fixtures.push_back(share);
        }
        if (!is_missed)
            shares.unmissed.push_back(lighting.fixtures[f].id);
    }
    return shares;
}

std::vector<std::string> print_shares(const Site& site, const Shares& shares) {
    std::vector<std::string> lines;
    for (const TargetShares& target : shares.targets) {
        lines.push_back(fmt::format("{}: {} of it at {} (asked {})", target.target, print_share(target.share),
                                    print_illuminance(target.level_lx, site.light),
                                    print_share(target.wanted_share)));
        std::vector<FixtureShare> sorted = target.fixtures;
        std::stable_sort(sorted.begin(), sorted.end(), [](const FixtureShare& a, const FixtureShare& b) {
            return a.of_light > b.of_light;
        });
        for (const FixtureShare& share : sorted)
            if (share.of_light >= 0.001)
                lines.push_back(fmt::format("  {:<12}{:>8} of its light; off, {:>6} is left at the level{}",
                                            share.fixture, print_share(share.of_light),
                                            print_share(share.without),
                                            share.is_decisive ? ": the aim is missed" : ""));
    }
    if (!shares.unmissed.empty())
        lines.push_back(fmt::format("Nothing would miss {} (each switched off alone, no target loses 1 %).",
                                    fmt::join(shares.unmissed, ", ")));
    else if (!shares.targets.empty())
        lines.emplace_back("Every fixture is missed by a target when it is off.");
    return lines;
}

std::string print_shares_json(const Site& site, const Shares& shares) {
    nlohmann::ordered_json document{{"duskcast", duskcast_version}, {"study", "share"}, {"site", site.name}};
    document["targets"] = nlohmann::ordered_json::array();
    for (const TargetShares& target : shares.targets) {
        nlohmann::ordered_json one{{"id", target.target},
                                   {"level_lx", target.level_lx},
                                   {"coverage", target.share},
                                   {"wanted", target.wanted_share}};
        for (const FixtureShare& share : target.fixtures)
            one["fixtures"].push_back({{"id", share.fixture},
                                       {"of_light", share.of_light},
                                       {"coverage_without", share.without},
                                       {"decisive", share.is_decisive}});
        document["targets"].push_back(one);
    }
    document["unmissed"] = shares.unmissed;
    return document.dump(2) + "\n";
}

} // namespace duskcast
