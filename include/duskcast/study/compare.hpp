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
    /// What it is judged by, one a target: of the fixtures that it changes, or that any changes for the
    /// first. Reaches are those on lines that meet the target, where there are any.
    std::vector<Focus> foci;

    bool is_judged_by(const std::string& target) const;
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

/// Lights every variant. What it is judged by is the target asked for. Else each that fixtures stand at which
/// it changes, adds or takes away, where none of these stands at one the target whose light changes most; and
/// every target whose coverage changes.
VariantComparison compare_variants(const Site& site, const std::vector<Variant>& variants,
                                   const std::string& target, Workbench& bench,
                                   const std::filesystem::path& folder, const Progress& progress = {});

/// One target of a comparison, and the variants that are judged by it, the first before them.
struct JudgedTarget {
    Focus focus;
    std::vector<const ComparedVariant*> variants;
    const ReachFigures* reach = nullptr; ///< of the first that has one; null: none has
};
std::vector<JudgedTarget> list_judged(const VariantComparison& comparison);

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
    /// On the targets of its foci that are no trees: the first's, which may be as before, and others that
    /// change by half a foot or more on the line of one fixture, each line once.
    std::vector<ReachChange> reaches;
    /// Of the trees that the targets of its foci are on, and of every target and tree that looks different
    /// from somewhere: from every view.
    std::vector<SightChange> sights;
    std::vector<TargetChange> targets; ///< whose coverage changes
    std::optional<ValueChange> spill, watts, price;
};
VariantChange find_change(const VariantComparison& comparison, const ComparedVariant& variant);

} // namespace duskcast
