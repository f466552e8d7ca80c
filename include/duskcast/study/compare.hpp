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
};

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

/// Sentences: what each variant lifts, covers, costs and spares against the first.
std::vector<std::string> print_verdict(const VariantComparison& comparison);
std::vector<std::string> print_verdict(const VariantComparison& comparison, const ComparedVariant& variant);

/// A table for people, one row a variant.
std::string print_comparison(const VariantComparison& comparison);

/// JSON: every figure in SI.
std::string print_comparison_json(const VariantComparison& comparison, const std::string& site_name);

} // namespace duskcast
