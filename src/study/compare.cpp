#include "duskcast/study/compare.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/site/layout.hpp"

namespace duskcast {
namespace {

bool contains(const std::vector<std::string>& ids, const std::string& id) {
    return std::find(ids.begin(), ids.end(), id) != ids.end();
}

/// Ids of the fixtures that a variant changes, adds or takes away, each once.
std::vector<std::string> list_changed(const Variant& variant) {
    std::vector<std::string> changed;
    const auto note = [&](const std::string& id) {
        if (!contains(changed, id))
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

/// Values of the whole site that differ by more than `least`.
std::optional<ValueChange> find_value_change(const Figures& before, const Figures& after, Quantity quantity,
                                             double least) {
    const std::optional<double> was = value_of(before, quantity, {}), is = value_of(after, quantity, {});
    if (!was || !is || *was == *is || std::abs(*was - *is) < least)
        return std::nullopt;
    return ValueChange{*was, *is};
}

/// Of the targets on what the fixture stands at, the one whose stretch or gable it stands before, else the
/// first; null where there is none.
const Target* find_target_at(const Site& site, const Fixture& fixture) {
    const std::string& on = fixture.wall.empty() ? fixture.tree : fixture.wall;
    if (on.empty())
        return nullptr;
    const auto is_before = [&](const Target& one) {
        if (fixture.wall.empty())
            return true;
        const std::optional<std::array<double, 2>> stretch = find_stretch(site, one);
        return !stretch || (fixture.along >= (*stretch)[0] && fixture.along <= (*stretch)[1]);
    };
    const Target* first = nullptr;
    for (const Target& one : site.targets)
        if (one.on == on || one.on.starts_with(on + ".")) {
            if (is_before(one))
                return &one;
            if (!first)
                first = &one;
        }
    return first;
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
    for (const Fixture& fixture : site.fixtures)
        if (fixtures.empty() || fixture.id == fixtures.front())
            if (const Target* one = find_target_at(site, fixture)) {
                focus.target = one->id;
                break;
            }
    return focus;
}

namespace {

/// The focus on the target, added where there is none.
Focus& focus_on(std::vector<Focus>& foci, const std::string& target) {
    for (Focus& focus : foci)
        if (focus.target == target)
            return focus;
    return foci.emplace_back(Focus{target, {}});
}

/// One of each target that a changed fixture stands at, on the site as drawn or as the variant has it. A
/// reach on a target counts whoever gives it where all of these are taken away, so that there is something to
/// compare.
std::vector<Focus> choose_own_foci(const Site& drawn, const Site& made, const std::string& target,
                                   const std::vector<std::string>& changed) {
    std::vector<Focus> foci;
    if (!target.empty())
        foci.push_back({target, {}});
    for (const std::string& id : changed) {
        const Fixture* is = find_fixture(made, id);
        for (const Site* site : {&drawn, &made}) {
            const Fixture* fixture = find_fixture(*site, id);
            const Target* at = fixture ? find_target_at(*site, *fixture) : nullptr;
            if (target.empty() && !at)
                continue;
            Focus& focus = focus_on(foci, target.empty() ? at->id : target);
            if (is && !contains(focus.fixtures, id))
                focus.fixtures.push_back(id);
        }
    }
    return foci;
}

/// So that it counts the fixtures of both; none counts all.
void join_focus(Focus& focus, const Focus& other) {
    focus.is_target_alone = focus.is_target_alone || other.is_target_alone;
    if (focus.fixtures.empty() || other.fixtures.empty())
        focus.fixtures.clear();
    for (const std::string& id : other.fixtures)
        if (!focus.fixtures.empty() && !contains(focus.fixtures, id))
            focus.fixtures.push_back(id);
}

std::vector<TargetChange> find_target_changes(const Figures& before, const Figures& after) {
    std::vector<TargetChange> changes;
    for (const TargetFigures& is : after.targets)
        if (const TargetFigures* was = find_target(before, is.id);
            was && std::abs(was->share - is.share) >= shown_change)
            changes.push_back({*was, is});
    return changes;
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

/// What looks the same at night, by its height.
constexpr double told_apart = 0.5 * metres_per_foot;

bool is_seen_alike(const LitStretches& a, const LitStretches& b) {
    return a.is_any() == b.is_any() && std::abs(a.main.from - b.main.from) < told_apart &&
           std::abs(a.main.to - b.main.to) < told_apart;
}

} // namespace

bool ComparedVariant::is_judged_by(const std::string& target) const {
    return std::any_of(foci.begin(), foci.end(), [&](const Focus& focus) { return focus.target == target; });
}

bool SightChange::is_none() const {
    return before.sighting == after.sighting && before.is_lit_but_missed() == after.is_lit_but_missed() &&
           is_seen_alike(before.lit, after.lit) && is_seen_alike(before.faint, after.faint);
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
            if (!contains(changed, id))
                changed.push_back(id);
        made.foci = choose_own_foci(site, made.site, target, own);
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
        if (i == 0 || !target.empty())
            continue;
        const Figures& drawn = comparison.variants.front().figures;
        if (variant.foci.empty()) {
            const std::string most = find_most_changed(drawn, variant.figures);
            variant.foci = {most.empty() ? choose_focus(variant.site, target, {}) : Focus{most, {}}};
        }
        for (const TargetChange& one : find_target_changes(drawn, variant.figures))
            focus_on(variant.foci, one.after.id);
    }
    comparison.focus = changed.empty() ? comparison.variants.back().foci.front()
                                       : choose_focus(comparison.variants.back().site, target, changed);
    ComparedVariant& first = comparison.variants.front();
    for (std::size_t i = 1; i < comparison.variants.size(); ++i)
        for (Focus& own : comparison.variants[i].foci) {
            own.is_target_alone =
                has_own_line(first.figures, own) || has_own_line(comparison.variants[i].figures, own);
            if (first.is_judged_by(own.target))
                join_focus(focus_on(first.foci, own.target), own);
            else
                first.foci.push_back(own);
        }
    comparison.focus.is_target_alone =
        std::any_of(comparison.variants.begin(), comparison.variants.end(),
                    [&](const ComparedVariant& one) { return has_own_line(one.figures, comparison.focus); });
    return comparison;
}

std::vector<JudgedTarget> list_judged(const VariantComparison& comparison) {
    std::vector<JudgedTarget> judged;
    const ComparedVariant& first = comparison.variants.front();
    for (const Focus& focus : first.foci) {
        JudgedTarget one{focus, {&first}};
        for (const ComparedVariant& variant : comparison.variants)
            if (&variant != &first && variant.is_judged_by(focus.target))
                one.variants.push_back(&variant);
        if (std::any_of(one.variants.begin(), one.variants.end(), [&](const ComparedVariant* variant) {
                return find_reach(variant->figures, focus) == nullptr;
            }))
            one.focus.fixtures.clear(); // who is not there in all of them has nothing to be set beside
        for (const ComparedVariant* variant : one.variants)
            one.reach = one.reach ? one.reach : find_reach(variant->figures, one.focus);
        judged.push_back(std::move(one));
    }
    return judged;
}

namespace {

/// Of the trees, changed or not, and of whatever else looks different from somewhere; from every view. A tree
/// speaks for the targets that are parts of it.
std::vector<SightChange> find_sight_changes(const std::vector<SeenFeature>& before,
                                            const std::vector<SeenFeature>& after,
                                            const std::vector<std::string>& trees) {
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
        if (contains(trees, one.after.on) ||
            std::any_of(all.begin(), all.end(), [&](const SightChange& other) {
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
    VariantChange change;
    std::vector<std::string> trees;
    const auto is_moved_on_line = [](const ReachFigures& a, const ReachFigures& b) {
        return a.fixture == b.fixture &&
               (a.height.has_value() != b.height.has_value() ||
                std::abs(a.height.value_or(0) - b.height.value_or(0)) >= told_apart);
    };
    const auto is_told = [&](const std::string& fixture) {
        return std::any_of(change.reaches.begin(), change.reaches.end(),
                           [&](const ReachChange& one) { return one.after.fixture == fixture; });
    };
    for (const Focus& focus : variant.foci) {
        const TargetFigures* target = find_target(after, focus.target);
        const ReachFigures* was = find_reach(before, focus);
        const ReachFigures* is = find_reach(after, focus);
        if (target && find_tree(variant.site, target->on))
            trees.push_back(target->on);
        else if (was && is && (&focus == &variant.foci.front() || is_moved_on_line(*was, *is)) &&
                 !is_told(is->fixture))
            change.reaches.push_back({*was, *is});
    }
    change.sights = find_sight_changes(first.lit.report.seen, variant.lit.report.seen, trees);
    change.targets = find_target_changes(before, after);
    change.spill = find_value_change(before, after, Quantity::spill, shown_change);
    change.watts = find_value_change(before, after, Quantity::watts, 0);
    change.price = find_value_change(before, after, Quantity::price, 0);
    return change;
}

} // namespace duskcast
