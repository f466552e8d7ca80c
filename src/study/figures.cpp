#include "duskcast/study/figures.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "study_figures.hpp"

namespace duskcast {
namespace {

struct Entry {
    Quantity quantity;
    const char* name;
    const char* title;
    bool is_more_better;
};

constexpr Entry entries[] = {
    {Quantity::reach, "reach", "reach", true},
    {Quantity::coverage, "coverage", "coverage", true},
    {Quantity::mean, "mean", "mean light", true},
    {Quantity::evenness, "evenness", "evenness (mean : min)", false},
    {Quantity::hot_spot, "hot_spot", "hot spot (max : mean)", false},
    {Quantity::spill, "spill", "spill", false},
    {Quantity::lumens, "lumens", "lumens", false},
    {Quantity::watts, "watts", "watts", false},
    {Quantity::price, "price", "price", false},
};

const Entry& entry_of(Quantity quantity) {
    return entries[static_cast<std::size_t>(quantity)];
}

} // namespace

std::string spoken(std::string key) {
    std::replace(key.begin(), key.end(), '_', ' ');
    return key;
}

ReachFigures make_reach(const std::string& fixture, const std::string& on, const Reach& reach) {
    return {fixture, on, reach.level_lx, reach.height, reach.wall_height, reach.is_to_top};
}

TargetFigures make_target_figures(const Target& target, const Stats& stats, double share) {
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
            .is_reached = stats.sensors > 0 && share >= target.share};
}

Figures figures_of(const Site& site, const Report& report, const Lighting& lighting) {
    Figures figures;
    for (std::size_t i = 0; i < report.targets.size(); ++i)
        figures.targets.push_back(
            make_target_figures(site.targets[i], report.targets[i].stats, report.targets[i].share));
    const auto at_main = [&](const std::vector<Reach>& reaches, const std::string& on) {
        const double level = find_main_level(site, report.levels_lx, on);
        return *std::min_element(reaches.begin(), reaches.end(), [&](const Reach& a, const Reach& b) {
            return std::abs(a.level_lx - level) < std::abs(b.level_lx - level);
        });
    };
    for (const FixtureReach& reach : report.reaches)
        if (!reach.together.empty())
            figures.reaches.push_back(
                make_reach(reach.fixture, reach.surface, at_main(reach.together, reach.surface)));
    for (const TreeReport& tree : report.trees)
        if (tree.from.empty() && !tree.lit_to.empty())
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

std::vector<Quantity> list_quantities() {
    std::vector<Quantity> quantities;
    for (const Entry& entry : entries)
        quantities.push_back(entry.quantity);
    return quantities;
}

std::string name_of(Quantity quantity) {
    return entry_of(quantity).name;
}

bool is_more_better(Quantity quantity) {
    return entry_of(quantity).is_more_better;
}

std::optional<double> value_of(const Figures& figures, Quantity quantity, const Focus& focus) {
    const auto target = std::find_if(figures.targets.begin(), figures.targets.end(),
                                     [&](const TargetFigures& one) { return one.id == focus.target; });
    const bool has_target = target != figures.targets.end();
    switch (quantity) {
    case Quantity::reach: {
        std::optional<double> highest;
        for (const ReachFigures& reach : figures.reaches) {
            const bool is_on =
                has_target && (reach.on == target->on || reach.on.starts_with(target->on + "."));
            const bool is_asked = reach.fixture.empty() || focus.fixtures.empty() ||
                                  std::find(focus.fixtures.begin(), focus.fixtures.end(), reach.fixture) !=
                                      focus.fixtures.end();
            if (is_on && is_asked)
                highest = std::max(highest.value_or(0), reach.height.value_or(0));
        }
        return highest;
    }
    case Quantity::coverage:
        return has_target ? std::optional(target->share) : std::nullopt;
    case Quantity::mean:
        return has_target ? std::optional(target->mean_lx) : std::nullopt;
    case Quantity::evenness:
        return has_target ? target->mean_to_min : std::nullopt;
    case Quantity::hot_spot:
        return has_target ? std::optional(target->over_mean) : std::nullopt;
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

std::string print_quantity(const Site& site, Quantity quantity, double value, bool is_signed) {
    const std::string sign = !is_signed ? "" : value < 0 ? "-" : "+";
    const double shown = is_signed ? std::abs(value) : value;
    switch (quantity) {
    case Quantity::reach:
        return sign + print_length(shown, site.units);
    case Quantity::coverage:
    case Quantity::spill: // finer than for single runs: variants differ by little
        return fmt::format("{}{:.1f} %", sign, 100 * shown);
    case Quantity::mean:
        return sign + print_illuminance(shown, site.light);
    case Quantity::evenness:
    case Quantity::hot_spot:
        return fmt::format("{}{} : 1", sign, print_number(shown));
    case Quantity::lumens:
        return fmt::format("{}{} lm", sign, print_number(shown));
    case Quantity::watts:
        return fmt::format("{}{} W", sign, print_number(shown));
    case Quantity::price:
        return fmt::format("{}{}{}", sign, print_number(shown),
                           site.catalogue.currency.empty() ? "" : " " + site.catalogue.currency);
    }
    return {};
}

int column_width(Quantity quantity) {
    return quantity == Quantity::reach                                     ? 17
           : quantity == Quantity::coverage || quantity == Quantity::watts ? 10
                                                                           : 12;
}

std::string title_of(const Site& site, Quantity quantity) {
    const std::string title = entry_of(quantity).title;
    switch (quantity) {
    case Quantity::reach:
        return fmt::format("{}, {}", title, name_of(site.units));
    case Quantity::coverage:
    case Quantity::spill:
        return title + ", %";
    case Quantity::mean:
        return fmt::format("{}, {}", title, name_of(site.light));
    default:
        return title;
    }
}

double shown_value(const Site& site, Quantity quantity, double value) {
    switch (quantity) {
    case Quantity::reach:
        return value / metres_per(site.units);
    case Quantity::coverage:
    case Quantity::spill:
        return 100 * value;
    case Quantity::mean:
        return value / lux_per(site.light);
    default:
        return value;
    }
}

} // namespace duskcast
