// What variants change, in sentences.

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/sheets/report_words.hpp"
#include "duskcast/sheets/study_words.hpp"
#include "study_table.hpp"

namespace duskcast {
namespace {

/// A crown has one reach, whichever fixture lights it.
bool is_of_crown(const ReachFigures& reach) {
    return reach.fixture.empty();
}

std::string print_reached(const Site& site, const std::optional<double>& metres) {
    return metres ? "about " + print_height(*metres, site.units) : "nowhere";
}

std::string print_reach_change(const ComparedVariant& variant, const ReachChange& change) {
    const Site& site = variant.site;
    const auto& [before, after] = change;
    const std::string level = print_illuminance(after.level_lx, site.light);
    const std::string where = after.fixture.empty() ? "" : " on the line of " + after.fixture;
    const std::string was = print_reached(site, before.height), is = print_reached(site, after.height);
    if (after.is_to_top && was == is)
        return fmt::format("{}: {} reaches the top, {}{}, as before.", variant.name, level,
                           print_length(after.top, site.units), where);
    if (was == is)
        return fmt::format("{}: {} reaches {}{}, as before.", variant.name, level, is, where);
    const bool is_higher = after.height.value_or(0) > before.height.value_or(0);
    return fmt::format("{}: {} {} from {} to {}{}{}.", variant.name, is_higher ? "lifts" : "brings down",
                       level, was, is, where,
                       after.is_to_top ? ", the top there"
                                       : fmt::format("; it does not reach the top at {}",
                                                     print_length(after.top, site.units)));
}

/// One sentence a target or tree: "oak, seen from arriving: lit to about 30 ft of 45 ft (was to about 25
/// ft)".
std::vector<std::string> print_sight_changes(const ComparedVariant& variant,
                                             const std::vector<SightChange>& changes) {
    std::vector<std::string> sentences;
    std::vector<std::pair<std::string, bool>> told; // features, one a sentence
    std::vector<std::string> last;                  // what is said of each, of the view before
    for (const SightChange& change : changes) {
        if (change.is_none() && !change.after.is_seen())
            continue;
        const std::string is = print_sighting(change.after, variant.site.units);
        const std::string was = print_sighting(change.before, variant.site.units);
        const std::pair<std::string, bool> feature{change.after.feature, change.after.is_tree};
        const auto at = static_cast<std::size_t>(std::find(told.begin(), told.end(), feature) - told.begin());
        const bool goes_on = at < told.size();
        if (!goes_on) {
            told.push_back(feature);
            last.emplace_back();
            sentences.push_back(fmt::format("{}: {}, seen ", variant.name, change.after.feature));
        }
        const std::string place = change.after.from.kind == Viewpoint::Kind::view
                                      ? "from " + change.after.from.view
                                      : name_of(change.after.from);
        const std::string said =
            is + (change.is_none() || is == was ? ", as before" : fmt::format(" (was {})", was));
        sentences[at] +=
            fmt::format("{}{}: {}", goes_on ? "; " : "", place, said == last[at] ? "the same" : said);
        last[at] = said;
    }
    for (std::string& sentence : sentences)
        sentence += ".";
    return sentences;
}

std::string print_target_changes(const Site& site, const std::vector<TargetChange>& changes) {
    std::string text;
    for (const auto& [before, after] : changes) {
        if (after.is_reached == before.is_reached && print_share(after.share) == print_share(before.share))
            continue; // nothing that can be read off
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
    for (const ReachChange& reach : change.reaches)
        sentences.push_back(print_reach_change(variant, reach));
    for (std::string& sentence : print_sight_changes(variant, change.sights))
        sentences.push_back(std::move(sentence));
    sentences.push_back(print_target_changes(variant.site, change.targets));
    if (change.spill && print_share(change.spill->after) != print_share(change.spill->before))
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
    const ComparedVariant& first = comparison.variants.front();
    std::string text;
    std::vector<std::string> told; // targets, each with a table of the variants that are judged by it
    for (const JudgedTarget& judged : list_judged(comparison)) {
        const std::string& target = judged.focus.target;
        told.push_back(target);
        std::vector<NamedFigures> rows;
        for (const ComparedVariant* variant : judged.variants)
            rows.push_back({variant->name, &variant->figures});
        text += (text.empty() ? "" : "\n") +
                print_figures_table(first.site, "on " + target, 26, quantities, judged.focus, rows);
        if (const ReachFigures* reach = judged.reach)
            text += fmt::format(
                "Reach: the {} with {}{}. How high it looks lit is another matter, judged from the "
                "views.\n",
                is_of_crown(*reach) ? "top of the crown's part" : "greatest height",
                print_illuminance(reach->level_lx, first.site.light),
                is_of_crown(*reach) ? " on a third of its leaves"
                                    : fmt::format(" on {}, by the fixture that lights highest",
                                                  judged.focus.is_target_alone ? target : reach->on));
    }
    std::vector<std::string> others;
    for (const Target& target : first.site.targets)
        if (std::find(told.begin(), told.end(), target.id) == told.end())
            others.push_back(target.id);
    if (!others.empty())
        text += fmt::format(
            "Coverage, mean, uniformity and hot spot are of {}; whether the coverage of {} changes is said "
            "below.\n",
            told.size() == 1 ? told.front() + " alone" : "the target that heads the table",
            fmt::join(others, ", "));
    return text;
}

} // namespace duskcast
