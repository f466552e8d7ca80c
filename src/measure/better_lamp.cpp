#include "duskcast/measure/better_lamp.hpp"

#include <algorithm>

#include "duskcast/base/sort_stably.hpp"

namespace duskcast {

namespace {

constexpr double noticeable_height = metres_per_foot; ///< higher, to be worth a lamp
constexpr double noticeable_share = 0.02;             ///< of a target

class LampTrial {
public:
    LampTrial(const Site& site, const std::filesystem::path& folder, const Stage& stage,
              const Lighting& lighting, const Report& report)
        : site_(site), stage_(stage), lighting_(lighting), report_(report), maker_(folder) {}

    void find_higher(std::size_t fixture, FixtureReach& line) {
        const Surface& surface = stage_.surfaces[static_cast<std::size_t>(stage_.find_surface(line.surface))];
        const auto reach_by = [&](const std::vector<double>& lux) {
            return measure_line_reach(site_, surface, lux, line.along, {line.level_lx}).front();
        };
        const Reach now = reach_by(report_.total_lx);
        if (is_high_enough(now, line))
            return;
        std::optional<HigherReach>& best = line.better;
        for (const Lamp* lamp : list_others(fixture)) {
            ++line.lamps_tried;
            const Reach reach = reach_by(lux_with(fixture, *lamp));
            const bool is_better = reach.height.value_or(0) > best_height(best, now) + noticeable_height;
            if (is_better && !(best && is_high_enough(best->reach, line)))
                best = {lamp->id, reach};
        }
    }

    std::optional<MoreCoverage> find_more(const Region& region, const TargetReport& target) {
        const std::size_t fixture = find_brightest(region);
        if (fixture == lighting_.fixtures.size())
            return std::nullopt;
        std::optional<MoreCoverage> best;
        for (const Lamp* lamp : list_others(fixture)) {
            const double share = measure_share(
                collect_samples(stage_, lux_with(fixture, *lamp), region.sensors), target.level_lx);
            const bool is_better = share > (best ? best->share : target.share) + noticeable_share;
            if (is_better && !(best && best->is_reached))
                best = {site_.fixtures[fixture].id, lamp->id, share, share >= target.wanted_share};
        }
        return best;
    }

private:
    static bool is_high_enough(const Reach& reach, const FixtureReach& line) {
        return reach.is_to_top || reach.height.value_or(0) >= line.goal;
    }

    static double best_height(const std::optional<HigherReach>& best, const Reach& now) {
        return best ? best->reach.height.value_or(0) : now.height.value_or(0);
    }

    /// Those that fit, the one in it left out, by watts.
    std::vector<const Lamp*> list_others(std::size_t index) const {
        const Fixture& fixture = site_.fixtures[index];
        std::vector<const Lamp*> others;
        for (const Lamp* lamp : list_fitting_lamps(site_, fixture))
            if (lamp->id != fixture.lamp)
                others.push_back(lamp);
        sort_stably(others, [](const Lamp* a, const Lamp* b) { return a->watts < b->watts; });
        return others;
    }

    /// Lux of all light, one a sensor, with the lamp in the fixture.
    std::vector<double> lux_with(std::size_t index, const Lamp& lamp) {
        Fixture description = site_.fixtures[index];
        description.lamp = lamp.id;
        const LitFixture made = maker_.make_without_lumens(site_, description);
        std::vector<double> lux = report_.total_lx;
        const std::vector<float> own = fixture_layer(lighting_, index);
        for (std::size_t i = 0; i < own.size(); ++i)
            lux[i] -= static_cast<double>(own[i]);
        add_layer(lighting_.sights[index], stage_.sensors, made.aim, made.table, made.scale, lux);
        return lux;
    }

    /// The fixture that gives the region most light; the number of fixtures where none gives any.
    std::size_t find_brightest(const Region& region) const {
        std::size_t brightest = lighting_.fixtures.size();
        double most = 0;
        for (std::size_t i = 0; i < lighting_.fixtures.size(); ++i) {
            const std::vector<float> layer = fixture_layer(lighting_, i);
            const double mean = measure_mean(stage_, {layer.begin(), layer.end()}, region.sensors);
            if (mean > most) {
                most = mean;
                brightest = i;
            }
        }
        return brightest;
    }

    const Site& site_;
    const Stage& stage_;
    const Lighting& lighting_;
    const Report& report_;
    FixtureMaker maker_;
};

} // namespace

void find_better_lamps(const Site& site, const std::filesystem::path& folder, const Stage& stage,
                       const Lighting& lighting, Report& report) {
    LampTrial trial(site, folder, stage, lighting, report);
    for (FixtureReach& line : report.reaches)
        for (std::size_t i = 0; i < site.fixtures.size(); ++i)
            if (site.fixtures[i].id == line.fixture)
                trial.find_higher(i, line);
    const std::vector<Region> regions = find_regions(site, stage);
    for (std::size_t i = 0; i < regions.size(); ++i)
        if (!report.targets[i].is_reached)
            report.targets[i].better = trial.find_more(regions[i], report.targets[i]);
}

} // namespace duskcast
