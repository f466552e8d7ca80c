#pragma once
// Variants side by side.

#include "duskcast/study/workbench.hpp"

namespace duskcast {

struct ComparedVariant {
    std::string id;
    std::string name;
    Site site;
    LitVariant lit;
    Figures figures;
    Focus focus; ///< what it is judged by: of the fixtures that it changes, or of all for the first
};

/// Lights the variant's site and fills in what follows from it.
void light_variant(ComparedVariant& variant, Workbench& bench, const Progress& progress = {});

struct VariantComparison {
    std::vector<ComparedVariant> variants; ///< the first is what the others are measured by
    Focus focus;                           ///< of the fixtures that any variant changes
};

/// The site itself when it has targets; otherwise with one on every wall and tree that fixtures stand at.
Site with_targets(const Site& site);

/// The target asked for (empty: one on what the first of the fixtures stands at, else the first) and the
/// fixtures. Throws InputError, its place left empty, when there is no such target.
Focus choose_focus(const Site& site, const std::string& target, const std::vector<std::string>& fixtures);

/// Lights every variant. What it is judged by is the target asked for, or else the one that the fixtures
/// stand at which it changes, adds or takes away; of one that changes plants alone, the target whose light
/// changes most.
VariantComparison compare_variants(const Site& site, const std::vector<Variant>& variants,
                                   const std::string& target, Workbench& bench,
                                   const std::filesystem::path& folder, const Progress& progress = {});

struct ReachChange {
    ReachFigures before, after;
};
struct SightChange {
    SeenFeature before, after;

    bool is_none() const; ///< nobody would see it
};
struct TargetChange {
    TargetFigures before, after;
};
struct ValueChange {
    double before = 0, after = 0;
};

/// Shares that differ by less look the same in whole per cent.
inline constexpr double shown_change = 0.005;

/// What a variant changes from the first.
struct VariantChange {
    std::optional<ReachChange>
        reach; ///< on the target of its focus, unless that is a tree; it may be as before
    /// Of the tree that the target of its focus is on, and of every target and tree that looks different from
    /// somewhere: from every view.
    std::vector<SightChange> sights;
    std::vector<TargetChange> targets; ///< whose coverage changes
    std::optional<ValueChange> spill, watts, price;
};
VariantChange find_change(const VariantComparison& comparison, const ComparedVariant& variant);

} // namespace duskcast
