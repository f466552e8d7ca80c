#include "duskcast/study/tolerance.hpp"
#include "duskcast/site/layout.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <numeric>
#include <random>

#include "duskcast/base/sort_stably.hpp"
#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {
namespace {

constexpr int leaf_steps = 5;

/// A number that is off, with its samples in -1..1.
struct Dimension {
    std::string of;
    std::size_t fixture = 0;
    std::vector<double> samples;
};

/// Uniform in 0..1 from the generator's own bits, so that every library gives the same.
double uniform(std::mt19937_64& random) {
    return static_cast<double>(random() >> 11) * 0x1p-53;
}

/// One sample in each of as many equal parts of -1..1, in random order.
std::vector<double> draw_stratified(std::size_t count, std::mt19937_64& random) {
    std::vector<double> samples(count);
    for (std::size_t i = 0; i < count; ++i)
        samples[i] = 2 * (static_cast<double>(i) + uniform(random)) / static_cast<double>(count) - 1;
    for (std::size_t i = count; i > 1; --i)
        std::swap(
            samples[i - 1],
            samples[std::min(i - 1, static_cast<std::size_t>(uniform(random) * static_cast<double>(i)))]);
    return samples;
}

std::vector<Dimension> draw_dimensions(const Site& site, const Tolerances& tolerances, std::size_t count,
                                       std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::vector<Dimension> dimensions;
    const auto draw = [&](const char* of, std::size_t fixture, double size) {
        if (size > 0)
            dimensions.push_back({of, fixture, draw_stratified(count, random)});
    };
    for (std::size_t f = 0; f < site.fixtures.size(); ++f) {
        draw("tilt", f, tolerances.tilt);
        draw("azimuth", f, tolerances.azimuth);
        if (!site.fixtures[f].at)
            draw("setback", f, tolerances.setback);
        draw("lumens", f, tolerances.lumens);
        draw("dirt", f, tolerances.dirt);
    }
    const auto is_dimmed = [&](const Fixture& one) {
        const Lamp* lamp = find_lamp(site, one.lamp);
        return lamp && is_dimmed_by_voltage(*lamp);
    };
    if (std::any_of(site.fixtures.begin(), site.fixtures.end(), is_dimmed))
        draw("voltage", 0, tolerances.voltage);
    if (!site.trees.empty())
        draw("leaf density", 0, tolerances.leaf_density);
    return dimensions;
}

void disturb(Site& site, const Dimension& dimension, double off, const Tolerances& tolerances) {
    Fixture* fixture = site.fixtures.empty() ? nullptr : &site.fixtures[dimension.fixture];
    if (dimension.of == "tilt") {
        fixture->tilt = std::clamp(fixture->tilt + off * tolerances.tilt, 0.0, pi);
    } else if (dimension.of == "azimuth") {
        (fixture->azimuth ? *fixture->azimuth : fixture->turn) += off * tolerances.azimuth;
    } else if (dimension.of == "setback") {
        const double usual = setback_of(*fixture);
        fixture->setback = std::max(usual + off * tolerances.setback, std::min(usual, 0.05));
    } else if (dimension.of == "lumens") {
        fixture->light_loss_factor *= 1 + off * tolerances.lumens;
    } else if (dimension.of == "dirt") {
        // About what the site's own factor takes, so that no loss counts twice; no lens gives more than
        // clean.
        const double usual = 1 - light_loss_of(site, *fixture).dirt;
        const double lost = std::lerp(std::max(0.0, usual - tolerances.dirt),
                                      std::min(1.0, usual + tolerances.dirt), (off + 1) / 2);
        if (usual < 1)
            fixture->light_loss_factor *= (1 - lost) / (1 - usual);
    } else if (dimension.of == "voltage") {
        for (Fixture& one : site.fixtures)
            if (const Lamp* lamp = find_lamp(site, one.lamp); lamp && is_dimmed_by_voltage(*lamp))
                one.light_loss_factor *= std::pow(1 + off * tolerances.voltage, halogen_lumens_exponent);
    } else {
        const double step = std::clamp(std::floor((off + 1) / 2 * leaf_steps), 0.0, leaf_steps - 1.0);
        const double middle = 2 * (step + 0.5) / leaf_steps - 1;
        for (Tree& tree : site.trees)
            tree.foliage.leaf_area_density = leaf_area_density(tree) * (1 + middle * tolerances.leaf_density);
    }
}

double variance_of(const std::vector<double>& values) {
    const double mean =
        std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
    double sum = 0;
    for (const double value : values)
        sum += (value - mean) * (value - mean);
    return sum / static_cast<double>(values.size() - 1);
}

double correlation(const std::vector<double>& a, const std::vector<double>& b) {
    const auto count = static_cast<double>(a.size());
    const double mean_a = std::accumulate(a.begin(), a.end(), 0.0) / count;
    const double mean_b = std::accumulate(b.begin(), b.end(), 0.0) / count;
    double ab = 0, aa = 0, bb = 0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        ab += (a[i] - mean_a) * (b[i] - mean_b);
        aa += (a[i] - mean_a) * (a[i] - mean_a);
        bb += (b[i] - mean_b) * (b[i] - mean_b);
    }
    return aa > 0 && bb > 0 ? ab / std::sqrt(aa * bb) : 0;
}

std::vector<Influence> find_influences(const std::vector<Dimension>& dimensions,
                                       const std::vector<double>& values) {
    // By chance alone r squared comes to 1 / (n - 1), give or take sqrt 2 times as much.
    const double by_chance = 1 / (static_cast<double>(values.size()) - 1);
    std::map<std::string, Influence> by_kind;
    for (const Dimension& dimension : dimensions) {
        const double r = correlation(dimension.samples, values);
        Influence& influence = by_kind[dimension.of];
        influence.of = dimension.of;
        influence.share += r * r - by_chance;
        influence.chance = std::hypot(influence.chance, std::numbers::sqrt2 * by_chance);
    }
    std::vector<Influence> influences;
    for (auto& [of, influence] : by_kind) {
        influence.share = std::max(influence.share, 0.0);
        influences.push_back(influence);
    }
    sort_stably(influences, [](const Influence& a, const Influence& b) { return a.share > b.share; });
    // The errors are drawn independently, so that all explain no more than the whole: what goes beyond it is
    // chance, and the weaker have what the stronger leave.
    double left = 1;
    for (Influence& influence : influences) {
        influence.share = std::min(influence.share, left);
        left -= influence.share;
    }
    return influences;
}

/// The same lines in every sample, wherever a head that is turned a little throws them: those that meet the
/// target as drawn.
Focus follow_lines(const Figures& drawn, const Focus& focus) {
    const bool is_target_alone = focus.fixtures.empty() || has_own_line(drawn, focus);
    Focus followed{focus.target, {}};
    for (const ReachFigures& reach : drawn.reaches) {
        const bool is_asked_for =
            focus.fixtures.empty() ||
            std::find(focus.fixtures.begin(), focus.fixtures.end(), reach.fixture) != focus.fixtures.end();
        if (is_asked_for && find_reach(drawn, {focus.target, {reach.fixture}, is_target_alone}) == &reach)
            followed.fixtures.push_back(reach.fixture);
    }
    return followed;
}

} // namespace

double quantile(std::vector<double> values, double share) {
    if (values.empty())
        return 0;
    std::sort(values.begin(), values.end());
    const double place = share * (static_cast<double>(values.size()) - 1);
    const auto low = static_cast<std::size_t>(place);
    const std::size_t high = std::min(low + 1, values.size() - 1);
    return std::lerp(values[low], values[high], place - static_cast<double>(low));
}

ToleranceReport measure_tolerance(const Site& site, const std::filesystem::path& folder, const Focus& focus,
                                  const Tolerances& tolerances, std::size_t samples, std::uint64_t seed,
                                  bool is_direct_only, const Progress& progress) {
    if (samples < 2)
        refuse("fewer than two samples show no spread", "give 64 or more");
    const std::vector<Dimension> dimensions = draw_dimensions(site, tolerances, samples, seed);
    std::vector<Site> variants(samples, site);
    for (const Dimension& dimension : dimensions)
        for (std::size_t i = 0; i < samples; ++i)
            disturb(variants[i], dimension, dimension.samples[i], tolerances);
    // Those of the same leaves one after the other: a stage is made once.
    std::vector<std::size_t> order(samples);
    std::iota(order.begin(), order.end(), 0);
    const auto density = [&](std::size_t i) {
        return variants[i].trees.empty() ? 0 : leaf_area_density(variants[i].trees.front());
    };
    sort_stably(order, [&](std::size_t a, std::size_t b) { return density(a) < density(b); });
    std::vector<Site> sorted;
    for (const std::size_t i : order)
        sorted.push_back(std::move(variants[i]));

    Workbench bench(folder, {.is_direct_only = is_direct_only,
                             .is_quick = true,
                             .is_bounce_scaled = true,
                             .bounce_of = std::make_shared<const Site>(site)});
    const Figures nominal = bench.measure({&site, 1}).front();
    const std::vector<Figures> found = bench.measure(sorted, progress);
    std::vector<Figures> figures(samples);
    for (std::size_t i = 0; i < samples; ++i)
        figures[order[i]] = found[i];

    ToleranceReport report{.samples = samples, .is_direct_only = is_direct_only};
    const auto add = [&](Quantity quantity, const Focus& of) {
        const std::optional<double> as_drawn = value_of(nominal, quantity, of);
        std::vector<double> values;
        for (const Figures& one : figures)
            if (const std::optional<double> value = value_of(one, quantity, of))
                values.push_back(*value);
        if (!as_drawn || values.size() < samples)
            return;
        report.figures.push_back({.quantity = quantity,
                                  .target = of.target,
                                  .nominal = *as_drawn,
                                  .low = quantile(values, 0.1),
                                  .median = quantile(values, 0.5),
                                  .high = quantile(values, 0.9),
                                  .deviation = std::sqrt(variance_of(values)),
                                  .influences = find_influences(dimensions, values)});
    };
    add(Quantity::reach, follow_lines(nominal, focus));
    for (const TargetFigures& target : nominal.targets) {
        add(Quantity::coverage, {target.id, {}});
        add(Quantity::mean, {target.id, {}});
    }
    report.targets = nominal.targets.size();
    for (const TargetFigures& target : nominal.targets)
        report.met_as_drawn += target.is_reached ? 1 : 0;
    std::size_t reached = 0, any_reached = 0;
    for (const Figures& one : figures) {
        bool is_kept = true;
        any_reached += std::any_of(one.targets.begin(), one.targets.end(),
                                   [](const TargetFigures& target) { return target.is_reached; })
                           ? 1
                           : 0;
        for (std::size_t t = 0; t < nominal.targets.size(); ++t)
            is_kept = is_kept && (!nominal.targets[t].is_reached || one.targets[t].is_reached);
        reached += is_kept ? 1 : 0;
    }
    report.reached_share = static_cast<double>(reached) / static_cast<double>(samples);
    report.any_reached_share = static_cast<double>(any_reached) / static_cast<double>(samples);
    return report;
}

} // namespace duskcast
