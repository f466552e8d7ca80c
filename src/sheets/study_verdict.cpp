// What variants change, in sentences.

#include <fmt/format.h>

#include "duskcast/sheets/study_words.hpp"
#include "study_table.hpp"

namespace duskcast {
namespace {

std::string print_height(const Site& site, const std::optional<double>& metres) {
    return metres ? print_length(*metres, site.units) : "nowhere";
}

std::string print_reach_change(const ComparedVariant& variant, const ReachChange& change) {
    const Site& site = variant.site;
    const auto& [before, after] = change;
    const std::string level = print_illuminance(after.level_lx, site.light);
    const std::string top = print_length(after.top, site.units);
    const std::string where = after.fixture.empty() ? "" : " on the line of " + after.fixture;
    if (before.height == after.height)
        return after.is_to_top
                   ? fmt::format("{}: {} reaches the top, {}{}, as before.", variant.name, level, top, where)
                   : fmt::format("{}: {} reaches {}{}, as before.", variant.name, level,
                                 print_height(site, after.height), where);
    const bool is_higher = after.height.value_or(0) > before.height.value_or(0);
    return fmt::format("{}: {} {} from {} to {}{}{}.", variant.name, is_higher ? "lifts" : "brings down",
                       level, print_height(site, before.height), print_height(site, after.height), where,
                       after.is_to_top ? ", the top there"
                                       : fmt::format("; it does not reach the top at {}", top));
}

std::string print_crown_changes(const ComparedVariant& variant, const std::vector<CrownChange>& changes) {
    std::string text;
    for (const auto& [before, after] : changes) {
        text += text.empty() ? fmt::format("{}: {} reads as lit", variant.name, after.tree) : ",";
        text += fmt::format(" from {} {}{}", after.from, after.height ? "up to " : "",
                            print_height(variant.site, after.height));
        text += before.height == after.height
                    ? " as before"
                    : fmt::format(" (was {})", print_height(variant.site, before.height));
    }
    return text.empty() ? text : text + ".";
}

std::string print_target_changes(const Site& site, const std::vector<TargetChange>& changes) {
    std::string text;
    for (const auto& [before, after] : changes) {
        text += text.empty() ? "It covers " : ", ";
        text += fmt::format("{} of {} at {} instead of {}", print_share(after.share), after.id,
                            print_illuminance(after.level_lx, site.light), print_share(before.share));
        if (after.is_reached != before.is_reached)
            text += after.is_reached ? " and so meets the target" : " and so misses the target";
    }
    return text.empty() ? "The targets are covered as before." : text + ".";
}

std::string print_cost_change(const Site& site, const VariantChange& change) {
    std::string text;
    const auto add = [&](const char* verb, Quantity quantity, const std::optional<ValueChange>& value) {
        if (value)
            text += fmt::format("{} {} {} instead of {}", text.empty() ? "It" : " and", verb,
                                print_quantity(site, quantity, value->after),
                                print_quantity(site, quantity, value->before));
    };
    add("takes", Quantity::watts, change.watts);
    add("costs", Quantity::price, change.price);
    return text.empty() ? text : text + ".";
}

} // namespace

std::vector<std::string> print_verdict(const VariantComparison& comparison, const ComparedVariant& variant) {
    const VariantChange change = find_change(comparison, variant);
    std::vector<std::string> sentences;
    if (change.reach)
        sentences.push_back(print_reach_change(variant, *change.reach));
    if (!change.crowns.empty())
        sentences.push_back(print_crown_changes(variant, change.crowns));
    sentences.push_back(print_target_changes(variant.site, change.targets));
    if (change.spill)
        sentences.push_back(fmt::format("{} of its lumens miss the targets instead of {}.",
                                        print_share(change.spill->after), print_share(change.spill->before)));
    if (change.watts || change.price)
        sentences.push_back(print_cost_change(variant.site, change));
    return sentences;
}

std::vector<std::string> print_verdict(const VariantComparison& comparison) {
    std::vector<std::string> sentences;
    for (std::size_t i = 1; i < comparison.variants.size(); ++i)
        for (std::string& sentence : print_verdict(comparison, comparison.variants[i]))
            sentences.push_back(std::move(sentence));
    return sentences;
}

std::string print_comparison(const VariantComparison& comparison) {
    std::vector<Quantity> quantities;
    for (const QuantityFacts& facts : list_quantities())
        quantities.push_back(facts.quantity);
    std::vector<NamedFigures> rows;
    for (const ComparedVariant& variant : comparison.variants)
        rows.push_back({variant.name, &variant.figures});
    return print_figures_table(comparison.variants.front().site, "on " + comparison.focus.target, 26,
                               quantities, comparison.focus, rows);
}

} // namespace duskcast
