#pragma once
// The figures of a report in words, in the site's units.

#include <string>
#include <vector>

#include "duskcast/measure/report.hpp"

namespace duskcast {

/// A sentence and the ids of what it is about; empty where it is about none of the kind.
struct Sentence {
    std::string text;
    std::string fixture;
    std::string surface; ///< that the fixture lights, that the target is on, or the tree's own
    std::string target;
    std::string tree;
};

/// How a target or a tree reads from every view: "seen from arriving: lit to about 21 ft of 45 ft; from
/// leaving: the same"; empty when nobody looked.
std::string print_seen(const std::vector<SeenFeature>& seen, const std::string& feature, bool is_tree,
                       LengthUnit unit);

/// How one thing reads from one place: "lit to about 18 ft of 24 ft, faint above", "hidden from there".
std::string print_sighting(const SeenFeature& seen, LengthUnit unit);

/// "34 %", and "just under 50 %" where less than a per cent is missing and would not show.
std::string print_target_share(const TargetReport& target);

/// What "lit" and "faint" mean in these sentences, and how to change it.
std::string print_lit_rule(double lit_luminance, LightUnit unit);

/// What people ask most comes first: fixtures by what they are for, targets, how things read from the views,
/// spill.
std::vector<Sentence> print_answers(const Site& site, const Report& report);

/// One sentence: what is taken off the light of new lamps behind clean lenses, by fixture.
std::string print_light_loss(const std::vector<LitFixture>& fixtures);

/// What a plate of their light holds for, and what shifts it.
std::string print_estimate_note(const std::vector<LitFixture>& fixtures);

/// A site and the word that tells it from the others of a study, such as a variant's name or a lamp.
struct NamedSite {
    std::string name;
    const Site* site = nullptr;
};
/// The same of several variants of a site: what a fixture has in all of them once, what it has in one alone
/// with that one's name.
std::string print_light_losses(const std::vector<NamedSite>& variants);
/// Of one site alone.
std::string print_light_losses(const Site& site);

/// Lines of a table: one row a surface that people ask about.
std::vector<std::string> print_surface_table(const Site& site, const Stage& stage, const Report& report);

/// Lines of a table: surface by surface, how the figures compare with so many traced paths a sensor.
std::vector<std::string> print_agreement_table(const Site& site, const Stage& stage,
                                               const std::vector<Agreement>& agreements, int paths);

} // namespace duskcast
