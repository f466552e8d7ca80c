// What a search for designs says.

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/sheets/study_words.hpp"

namespace duskcast {
namespace {

std::string name_of_lamp(const Site& site, const std::string& id) {
    return print_value(site, {Knob::lamp, 0, id});
}

std::string print_design(const Site& site, const Freedom& freedom, const Design& design) {
    std::string text = fmt::format("{} x {}", design.count, name_of_lamp(site, design.lamp));
    for (std::size_t i = 0; i < freedom.knobs.size(); ++i)
        text += fmt::format(", {} {}", spoken(name_of(freedom.knobs[i].knob)),
                            print_value(site, {freedom.knobs[i].knob, design.values[i], ""}));
    return text;
}

std::string print_design_figures(const Site& site, const Figures& figures, const Focus& focus) {
    std::string text;
    for (const Quantity quantity : {Quantity::coverage, Quantity::reach, Quantity::uniformity,
                                    Quantity::hot_spot, Quantity::spill, Quantity::watts, Quantity::price})
        if (const std::optional<double> value = value_of(figures, quantity, focus))
            text += fmt::format("{}{} {}", text.empty() ? "" : ", ", spoken(quantity),
                                print_quantity(site, quantity, *value));
    return text;
}

} // namespace

std::vector<std::string> print_search(const Site& site, const Freedom& freedom, const Wish& wish,
                                      const DesignSearch& search) {
    std::vector<std::string> lines;
    const Design& best = search.best;
    if (search.is_met) {
        lines.push_back(fmt::format("Best of {} designs tried, by {}: {}.",
                                    print_number(static_cast<double>(search.tried)), spoken(wish.prefer),
                                    print_design(site, freedom, best)));
    } else {
        lines.push_back(fmt::format("No design of the {} tried meets everything asked for. The nearest: {}.",
                                    print_number(static_cast<double>(search.tried)),
                                    print_design(site, freedom, best)));
        for (const TargetFigures& target : best.figures.targets)
            if (!target.is_reached &&
                (target.id == wish.focus.target ||
                 std::find(search.targets.begin(), search.targets.end(), target.id) != search.targets.end()))
                lines.push_back(fmt::format(
                    "  {} comes to {} at {} instead of {}.", target.id, print_share(target.share),
                    print_illuminance(target.level_lx, site.light), print_share(target.wanted_share)));
        const auto cap = [&](Quantity quantity, const std::optional<double>& most) {
            const std::optional<double> value = value_of(best.figures, quantity, wish.focus);
            if (most && value && *value > *most)
                lines.push_back(fmt::format("  {} {} to {}, over {}.", spoken(quantity),
                                            quantity == Quantity::watts ? "come" : "comes",
                                            print_quantity(site, quantity, *value),
                                            print_quantity(site, quantity, *most)));
        };
        cap(Quantity::spill, wish.most_spill);
        cap(Quantity::watts, wish.most_watts);
        cap(Quantity::price, wish.most_price);
        cap(Quantity::hot_spot, wish.most_hot_spot);
        cap(Quantity::uniformity, wish.most_uniformity);
        if (wish.most_candela && best.figures.candela_to_eyes > *wish.most_candela)
            lines.push_back(fmt::format("  candela towards an eye come to {}, over {}.",
                                        print_number(best.figures.candela_to_eyes),
                                        print_number(*wish.most_candela)));
        if (!best.off_beds.empty())
            lines.push_back(fmt::format(
                "  {} would stand on a spike in {}.", fmt::join(best.off_beds, ", "),
                freedom.may_stand_in_lawn
                    ? "paving; mount it otherwise, or search elsewhere"
                    : "lawn or paving: draw a bed there, or mount it otherwise; --in-lawn allows the lawn"));
    }
    lines.push_back(
        fmt::format("  On {}: {}.", wish.focus.target, print_design_figures(site, best.figures, wish.focus)));
    if (search.front.size() > 1) {
        lines.emplace_back("What else may be traded:");
        for (std::size_t i = 1; i < search.front.size(); ++i)
            lines.push_back(fmt::format("  {}. {}: {}", i + 1, print_design(site, freedom, search.front[i]),
                                        print_design_figures(site, search.front[i].figures, wish.focus)));
    }
    if (search.most_robust)
        lines.push_back(fmt::format(
            "Most robust is design {}: nine installations in ten keep {} of {} or better by direct "
            "light{}.",
            *search.most_robust + 1,
            print_quantity(site, wish.prefer, *search.front[*search.most_robust].kept), spoken(wish.prefer),
            *search.most_robust == 0 || !best.kept
                ? ", which is also the best on paper"
                : fmt::format("; the best on paper keeps {}",
                              print_quantity(site, wish.prefer, *best.kept))));
    const std::optional<double> reached = value_of(best.figures, wish.prefer, wish.focus);
    for (const RuleFinding& rule : search.rules) {
        if (rule.is_kept)
            lines.push_back(fmt::format("The rule \"{}\" holds here.", rule.rule));
        else if (rule.best_keeping && reached)
            lines.push_back(fmt::format("The rule \"{}\" is not the best here: kept, {} is {} instead of {}.",
                                        rule.rule, spoken(wish.prefer),
                                        print_quantity(site, wish.prefer, *rule.best_keeping),
                                        print_quantity(site, wish.prefer, *reached)));
        else
            lines.push_back(fmt::format("The rule \"{}\" cannot be kept within these ranges.", rule.rule));
    }
    return lines;
}

} // namespace duskcast
