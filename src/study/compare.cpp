#include "duskcast/study/compare.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include "duskcast/base/version.hpp"
#include "json_figures.hpp"
#include "study_figures.hpp"

namespace duskcast {
namespace {

const TargetFigures* find_target(const Figures& figures, const std::string& id) {
    for (const TargetFigures& target : figures.targets)
        if (target.id == id)
            return &target;
    return nullptr;
}

/// The reach that the figure is taken from: the highest on what the target is on.
const ReachFigures* find_reach(const Figures& figures, const Focus& focus) {
    const TargetFigures* target = find_target(figures, focus.target);
    const ReachFigures* highest = nullptr;
    for (const ReachFigures& reach : figures.reaches) {
        const bool is_on = target && (reach.on == target->on || reach.on.starts_with(target->on + "."));
        const bool is_asked =
            reach.fixture.empty() || focus.fixtures.empty() ||
            std::find(focus.fixtures.begin(), focus.fixtures.end(), reach.fixture) != focus.fixtures.end();
        if (is_on && is_asked && (!highest || reach.height.value_or(-1) > highest->height.value_or(-1)))
            highest = &reach;
    }
    return highest;
}

/// How high a crown reads as lit from each place, at the level asked about.
struct SeenCrown {
    std::string tree, from;
    std::optional<double> height;
};
std::vector<SeenCrown> seen_crowns(const ComparedVariant& variant) {
    std::vector<SeenCrown> seen;
    for (const TreeReport& tree : variant.lit.report.trees) {
        if (tree.from.empty())
            continue;
        const double level = find_main_level(variant.site, variant.lit.report.levels_lx, tree.tree);
        for (const Reach& reach : tree.lit_to)
            if (std::abs(reach.level_lx - level) < 1e-9 * level)
                seen.push_back({tree.tree, tree.from, reach.height});
    }
    return seen;
}

class VerdictPrinter {
public:
    VerdictPrinter(const VariantComparison& comparison, const ComparedVariant& of)
        : focus_(comparison.focus), first_(comparison.variants.front()), other_(of), site_(of.site) {}

    std::vector<std::string> print() const {
        std::vector<std::string> sentences;
        for (const std::string& sentence : {reach(), crowns(), coverage(), light_spared(), cost()})
            if (!sentence.empty())
                sentences.push_back(sentence);
        return sentences;
    }

private:
    std::string height(const std::optional<double>& metres) const {
        return metres ? print_length(*metres, site_.units) : "nowhere";
    }

    std::string reach() const {
        const ReachFigures* before = find_reach(first_.figures, focus_);
        const ReachFigures* after = find_reach(other_.figures, focus_);
        if (!before || !after || (after->fixture.empty() && !seen_crowns(other_).empty()))
            return "";
        const std::string level = print_illuminance(after->level_lx, site_.light);
        const std::string top = print_length(after->top, site_.units);
        const std::string where = after->fixture.empty() ? "" : " on the line of " + after->fixture;
        if (before->height == after->height)
            return after->is_to_top ? fmt::format("{}: {} reaches the top, {}{}, as before.", other_.name,
                                                  level, top, where)
                                    : fmt::format("{}: {} reaches {}{}, as before.", other_.name, level,
                                                  height(after->height), where);
        const bool is_higher = after->height.value_or(0) > before->height.value_or(0);
        std::string text =
            fmt::format("{}: {} {} from {} to {}{}", other_.name, is_higher ? "lifts" : "brings down", level,
                        height(before->height), height(after->height), where);
        if (after->is_to_top)
            text += ", the top there";
        else
            text += fmt::format("; it does not reach the top at {}", top);
        return text + ".";
    }

    std::string crowns() const {
        std::string text;
        const std::vector<SeenCrown> before = seen_crowns(first_), after = seen_crowns(other_);
        const TargetFigures* target = find_target(other_.figures, focus_.target);
        for (std::size_t i = 0; i < after.size() && i < before.size(); ++i) {
            if (!target || after[i].tree != target->on)
                continue;
            text += text.empty() ? fmt::format("{}: {} reads as lit", other_.name, after[i].tree) : ",";
            text += fmt::format(" from {} {}{}", after[i].from, after[i].height ? "up to " : "",
                                height(after[i].height));
            text += before[i].height == after[i].height ? " as before"
                                                        : fmt::format(" (was {})", height(before[i].height));
        }
        return text.empty() ? text : text + ".";
    }

    std::string coverage() const {
        std::string text;
        for (const TargetFigures& after : other_.figures.targets) {
            const TargetFigures* before = find_target(first_.figures, after.id);
            if (!before || std::abs(before->share - after.share) < 0.005)
                continue;
            text += text.empty() ? "It covers " : ", ";
            text += fmt::format("{} of {} at {} instead of {}", print_share(after.share), after.id,
                                print_illuminance(after.level_lx, site_.light), print_share(before->share));
            if (after.is_reached != before->is_reached)
                text += after.is_reached ? " and so meets its aim" : " and so misses its aim";
        }
        return text.empty() ? "The targets are covered as before." : text + ".";
    }

    std::string light_spared() const {
        const std::optional<double> before = value_of(first_.figures, Quantity::spill, focus_);
        const std::optional<double> after = value_of(other_.figures, Quantity::spill, focus_);
        if (!before || !after || std::abs(*before - *after) < 0.005)
            return "";
        return fmt::format("{} of its lumens miss the targets instead of {}.", print_share(*after),
                           print_share(*before));
    }

    std::string cost() const {
        std::string text;
        for (const Quantity quantity : {Quantity::watts, Quantity::price}) {
            const std::optional<double> before = value_of(first_.figures, quantity, focus_);
            const std::optional<double> after = value_of(other_.figures, quantity, focus_);
            if (before && after && *before != *after)
                text += fmt::format("{}{} instead of {}", text.empty() ? "It takes " : " and costs ",
                                    print_quantity(site_, quantity, *after),
                                    print_quantity(site_, quantity, *before));
        }
        return text.empty() ? text : text + ".";
    }

    const Focus& focus_;
    const ComparedVariant& first_;
    const ComparedVariant& other_;
    const Site& site_;
};

} // namespace

Site with_targets(const Site& site) {
    Site made = site;
    if (!site.targets.empty())
        return made;
    for (const Fixture& fixture : site.fixtures) {
        const std::string on = fixture.wall.empty() ? fixture.tree : fixture.wall;
        const bool is_known = std::any_of(made.targets.begin(), made.targets.end(),
                                          [&](const Target& target) { return target.on == on; });
        if (!on.empty() && !is_known) {
            Target target{.id = on, .on = on};
            target.level = find_main_level(site, join_levels({}, site), on);
            made.targets.push_back(target);
        }
    }
    return made;
}

Focus choose_focus(const Site& site, const std::string& target, const std::vector<std::string>& fixtures) {
    Focus focus{target, fixtures};
    std::vector<std::string> known;
    for (const Target& one : site.targets)
        known.push_back(one.id);
    if (!target.empty()) {
        if (std::find(known.begin(), known.end(), target) == known.end()) {
            const std::string nearest = find_nearest_word(target, known);
            throw InputError(Problem{.what = fmt::format("there is no target \"{}\"", target),
                                     .remedy = nearest.empty()
                                                   ? fmt::format("known are {}", fmt::join(known, ", "))
                                                   : fmt::format("did you mean \"{}\"?", nearest)});
        }
        return focus;
    }
    if (!known.empty())
        focus.target = known.front();
    for (const Fixture& fixture : site.fixtures) {
        const bool is_asked = fixtures.empty() || fixture.id == fixtures.front();
        const std::string& on = fixture.wall.empty() ? fixture.tree : fixture.wall;
        if (!is_asked || on.empty())
            continue;
        // Of the targets there, the one whose stretch or gable it stands before.
        const auto fits = [&](const Target& one, bool is_before) {
            if (one.on != on && !one.on.starts_with(on + "."))
                return false;
            if (!is_before || fixture.wall.empty())
                return true;
            const Wall* wall = find_wall(site, on);
            for (const Gable& gable : wall->gables)
                if (gable.id == one.gable)
                    return fixture.along >= gable.from && fixture.along <= gable.from + gable.width;
            return one.gable.empty() &&
                   (!one.along || (fixture.along >= (*one.along)[0] && fixture.along <= (*one.along)[1]));
        };
        for (const bool is_before : {true, false})
            for (const Target& one : site.targets)
                if (fits(one, is_before)) {
                    focus.target = one.id;
                    return focus;
                }
    }
    return focus;
}

VariantComparison compare_variants(const Site& site, const std::vector<Variant>& variants,
                                   const std::string& target, Workbench& bench,
                                   const std::filesystem::path& folder, const Progress& progress) {
    if (variants.empty())
        throw InputError(
            Problem{.what = "there is nothing to compare the site with",
                    .remedy = "give \"variants\" in the site file, or --variant \"NAME: U1 lamp=...\""});
    VariantComparison comparison;
    comparison.variants.push_back({.id = "as-drawn", .name = "as drawn", .site = site});
    std::vector<std::string> changed;
    const auto note = [&](const std::string& id) {
        if (std::find(changed.begin(), changed.end(), id) == changed.end())
            changed.push_back(id);
    };
    for (const Variant& variant : variants) {
        ComparedVariant made{.id = variant.id, .name = variant.name.empty() ? variant.id : variant.name};
        made.site = make_variant(site, variant, folder);
        for (const Problem& problem : check_site(made.site, folder))
            if (problem.severity == Severity::error)
                throw InputError(Problem{.what = fmt::format("as variant \"{}\" has it, {}: {}", made.name,
                                                             problem.place.path, problem.what),
                                         .remedy = problem.remedy});
        for (const ComparedVariant& other : comparison.variants)
            if (other.id == made.id)
                throw InputError(Problem{.what = fmt::format("two variants are named \"{}\"", made.id),
                                         .remedy = "give each a name of its own"});
        for (const Change& change : variant.changes)
            for (const std::string& id : change.fixtures)
                note(id);
        for (const Fixture& added : variant.added)
            note(added.id);
        comparison.variants.push_back(std::move(made));
    }
    comparison.focus = choose_focus(comparison.variants.back().site, target, changed);
    for (std::size_t i = 0; i < comparison.variants.size(); ++i) {
        ComparedVariant& variant = comparison.variants[i];
        if (progress)
            progress(static_cast<double>(i) / static_cast<double>(comparison.variants.size()));
        variant.lit = bench.light(variant.site);
        variant.figures = figures_of(variant.site, variant.lit.report, variant.lit.lighting);
    }
    return comparison;
}

std::vector<std::string> print_verdict(const VariantComparison& comparison, const ComparedVariant& variant) {
    return VerdictPrinter(comparison, variant).print();
}

std::vector<std::string> print_verdict(const VariantComparison& comparison) {
    std::vector<std::string> sentences;
    for (std::size_t i = 1; i < comparison.variants.size(); ++i)
        for (std::string& sentence : print_verdict(comparison, comparison.variants[i]))
            sentences.push_back(std::move(sentence));
    return sentences;
}

std::string print_comparison(const VariantComparison& comparison) {
    const Site& site = comparison.variants.front().site;
    std::string text = fmt::format("{:<26}", "on " + comparison.focus.target);
    for (const Quantity quantity : list_quantities())
        text += fmt::format("{:>{}}", spoken(name_of(quantity)), column_width(quantity));
    text += "\n";
    for (const ComparedVariant& variant : comparison.variants) {
        text += fmt::format("{:<26}", variant.name);
        for (const Quantity quantity : list_quantities()) {
            const std::optional<double> value = value_of(variant.figures, quantity, comparison.focus);
            text += fmt::format("{:>{}}", value ? print_quantity(site, quantity, *value) : "-",
                                column_width(quantity));
        }
        text += "\n";
    }
    return text;
}

std::string print_comparison_json(const VariantComparison& comparison, const std::string& site_name) {
    nlohmann::ordered_json document;
    document["duskcast"] = duskcast_version;
    document["study"] = "compare";
    document["site"] = site_name;
    document["target"] = comparison.focus.target;
    document["fixtures"] = comparison.focus.fixtures;
    document["variants"] = nlohmann::ordered_json::array();
    for (const ComparedVariant& variant : comparison.variants) {
        nlohmann::ordered_json one{{"id", variant.id}, {"name", variant.name}};
        one.update(json_of(variant.figures, comparison.focus));
        one["crowns_seen"] = nlohmann::ordered_json::array();
        for (const SeenCrown& crown : seen_crowns(variant))
            one["crowns_seen"].push_back({{"tree", crown.tree},
                                          {"from", crown.from},
                                          {"lit_to_m", crown.height ? nlohmann::ordered_json(*crown.height)
                                                                    : nlohmann::ordered_json()}});
        document["variants"].push_back(one);
    }
    document["verdict"] = print_verdict(comparison);
    return document.dump(2) + "\n";
}

} // namespace duskcast
