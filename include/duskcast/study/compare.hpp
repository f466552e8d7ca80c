#pragma once
// Variants side by side.

#include "duskcast/study/workbench.hpp"

namespace duskcast {

/// How high a crown reads as lit from a view, at the level asked about.
struct SeenCrown {
    std::string tree, from;
    std::optional<double> height; ///< metres; none: nowhere
};

struct ComparedVariant {
    std::string id;
    std::string name;
    Site site;
    LitVariant lit;
    Figures figures;
    std::vector<SeenCrown> crowns_seen;
};

/// Lights the variant's site and fills in what follows from it.
void light_variant(ComparedVariant& variant, Workbench& bench);

struct VariantComparison {
    std::vector<ComparedVariant> variants; ///< the first is what the others are measured by
    Focus focus;
};

/// The site itself when it has targets; otherwise with one on every wall and tree that fixtures stand at.
Site with_targets(const Site& site);

/// The target asked for (empty: one on what the first of the fixtures stands at, else the first) and the
/// fixtures. Throws InputError, its place left empty, when there is no such target.
Focus choose_focus(const Site& site, const std::string& target, const std::vector<std::string>& fixtures);

/// Lights every variant. The fixtures of the focus are those that any variant changes or adds.
VariantComparison compare_variants(const Site& site, const std::vector<Variant>& variants,
                                   const std::string& target, Workbench& bench,
                                   const std::filesystem::path& folder, const Progress& progress = {});

struct ReachChange {
    ReachFigures before, after;
};
struct CrownChange {
    SeenCrown before, after;
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
    std::optional<ReachChange> reach;  ///< on the target of the focus; it may be as before
    std::vector<CrownChange> crowns;   ///< where the target is a crown: from every view, changed or not
    std::vector<TargetChange> targets; ///< whose coverage changes
    std::optional<ValueChange> spill, watts, price;
};
VariantChange find_change(const VariantComparison& comparison, const ComparedVariant& variant);

} // namespace duskcast
