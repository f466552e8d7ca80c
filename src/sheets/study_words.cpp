// Figures of studies with their units; the tables and sentences of sweeps, contributions and tolerances.

#include "duskcast/sheets/study_words.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/base/sort_stably.hpp"
#include "duskcast/base/table.hpp"
#include "duskcast/cost/money.hpp"
#include "study_table.hpp"

namespace duskcast {
namespace {

constexpr std::size_t most_table_rows = 48;

std::string unit_of(const Site& site, QuantityUnit unit) {
    switch (unit) {
    case QuantityUnit::length:
        return std::string(name_of(site.units));
    case QuantityUnit::share:
        return "%";
    case QuantityUnit::light:
        return std::string(name_of(site.light));
    default:
        return {};
    }
}

/// To the cent, which goes unsaid where it is none: what is bought is not rounded.
std::string print_price(double price) {
    std::string text = print_cents(static_cast<Cents>(std::llround(100 * price)));
    if (text.ends_with(".00"))
        text.resize(text.size() - 3);
    return text;
}

} // namespace

std::string print_quantity(const Site& site, Quantity quantity, double value, bool is_signed) {
    const std::string sign = !is_signed ? "" : value < 0 ? "-" : "+";
    const double shown = is_signed ? std::abs(value) : value;
    switch (facts_of(quantity).unit) {
    case QuantityUnit::length: // finer than sentences of single runs: variants differ by little
        if (quantity == Quantity::reach && !is_signed && value == 0)
            return "no reach"; // the level is met at no height
        return sign + print_length(shown, site.units);
    case QuantityUnit::share: // finer than for single runs: variants differ by little
        return fmt::format("{}{:.1f} %", sign, 100 * shown);
    case QuantityUnit::light:
        return sign + print_illuminance(shown, site.light);
    case QuantityUnit::ratio:
        return fmt::format("{}{} : 1", sign, print_number(shown));
    case QuantityUnit::lumens:
        return fmt::format("{}{} lm", sign, print_number(shown));
    case QuantityUnit::watts:
        return fmt::format("{}{} W", sign, print_number(shown));
    case QuantityUnit::money:
        return fmt::format("{}{}{}", sign, print_price(shown),
                           site.catalogue.currency.empty() ? "" : " " + site.catalogue.currency);
    }
    return {};
}

std::string title_of(const Site& site, Quantity quantity) {
    const std::string unit = unit_of(site, facts_of(quantity).unit);
    return facts_of(quantity).title + (unit.empty() ? unit : ", " + unit);
}

double shown_value(const Site& site, Quantity quantity, double value) {
    switch (facts_of(quantity).unit) {
    case QuantityUnit::length:
        return value / metres_per(site.units);
    case QuantityUnit::share:
        return 100 * value;
    case QuantityUnit::light:
        return value / lux_per(site.light);
    default:
        return value;
    }
}

std::string print_figures_table(const Site& site, const std::string& title, std::size_t title_width,
                                const std::vector<Quantity>& quantities, const Focus& focus,
                                const std::vector<NamedFigures>& rows) {
    const auto width_of = [](Quantity quantity) -> std::size_t {
        return quantity == Quantity::reach                                     ? 17
               : quantity == Quantity::coverage || quantity == Quantity::watts ? 10
                                                                               : 12;
    };
    std::vector<TableColumn> columns{{title, TableAlign::left, title_width}};
    for (const Quantity quantity : quantities)
        columns.push_back({spoken(quantity), TableAlign::right, width_of(quantity)});
    const Table table(std::move(columns));
    std::string text = table.print_head() + "\n";
    for (const NamedFigures& row : rows) {
        std::vector<std::string> cells{row.name};
        for (const Quantity quantity : quantities) {
            const std::optional<double> value = value_of(*row.figures, quantity, focus);
            cells.push_back(value ? print_quantity(site, quantity, *value) : "-");
        }
        text += table.print_row(cells) + "\n";
    }
    return text;
}

std::string print_sweep_table(const Site& site, const Sweep& sweep) {
    std::vector<Quantity> quantities;
    for (const QuantityFacts& facts : list_quantities()) {
        const std::vector<std::optional<double>> values = sweep.values(facts.quantity);
        if (std::any_of(values.begin(), values.end(), [](const auto& value) { return value.has_value(); }))
            quantities.push_back(facts.quantity);
    }
    std::vector<NamedFigures> rows{{"as drawn", &sweep.as_drawn}};
    const std::size_t step = (sweep.figures.size() + most_table_rows - 1) / most_table_rows;
    for (std::size_t i = 0; i < sweep.figures.size(); i += step)
        rows.push_back({print_settings(site, sweep.plan.settings_of(sweep.first + i)), &sweep.figures[i]});
    std::string text =
        print_figures_table(site, "of " + sweep.plan.focus.target, 36, quantities, sweep.plan.focus, rows);
    if (step > 1)
        text += fmt::format("(one row in {} of {}; --out writes all of them to sweep.csv)\n", step,
                            sweep.figures.size());
    return text;
}

namespace {

/// ", within 2 % from 3° to 9°"; nothing of lamps.
std::string print_flat(const Site& site, const Range& range, const Best& best) {
    if (range.knob == Knob::lamp)
        return "";
    if (best.flat_from == best.flat_to)
        return ", with no other value within 2 %";
    return fmt::format(", within 2 % from {} to {}", print_value(site, range.values[best.flat_from]),
                       print_value(site, range.values[best.flat_to]));
}

std::string print_recommendation(const Site& site, const Sweep& sweep, const Recommendation& pick) {
    std::string text =
        fmt::format("Recommended: {}", print_settings(site, sweep.plan.settings_of(pick.variant)));
    const Figures& figures = sweep.figures[pick.variant];
    std::string found;
    for (const Quantity quantity : {Quantity::reach, Quantity::coverage}) {
        const std::optional<double> value = value_of(figures, quantity, sweep.plan.focus);
        const std::optional<double> drawn = value_of(sweep.as_drawn, quantity, sweep.plan.focus);
        if (!value)
            continue;
        found += fmt::format("{}{} {}", found.empty() ? ": " : ", ", spoken(quantity),
                             print_quantity(site, quantity, *value));
        if (drawn)
            found += fmt::format(" (as drawn {})", print_quantity(site, quantity, *drawn));
    }
    const std::string& target = sweep.plan.focus.target;
    return text + found +
           (pick.is_met
                ? fmt::format("; of what meets the target {}, it reaches highest.", target)
                : fmt::format("; nothing tried meets the target {}, and this comes nearest.", target));
}

} // namespace

std::vector<std::string> print_findings(const Site& site, const Sweep& sweep) {
    std::vector<std::string> findings;
    const std::optional<Recommendation> pick = find_recommendation(sweep);
    if (!pick)
        return {fmt::format("Nothing of {} depends on {} here: it may be chosen freely.",
                            sweep.plan.focus.target, spoken(name_of(sweep.plan.ranges.front().knob)))};
    findings.push_back(print_recommendation(site, sweep, *pick));
    for (const Quantity quantity :
         {Quantity::reach, Quantity::coverage, Quantity::uniformity, Quantity::hot_spot, Quantity::spill}) {
        const std::optional<Best> best = find_best(sweep, quantity);
        if (!best || !is_moved(sweep, quantity))
            continue;
        std::string sentence = fmt::format("Best {} at {}: {}", spoken(quantity),
                                           print_settings(site, sweep.plan.settings_of(best->variant)),
                                           print_quantity(site, quantity, best->value));
        sentence += print_flat(site, sweep.plan.ranges.front(), *best);
        if (const std::optional<double> drawn = value_of(sweep.as_drawn, quantity, sweep.plan.focus))
            sentence += fmt::format("; as drawn it is {}", print_quantity(site, quantity, *drawn));
        findings.push_back(sentence + ".");
    }
    if (const std::optional<ReachTrade> trade = find_reach_trade(sweep)) {
        std::string sentence =
            fmt::format("Going from {} to {} adds {} of reach",
                        print_settings(site, {sweep.plan.ranges.front().values[trade->from]}),
                        print_value(site, sweep.plan.ranges.front().values[trade->to]),
                        print_quantity(site, Quantity::reach, trade->reach));
        if (trade->coverage)
            sentence += fmt::format(" and {}{} of coverage of {}", *trade->coverage < 0 ? "costs " : "",
                                    print_quantity(site, Quantity::coverage, std::abs(*trade->coverage)),
                                    sweep.plan.focus.target);
        findings.push_back(sentence + ".");
    }
    return findings;
}

std::vector<std::string> print_contributions(const Site& site, const Contributions& contributions) {
    std::vector<std::string> lines;
    for (const TargetContributions& target : contributions.targets) {
        lines.push_back(fmt::format("{}: {} of it at {} ({} wanted)", target.target,
                                    print_share(target.share), print_illuminance(target.level_lx, site.light),
                                    print_share(target.wanted_share)));
        std::vector<FixtureContribution> sorted = target.fixtures;
        sort_stably(sorted, [](const FixtureContribution& a, const FixtureContribution& b) {
            return a.of_light > b.of_light;
        });
        for (const FixtureContribution& one : sorted)
            if (one.of_light >= 0.001)
                lines.push_back(
                    fmt::format("  {:<12}{:>8} of its light; without it {:>6} stays at the level{}",
                                one.fixture, print_share(one.of_light), print_share(one.without),
                                one.is_decisive ? ", and the target is missed" : ""));
    }
    if (!contributions.needless.empty())
        lines.push_back(
            fmt::format("Not missed by any target, each by itself: {}. With any one of these off, "
                        "what is met stays met and no target loses 1 %.",
                        fmt::join(contributions.needless, ", ")));
    else if (!contributions.targets.empty())
        lines.emplace_back(
            "Every fixture that serves a target adds to it. Where its line does not say that the "
            "target is missed, what is met stays met without it.");
    if (!contributions.without_target.empty())
        lines.push_back(fmt::format("No target tells whether these are needed: {}.",
                                    fmt::join(contributions.without_target, ", ")));
    return lines;
}

std::vector<std::string> print_tolerance(const Site& site, const ToleranceReport& report) {
    std::vector<std::string> lines;
    const Table table({{report.is_direct_only ? "by direct light" : "", TableAlign::left, 28},
                       {"as drawn", TableAlign::right, 16},
                       {"1 in 10 below", TableAlign::right, 16},
                       {"1 in 10 above", TableAlign::right, 16}});
    const std::string gap = "   ";
    lines.push_back(table.print_head() + gap + "what matters most (its share)");
    for (const FigureTolerance& one : report.figures) {
        std::string most;
        for (std::size_t i = 0; i < one.influences.size() && i < 2; ++i)
            if (one.influences[i].share >= std::max(0.05, 2 * one.influences[i].chance))
                most += fmt::format("{}{} ({})", most.empty() ? "" : ", ", one.influences[i].of,
                                    print_share(one.influences[i].share));
        lines.push_back(table.print_row({fmt::format("{} of {}", spoken(one.quantity), one.target),
                                         print_quantity(site, one.quantity, one.nominal),
                                         print_quantity(site, one.quantity, one.low),
                                         print_quantity(site, one.quantity, one.high)}) +
                        gap + (most.empty() ? "nothing by itself" : most));
    }
    if (report.met_as_drawn == 0)
        lines.push_back(
            fmt::format("As drawn no target is met; of {} installations tried, each off by up to these "
                        "tolerances, {} meet one or more.",
                        report.samples, print_share(report.any_reached_share)));
    else
        lines.push_back(fmt::format("Of {} installations tried, each off by up to these tolerances, {} still "
                                    "meet every target that is met as drawn ({} of {}).",
                                    report.samples, print_share(report.reached_share), report.met_as_drawn,
                                    report.targets));
    return lines;
}

std::string print_tolerances(const Site& site, const Tolerances& tolerances) {
    std::string text =
        fmt::format("Tolerances, either way: tilt {}, azimuth {}, setback {}, lumens {}, voltage {} (where "
                    "light follows it), leaf density {}.",
                    print_angle(tolerances.tilt), print_angle(tolerances.azimuth),
                    print_length(tolerances.setback, site.units), print_share(tolerances.lumens),
                    print_share(tolerances.voltage), print_share(tolerances.leaf_density));
    if (tolerances.dirt > 0)
        text += fmt::format(" Dirt takes up to {} of a lens's light more or less than the light-loss factors "
                            "have it, and never less than none.",
                            print_share(tolerances.dirt));
    return text;
}

} // namespace duskcast
