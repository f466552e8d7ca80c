#include "duskcast/study/compare.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

/// Ids of the fixtures that a variant changes, adds or takes away, each once.
std::vector<std::string> list_changed(const Variant& variant) {
    std::vector<std::string> changed;
    const auto note = [&](const std::string& id) {
        if (std::find(changed.begin(), changed.end(), id) == changed.end())
            changed.push_back(id);
    };
    for (const Change& change : variant.changes)
        for (const std::string& id : change.fixtures)
            note(id);
    for (const Fixture& added : variant.added)
        note(added.id);
    for (const std::string& id : variant.without)
        note(id);
    return changed;
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
            const std::optional<std::array<double, 2>> stretch = find_stretch(site, one);
            return !stretch || (fixture.along >= (*stretch)[0] && fixture.along <= (*stretch)[1]);
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

namespace {

/// What it takes away is looked for on the site as drawn. A reach on the target counts whoever gives it, so
/// that a lamp that is gone leaves something to compare.
Focus choose_own_focus(const Site& drawn, const Site& made, const std::string& target,
                       const std::vector<std::string>& changed) {
    const bool is_there = std::any_of(made.fixtures.begin(), made.fixtures.end(), [&](const Fixture& one) {
        return !changed.empty() && one.id == changed.front();
    });
    const Focus focus = choose_focus(is_there ? made : drawn, target, changed);
    std::vector<std::string> still_there;
    for (const std::string& id : changed)
        if (std::any_of(made.fixtures.begin(), made.fixtures.end(),
                        [&](const Fixture& one) { return one.id == id; }))
            still_there.push_back(id);
    return {focus.target, still_there};
}

/// The target whose mean changes most, as a share of the greater one.
std::string find_most_changed(const Figures& before, const Figures& after) {
    std::string found;
    double most = 0;
    for (const TargetFigures& is : after.targets) {
        const TargetFigures* was = find_target(before, is.id);
        const double change =
            was ? std::abs(is.mean_lx - was->mean_lx) / std::max({is.mean_lx, was->mean_lx, 1e-3}) : 0;
        if (change > most) {
            most = change;
            found = is.id;
        }
    }
    return found;
}

bool is_seen_alike(const LitStretches& a, const LitStretches& b) {
    constexpr double told_apart = 0.5 * metres_per_foot;
    return a.is_any() == b.is_any() && std::abs(a.main.from - b.main.from) < told_apart &&
           std::abs(a.main.to - b.main.to) < told_apart;
}

} // namespace

bool SightChange::is_none() const {
    return before.sighting == after.sighting && is_seen_alike(before.lit, after.lit) &&
           is_seen_alike(before.faint, after.faint);
}

void light_variant(ComparedVariant& variant, Workbench& bench, const Progress& progress) {
    variant.lit = bench.light(variant.site, progress);
    variant.figures = figures_of(variant.site, variant.lit.report, variant.lit.lighting);
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
    for (const Variant& variant : variants) {
        ComparedVariant made{.id = variant.id, .name = variant.name.empty() ? variant.id : variant.name};
        made.site = make_variant(site, variant, folder);
        for (const Problem& problem : check_site(made.site, folder))
            if (problem.severity == Severity::error)
                refuse(fmt::format("as variant \"{}\" has it, {}: {}", made.name,
                                   name_path(made.site, problem.place.path), problem.what),
                       problem.remedy);
        for (const ComparedVariant& other : comparison.variants)
            if (other.id == made.id)
                refuse(fmt::format("two variants are named \"{}\"", made.id), "give each a name of its own");
        const std::vector<std::string> own = list_changed(variant);
        for (const std::string& id : own)
            if (std::find(changed.begin(), changed.end(), id) == changed.end())
                changed.push_back(id);
        made.focus = choose_own_focus(site, made.site, target, own);
        comparison.variants.push_back(std::move(made));
    }
    for (std::size_t i = 0; i < comparison.variants.size(); ++i) {
        ComparedVariant& variant = comparison.variants[i];
        const auto count = static_cast<double>(comparison.variants.size());
        const auto tell = [&](double share) {
            if (progress)
                progress((static_cast<double>(i) + share) / count);
        };
        tell(0);
        light_variant(variant, bench, tell);
        if (i == 0 || !target.empty() || !list_changed(variants[i - 1]).empty())
            continue;
        const std::string most = find_most_changed(comparison.variants.front().figures, variant.figures);
        if (!most.empty())
            variant.focus.target = most;
    }
    comparison.focus = changed.empty() ? comparison.variants.back().focus
                                       : choose_focus(comparison.variants.back().site, target, changed);
    comparison.variants.front().focus = comparison.focus;
    return comparison;
}

namespace {

/// Of the tree, changed or not, and of whatever else looks different from somewhere; from every view. A tree
/// speaks for the targets that are parts of it.
std::vector<SightChange> find_sight_changes(const std::vector<SeenFeature>& before,
                                            const std::vector<SeenFeature>& after, const std::string& tree) {
    std::vector<SightChange> all;
    for (const SeenFeature& is : after) {
        const bool is_part = !is.is_tree && std::any_of(after.begin(), after.end(), [&](const auto& other) {
            return other.is_tree && other.on == is.on;
        });
        for (const SeenFeature& was : before)
            if (!is_part && was.feature == is.feature && was.is_tree == is.is_tree && was.from == is.from)
                all.push_back({was, is});
    }
    std::vector<SightChange> told;
    for (const SightChange& one : all)
        if (one.after.on == tree || std::any_of(all.begin(), all.end(), [&](const SightChange& other) {
                return other.after.feature == one.after.feature && other.after.is_tree == one.after.is_tree &&
                       !other.is_none();
            }))
            told.push_back(one);
    return told;
}

} // namespace

VariantChange find_change(const VariantComparison& comparison, const ComparedVariant& variant) {
    const ComparedVariant& first = comparison.variants.front();
    const Figures& before = first.figures;
    const Figures& after = variant.figures;
    const Focus& focus = variant.focus;
    VariantChange change;
    const TargetFigures* target = find_target(after, focus.target);
    const bool is_tree = target && find_tree(variant.site, target->on);
    const ReachFigures* was = find_reach(before, focus);
    const ReachFigures* is = find_reach(after, focus);
    if (was && is && !is_tree)
        change.reach = {*was, *is};
    change.sights = find_sight_changes(first.lit.report.seen, variant.lit.report.seen,
                                       is_tree ? target->on : std::string());
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
