#include "duskcast/study/compare.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace duskcast {
namespace {

std::vector<SeenCrown> find_seen_crowns(const Site& site, const Report& report) {
    std::vector<SeenCrown> seen;
    for (const TreeReport& tree : report.trees) {
        if (tree.from.is_whole())
            continue;
        const double level = find_main_level(site, report.levels_lx, tree.tree);
        for (const Reach& reach : tree.lit_to)
            if (std::abs(reach.level_lx - level) < 1e-9 * level)
                seen.push_back({tree.tree, name_of(tree.from), reach.height});
    }
    return seen;
}

/// Values that differ by more than `least`.
std::optional<ValueChange> find_value_change(const Figures& before, const Figures& after, Quantity quantity,
                                             const Focus& focus, double least) {
    const std::optional<double> was = value_of(before, quantity, focus),
                                is = value_of(after, quantity, focus);
    if (!was || !is || *was == *is || std::abs(*was - *is) < least)
        return std::nullopt;
    return ValueChange{*was, *is};
}

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
            refuse(fmt::format("there is no target \"{}\"", target),
                   nearest.empty() ? fmt::format("known are {}", fmt::join(known, ", "))
                                   : fmt::format("did you mean \"{}\"?", nearest));
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

void light_variant(ComparedVariant& variant, Workbench& bench) {
    variant.lit = bench.light(variant.site);
    variant.figures = figures_of(variant.site, variant.lit.report, variant.lit.lighting);
    variant.crowns_seen = find_seen_crowns(variant.site, variant.lit.report);
}

VariantComparison compare_variants(const Site& site, const std::vector<Variant>& variants,
                                   const std::string& target, Workbench& bench,
                                   const std::filesystem::path& folder, const Progress& progress) {
    if (variants.empty())
        refuse("there is nothing to compare the site with",
               "give \"variants\" in the site file, or --variant \"NAME: U1 lamp=...\"");
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
                refuse(fmt::format("as variant \"{}\" has it, {}: {}", made.name, problem.place.path,
                                   problem.what),
                       problem.remedy);
        for (const ComparedVariant& other : comparison.variants)
            if (other.id == made.id)
                refuse(fmt::format("two variants are named \"{}\"", made.id), "give each a name of its own");
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
        light_variant(variant, bench);
    }
    return comparison;
}

VariantChange find_change(const VariantComparison& comparison, const ComparedVariant& variant) {
    const ComparedVariant& first = comparison.variants.front();
    const Figures& before = first.figures;
    const Figures& after = variant.figures;
    const Focus& focus = comparison.focus;
    VariantChange change;
    const ReachFigures* was = find_reach(before, focus);
    const ReachFigures* is = find_reach(after, focus);
    // Of a crown seen from several places, what is seen says more.
    if (was && is && (!is->fixture.empty() || variant.crowns_seen.empty()))
        change.reach = {*was, *is};
    const TargetFigures* target = find_target(after, focus.target);
    for (std::size_t i = 0; i < std::min(first.crowns_seen.size(), variant.crowns_seen.size()); ++i)
        if (target && variant.crowns_seen[i].tree == target->on)
            change.crowns.push_back({first.crowns_seen[i], variant.crowns_seen[i]});
    for (const TargetFigures& one : after.targets)
        if (const TargetFigures* drawn = find_target(before, one.id);
            drawn && std::abs(drawn->share - one.share) >= shown_change)
            change.targets.push_back({*drawn, one});
    change.spill = find_value_change(before, after, Quantity::spill, focus, shown_change);
    change.watts = find_value_change(before, after, Quantity::watts, focus, 0);
    change.price = find_value_change(before, after, Quantity::price, focus, 0);
    return change;
}

} // namespace duskcast
