// Variants side by side: what is compared, and what has changed.

#include <doctest/doctest.h>

#include "duskcast/study/compare.hpp"
#include "study_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

VariantComparison compare(const Site& site, const std::vector<const char*>& texts,
                          const std::string& target = "") {
    std::vector<Variant> variants;
    for (const char* text : texts)
        variants.push_back(read_variant(text, site));
    Workbench bench(".", {.is_direct_only = true, .lit_luminance = usual_lit_luminance});
    return compare_variants(site, variants, target, bench, ".");
}

Site with_views(Site site) {
    site.views = {{.id = "south", .eye = {4, -25, 1.6}, .look_at = {4, -8, 3}},
                  {.id = "north", .eye = {4, -2, 1.6}, .look_at = {4, -8, 3}}};
    return site;
}

/// Two variants with figures given by hand.
VariantComparison make_pair() {
    VariantComparison comparison{.focus = {"all", {}}};
    for (int i = 0; i < 2; ++i) {
        ComparedVariant variant{.id = i == 0 ? "as-drawn" : "other", .foci = {comparison.focus}};
        variant.site.trees = {{.id = "oak"}, {.id = "elm"}};
        variant.figures.targets = {{.id = "all", .on = "wall", .share = 0.5},
                                   {.id = "oak", .on = "oak", .share = 0.2}};
        variant.figures.watts = 10;
        variant.figures.spill = {.emitted_lm = 1000, .target_lm = 500};
        comparison.variants.push_back(std::move(variant));
    }
    return comparison;
}

} // namespace

TEST_CASE("variants have the figures of single runs, and what changes is their difference") {
    const Site site = make_garden();
    const VariantComparison comparison =
        compare(site, {"brighter: U1 lamp=b tilt=4", "less: without U2"}, "gable");
    REQUIRE(comparison.variants.size() == 3);
    for (const ComparedVariant& variant : comparison.variants) {
        const Figures single = run_singly(variant.site, true);
        CHECK(variant.figures.targets == single.targets);
        CHECK(variant.figures.reaches == single.reaches);
    }
    CHECK(comparison.variants[0].name == "as drawn");
    CHECK(comparison.focus.fixtures == std::vector<std::string>{"U1", "U2"});
    CHECK(comparison.variants[1].foci.front().fixtures == std::vector<std::string>{"U1"});
    const VariantChange change = find_change(comparison, comparison.variants[1]);
    const Figures &before = comparison.variants[0].figures, &after = comparison.variants[1].figures;
    for (const TargetChange& target : change.targets) {
        CHECK(target.before == *find_target(before, target.after.id));
        CHECK(std::abs(target.before.share - target.after.share) >= shown_change);
    }
    REQUIRE(change.watts);
    CHECK(change.watts->before == 12);
    CHECK(change.watts->after == 13);
    REQUIRE(change.reaches.size() == 1);
    CHECK(change.reaches[0].before.height == find_reach(before, comparison.variants[1].foci.front())->height);
    CHECK(change.reaches[0].after == *find_reach(after, comparison.variants[1].foci.front()));
    CHECK(!change.price);
    for (const SightChange& sight : change.sights)
        CHECK(sight.after.feature != "crown"); // no lamp on the oak is changed
}

TEST_CASE("changes too small for whole per cent are none") {
    VariantComparison comparison = make_pair();
    Figures& after = comparison.variants[1].figures;
    const auto change = [&] { return find_change(comparison, comparison.variants[1]); };
    CHECK(change().targets.empty());
    CHECK(!change().spill);
    CHECK(!change().watts);
    after.targets[0].share = 0.5049;
    after.spill.target_lm = 504.9;
    CHECK(change().targets.empty());
    CHECK(!change().spill);
    after.targets[0].share = 0.506;
    after.spill.target_lm = 494;
    REQUIRE(change().targets.size() == 1);
    CHECK(change().targets[0].after.share == 0.506);
    REQUIRE(change().spill);
    CHECK(change().spill->before == doctest::Approx(0.5));
    CHECK(change().spill->after == doctest::Approx(0.506));
    after.watts = 10.001; // watts and prices are what they are
    CHECK(change().watts->after == 10.001);
    comparison.variants[0].figures.price = 100;
    CHECK(!change().price); // one of them has none
    after.price = 90;
    CHECK(change().price->after == 90);
    after.targets.erase(after.targets.begin());
    CHECK(change().targets.empty()); // a target that only one has is not compared
}

TEST_CASE("a tree is told by what is seen of it, other things where they look different") {
    VariantComparison comparison = make_pair();
    const auto see = [](const char* feature, const char* view, double lit_to) {
        SeenFeature seen{.feature = feature, .is_tree = true, .on = feature};
        seen.from = {Viewpoint::Kind::view, view};
        seen.sighting = lit_to > 0 ? Sighting::lit : Sighting::unlit;
        if (lit_to > 0)
            seen.lit = seen.faint = {.all = {{0, lit_to}}, .main = {0, lit_to}};
        return seen;
    };
    for (ComparedVariant& variant : comparison.variants) {
        variant.foci = {{"oak", {}}};
        variant.figures.reaches = {{.fixture = "", .on = "oak", .height = 4.0}};
        variant.lit.report.seen = {see("oak", "gate", 3), see("oak", "porch", 0), see("elm", "gate", 2),
                                   see("elm", "porch", 2)};
    }
    const auto change = [&] { return find_change(comparison, comparison.variants[1]); };
    CHECK(change().reaches.empty());
    REQUIRE(change().sights.size() == 2); // the oak, changed or not; the elm is as before
    CHECK(change().sights[0].is_none());
    std::vector<SeenFeature>& seen = comparison.variants[1].lit.report.seen;
    seen[1] = see("oak", "porch", 5);
    CHECK(!change().sights[1].is_none());
    CHECK(change().sights[1].before.sighting == Sighting::unlit);
    CHECK(change().sights[1].after.lit.main.to == 5);
    seen[3] = see("elm", "porch", 2.1); // nobody sees 10 cm
    CHECK(change().sights.size() == 2);
    seen[3] = see("elm", "porch", 2.6);
    CHECK(change().sights.size() == 4);         // the elm from both views
    SeenFeature missed = see("oak", "gate", 3); // what looks alike and gets what is wanted now is told
    missed.is_missed = true;
    CHECK(SightChange{missed, missed}.is_none());
    CHECK(!SightChange{missed, see("oak", "gate", 3)}.is_none());
}

TEST_CASE("a variant that changes plants alone is judged by the target whose light changes most") {
    Site site = make_garden();
    const char* winter = "winter: season=bare";
    const VariantComparison comparison = compare(site, {winter});
    double most = 0;
    std::string expected;
    for (const char* id : {"gable", "crown", "lawn"}) {
        const double was = find_target(comparison.variants[0].figures, id)->mean_lx;
        const double is = find_target(comparison.variants[1].figures, id)->mean_lx;
        if (std::abs(is - was) / std::max(is, was) > most) {
            most = std::abs(is - was) / std::max(is, was);
            expected = id;
        }
    }
    CHECK(expected != "gable"); // the first of the site, which the tree's leaves do not shade
    CHECK(comparison.variants[1].foci.front().target == expected);
    CHECK(comparison.focus.target == expected);
    CHECK(compare(site, {winter}, "gable").variants[1].foci.front().target == "gable");
    CHECK(compare(site, {winter, "wall: U1 tilt=30"}).focus.target == "gable");
    site.trees[0].foliage.is_deciduous = false; // nothing changes
    CHECK(compare(site, {winter}).variants[1].foci.front().target == "gable");
}

TEST_CASE("each variant is judged by what it changes") {
    const VariantComparison comparison =
        compare(with_views(make_garden()), {"tree: T1 dimming=0.2", "wall: U1 tilt=30", "less: without T1"});
    REQUIRE(comparison.variants.size() == 4);
    CHECK(comparison.variants[1].foci.front().target == "crown");
    CHECK(comparison.variants[2].foci.front().target == "gable");
    CHECK(comparison.variants[3].foci.front().target == "crown"); // what is taken away was there
    CHECK(comparison.variants[3].foci.front().fixtures.empty());
    const VariantChange tree = find_change(comparison, comparison.variants[1]);
    CHECK(tree.reaches.empty());
    REQUIRE(!tree.sights.empty());
    CHECK(tree.sights[0].after.feature == "crown"); // the target is the tree as a whole
    CHECK(tree.sights[0].after.from.kind == Viewpoint::Kind::view);
    CHECK(find_change(comparison, comparison.variants[2]).reaches.size() == 1);
    // A target that is asked for holds for all.
    for (const ComparedVariant& variant : compare(make_garden(), {"tree: T1 dimming=0.2"}, "lawn").variants)
        CHECK(variant.foci.front().target == "lawn");
}

TEST_CASE("a variant is judged by every target that its fixtures stand at or whose coverage it changes") {
    const VariantComparison comparison = compare(
        with_views(make_garden()), {"both: U1 tilt=30; T1 dimming=0.02; U2 tilt=9", "tree: without T1"});
    const std::vector<Focus>& both = comparison.variants[1].foci;
    REQUIRE(both.size() >= 2);
    CHECK(both[0].target == "gable");
    CHECK(both[0].fixtures == std::vector<std::string>{"U1", "U2"});
    CHECK(both[1].target == "crown");
    CHECK(both[1].fixtures == std::vector<std::string>{"T1"});
    CHECK(comparison.variants[2].foci.front().target == "crown");
    CHECK(!comparison.variants[2].is_judged_by("gable"));
    for (const ComparedVariant& variant : comparison.variants) {
        for (const TargetChange& target : find_change(comparison, variant).targets)
            CHECK(variant.is_judged_by(target.after.id));
        for (const Focus& focus : variant.foci)
            CHECK(comparison.variants[0].is_judged_by(focus.target));
    }
    for (const Focus& focus : comparison.variants[0].foci)
        if (focus.target == "crown") // of all, as nothing that the other variant changes is left there
            CHECK(focus.fixtures.empty());
    const VariantChange change = find_change(comparison, comparison.variants[1]);
    CHECK(change.reaches.size() == 1); // the tree is told by what is seen of it
    CHECK(std::any_of(change.sights.begin(), change.sights.end(),
                      [](const SightChange& sight) { return sight.after.on == "oak"; }));
    // Two targets in the light of one fixture.
    Site site = make_garden();
    site.targets.push_back({.id = "whole", .on = "front", .level = 10});
    const VariantComparison parts = compare(site, {"brighter: U1 lamp=b"});
    REQUIRE(find_change(parts, parts.variants[1]).targets.size() >= 2);
    CHECK(parts.variants[1].is_judged_by("gable"));
    CHECK(parts.variants[1].is_judged_by("whole"));
    CHECK(find_change(parts, parts.variants[1]).reaches.size() == 1); // the same line
    CHECK(compare(site, {"brighter: U1 lamp=b"}, "gable").variants[1].foci.size() == 1);
}

TEST_CASE("a second target's reach is told where it changes on one line") {
    VariantComparison comparison = make_pair();
    for (ComparedVariant& variant : comparison.variants) {
        variant.foci = {{"all", {}}, {"bay", {}}};
        variant.figures.targets.push_back({.id = "bay", .on = "bay"});
        variant.figures.reaches = {{.fixture = "U1", .on = "wall", .height = 3.0},
                                   {.fixture = "U5", .on = "bay", .height = 3.6},
                                   {.fixture = "U6", .on = "bay", .height = 3.4}};
    }
    const auto count = [&](double height) {
        comparison.variants[1].figures.reaches[1].height = height;
        return find_change(comparison, comparison.variants[1]).reaches.size();
    };
    CHECK(count(3.6) == 1); // the first, as before
    CHECK(count(3.7) == 1); // nobody sees 10 cm
    CHECK(count(4.2) == 2);
    CHECK(count(2.9) == 1); // now U6 lights highest, which is no change of either's
}

TEST_CASE("the reach of a target is told on the lines that meet it, where there are any") {
    Site site = make_garden(); // U1 stands before the gable, U2 beside it
    site.fixtures[0].dimming = 0.05;
    const VariantComparison comparison =
        compare(site, {"both: U1 lamp=b; U2 lamp=b tilt=2", "beside: U2 lamp=b tilt=2"});
    Focus whole = comparison.variants[1].foci.front();
    CHECK(whole.is_target_alone);
    whole.is_target_alone = false;
    CHECK(find_reach(comparison.variants[1].figures, whole)->fixture == "U2"); // the wall's highest
    const VariantChange both = find_change(comparison, comparison.variants[1]);
    REQUIRE(both.reaches.size() == 1);
    CHECK(both.reaches[0].before.fixture == "U1");
    CHECK(both.reaches[0].after.fixture == "U1");
    CHECK(!comparison.variants[2].foci.front().is_target_alone);
    const VariantChange beside = find_change(comparison, comparison.variants[2]);
    REQUIRE(beside.reaches.size() == 1);
    CHECK(beside.reaches[0].after.fixture == "U2");
    CHECK(comparison.focus.is_target_alone);
    CHECK(comparison.variants[0].foci.front().is_target_alone);
    CHECK(comparison.variants[0].foci.front().fixtures == std::vector<std::string>{"U1", "U2"});
}

TEST_CASE("a site without targets is given one on whatever fixtures stand at") {
    Site site = make_garden();
    CHECK(with_targets(site).targets == site.targets);
    site.targets.clear();
    const Site made = with_targets(site);
    REQUIRE(made.targets.size() == 2);
    CHECK(made.targets[0].on == "front");
    CHECK(made.targets[1].on == "oak");
    // The first of the usual levels that is about a foot-candle.
    CHECK(made.targets[0].level == doctest::Approx(lux_per_footcandle));
    site.levels = {3, 20};
    CHECK(with_targets(site).targets[0].level == 20);
}

TEST_CASE("the target of a study is the one that its fixtures stand before") {
    Site site = make_garden();
    site.targets.push_back({.id = "right", .on = "front", .along = std::array{6.0, 8.0}, .level = 5});
    site.targets.push_back({.id = "whole", .on = "front", .level = 5});
    const auto target = [&](std::vector<std::string> fixtures) {
        return choose_focus(site, "", fixtures).target;
    };
    CHECK(target({"U1"}) == "gable"); // at 4 m, where the gable goes from 2 to 6
    CHECK(target({"U2"}) == "right"); // at 6.5 m
    CHECK(target({"T1"}) == "crown");
    CHECK(target({}) == "gable");
    site.fixtures[0].along = 1;
    CHECK(target({"U1"}) == "whole");
    CHECK(choose_focus(site, "lawn", {"U1"}).target == "lawn");
    CHECK(choose_focus(site, "lawn", {"U1"}).fixtures == std::vector<std::string>{"U1"});
    CHECK(problems_of([&] { choose_focus(site, "law", {}); }) ==
          "error: there is no target \"law\"; did you mean \"lawn\"?");
    CHECK(problems_of([&] { choose_focus(site, "zzzzzzzz", {}); }) ==
          "error: there is no target \"zzzzzzzz\"; known are gable, crown, lawn, right, whole");
    site.targets.clear();
    CHECK(choose_focus(site, "", {}).target.empty());
}

TEST_CASE("comparisons at fault") {
    const Site site = make_garden();
    const auto message = [&](const std::vector<const char*>& texts) {
        return problems_of([&] { compare(site, texts); });
    };
    CHECK(message({}) ==
          "error: there is nothing to compare the site with; give \"variants\" in the site file, "
          "or --variant \"NAME: U1 lamp=...\"");
    CHECK(message({"x: U1 tilt=4", "x: U1 tilt=5"}) ==
          "error: two variants are named \"x\"; give each a name of its own");
    CHECK(message({"x: U1 tilt=200"}) ==
          "error: as variant \"x\" has it, fixtures[0].tilt (U1): 200° is out of range; "
          "it must be 0° to 180°");
}

TEST_CASE("fixtures that a variant adds belong to the focus, each once") {
    const Site site = make_garden();
    const VariantComparison comparison =
        compare(site, {"more: add U9 like U1; U2 tilt=5", "again: U2 tilt=9; T1 dimming=0.4"}, "gable");
    CHECK(comparison.focus.fixtures == std::vector<std::string>{"U2", "U9", "T1"});
    CHECK(comparison.variants[1].figures.watts == 12 + 4); // another lamp a
    CHECK(comparison.variants[1].site.network == std::nullopt);
}

TEST_CASE("variants are lit one after the other, and that is told") {
    const Site site = make_row();
    std::vector<Variant> variants;
    for (const char* text : {"a: U1 tilt=4", "b: U1 tilt=5", "c: U1 tilt=6"})
        variants.push_back(read_variant(text, site));
    Workbench bench(".", {.is_direct_only = true});
    std::vector<double> told;
    compare_variants(site, variants, "", bench, ".", [&](double share) { told.push_back(share); });
    CHECK(std::is_sorted(told.begin(), told.end()));
    for (const double begun : {0.0, 0.25, 0.5, 0.75}) // four with the site as drawn
        CHECK(std::count(told.begin(), told.end(), begun) >= 1);
    CHECK(told.back() <= 1);
}
