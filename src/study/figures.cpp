#include "duskcast/study/figures.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/site/layout.hpp"
#include "study_figures.hpp"

namespace duskcast {
namespace {

constexpr std::array<QuantityFacts, quantity_count> quantities{{
    {Quantity::reach, "reach", "reach", "reach", QuantityUnit::length, true},
    {Quantity::coverage, "coverage", "coverage", "coverage", QuantityUnit::share, true},
    {Quantity::mean, "mean", "mean", "mean light", QuantityUnit::light, true},
    {Quantity::uniformity, "evenness", "uniformity", "uniformity (mean : min)", QuantityUnit::ratio, false},
    {Quantity::hot_spot, "hot_spot", "hot_spot", "hot spot (max : mean)", QuantityUnit::ratio, false},
    {Quantity::spill, "spill", "spill", "spill", QuantityUnit::share, false},
    {Quantity::lumens, "lumens", "lumens", "lumens", QuantityUnit::lumens, false},
    {Quantity::watts, "watts", "watts", "watts", QuantityUnit::watts, false},
    {Quantity::price, "price", "price", "price", QuantityUnit::money, false},
}};

} // namespace

const std::array<QuantityFacts, quantity_count>& list_quantities() {
    return quantities;
}

const QuantityFacts& facts_of(Quantity quantity) {
    return quantities[static_cast<std::size_t>(quantity)];
}

Quantity read_quantity(const std::string& word) {
    std::vector<std::string> known;
    for (const QuantityFacts& facts : list_quantities()) {
        if (facts.word == word)
            return facts.quantity;
        known.emplace_back(facts.word);
    }
    const std::string nearest = find_nearest_word(word, known);
    refuse(fmt::format("\"{}\" is no figure of a design", word),
           nearest.empty() ? fmt::format("known are {}", fmt::join(known, ", "))
                           : fmt::format("did you mean \"{}\"?", nearest));
}

std::string spoken(std::string key) {
    std::replace(key.begin(), key.end(), '_', ' ');
    return key;
}

ReachFigures make_reach(const std::string& fixture, const std::string& on, const Reach& reach, double along) {
    return {fixture, on, reach.level_lx, reach.height, reach.wall_height, reach.is_to_top, along};
}

TargetFigures make_target_figures(const Site& site, const Target& target, const Stats& stats, double share) {
    return {.id = target.id,
            .on = target.on,
            .area = stats.area,
            .level_lx = target.level,
            .wanted_share = target.share,
            .mean_lx = stats.mean_lx,
            .share = share,
            .mean_to_min = stats.mean_to_min,
            .hot_lx = stats.max_lx,
            .over_mean = stats.hot_spot.over_mean,
            .is_reached = stats.sensors > 0 && share >= target.share,
            .stretch = find_stretch(site, target)};
}

Figures figures_of(const Site& site, const Report& report, const Lighting& lighting) {
    Figures figures;
    for (std::size_t i = 0; i < report.targets.size(); ++i)
        figures.targets.push_back(
            make_target_figures(site, site.targets[i], report.targets[i].stats, report.targets[i].share));
    const auto at_main = [&](const std::vector<Reach>& reaches, const std::string& on) {
        const double level = find_main_level(site, report.levels_lx, on);
        return *std::min_element(reaches.begin(), reaches.end(), [&](const Reach& a, const Reach& b) {
            return std::abs(a.level_lx - level) < std::abs(b.level_lx - level);
        });
    };
    for (const FixtureReach& reach : report.reaches)
        if (!reach.together.empty())
            figures.reaches.push_back(make_reach(reach.fixture, reach.surface,
                                                 at_main(reach.together, reach.surface), reach.along));
    for (const TreeReport& tree : report.trees)
        if (tree.from.is_whole() && !tree.lit_to.empty())
            figures.reaches.push_back(make_reach("", tree.tree, at_main(tree.lit_to, tree.tree)));
    figures.spill = report.spill;
    for (const LitFixture& fixture : lighting.fixtures)
        figures.watts += fixture.watts;
    figures.price = measure_price(site);
    return figures;
}

std::optional<double> measure_price(const Site& site) {
    double sum = 0;
    for (const Fixture& fixture : site.fixtures) {
        const FixtureModel* model = find_model(site.catalogue, fixture.model);
        const Lamp* lamp = find_lamp(site, fixture.lamp);
        if (!model || !model->price || !lamp || !lamp->price)
            return std::nullopt;
        sum += *model->price + *lamp->price;
    }
    return sum;
}

const TargetFigures* find_target(const Figures& figures, const std::string& id) {
    for (const TargetFigures& target : figures.targets)
        if (target.id == id)
            return &target;
    return nullptr;
}

namespace {

/// Whether the line runs up the target: up its stretch, which is the wall's own and of nothing that stands
/// out.
bool meets(const ReachFigures& reach, const TargetFigures& target) {
    return !target.stretch || (reach.on == target.on && reach.along >= (*target.stretch)[0] &&
                               reach.along <= (*target.stretch)[1]);
}

} // namespace

const ReachFigures* find_reach(const Figures& figures, const Focus& focus) {
    const TargetFigures* target = find_target(figures, focus.target);
    const ReachFigures* highest = nullptr;
    const bool is_any_line = !focus.fixtures.empty() && !focus.is_target_alone;
    for (const ReachFigures& reach : figures.reaches) {
        if (!target || (reach.on != target->on && !reach.on.starts_with(target->on + ".")))
            continue;
        const bool is_named =
            focus.fixtures.empty() ||
            std::find(focus.fixtures.begin(), focus.fixtures.end(), reach.fixture) != focus.fixtures.end();
        if ((reach.fixture.empty() || (is_named && (is_any_line || meets(reach, *target)))) &&
            (!highest || reach.height.value_or(-1) > highest->height.value_or(-1)))
            highest = &reach;
    }
    return highest;
}

bool has_own_line(const Figures& figures, Focus focus) {
    focus.is_target_alone = true;
    return find_reach(figures, focus) != nullptr;
}

std::optional<double> value_of(const Figures& figures, Quantity quantity, const Focus& focus) {
    const TargetFigures* target = find_target(figures, focus.target);
    switch (quantity) {
    case Quantity::reach: {
        const ReachFigures* reach = find_reach(figures, focus);
        return reach ? std::optional(reach->height.value_or(0)) : std::nullopt;
    }
    case Quantity::coverage:
        return target ? std::optional(target->share) : std::nullopt;
    case Quantity::mean:
        return target ? std::optional(target->mean_lx) : std::nullopt;
    case Quantity::uniformity:
        return target ? target->mean_to_min : std::nullopt;
    case Quantity::hot_spot:
        return target ? std::optional(target->over_mean) : std::nullopt;
    case Quantity::spill:
        if (figures.spill.emitted_lm > 0)
            return 1 - figures.spill.target_lm / figures.spill.emitted_lm;
        return std::nullopt;
    case Quantity::lumens:
        return figures.spill.emitted_lm;
    case Quantity::watts:
        return figures.watts;
    case Quantity::price:
        return figures.price;
    }
    return std::nullopt;
}

} // namespace duskcast
