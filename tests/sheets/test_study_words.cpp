// Every sentence of studies, from figures given by hand.

#include <algorithm>
#include <doctest/doctest.h>

#include "duskcast/sheets/study_words.hpp"
#include "study_figures.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// The site as drawn and one variant, "taller".
VariantComparison make_pair(const Figures& before, const Figures& after) {
    VariantComparison comparison{.focus = {"gable", {}}};
    comparison.variants.push_back({.id = "as-drawn", .name = "as drawn", .site = make_metric_site()});
    comparison.variants.push_back({.id = "taller", .name = "taller", .site = make_metric_site()});
    comparison.variants[0].figures = before;
    comparison.variants[1].figures = after;
    for (ComparedVariant& variant : comparison.variants)
        variant.foci = {comparison.focus};
    return comparison;
}

using Lines = std::vector<std::string>;

} // namespace

TEST_CASE("a quantity is printed with its unit, as a difference with its sign") {
    Site site = make_metric_site();
    CHECK(print_quantity(site, Quantity::reach, 4.25) == "4.25 m");
    CHECK(print_quantity(site, Quantity::coverage, 0.613) == "61.3 %");
    CHECK(print_quantity(site, Quantity::spill, -0.05, true) == "-5.0 %");
    CHECK(print_quantity(site, Quantity::mean, 12) == "12 lx");
    CHECK(print_quantity(site, Quantity::uniformity, 2.5) == "2.5 : 1");
    CHECK(print_quantity(site, Quantity::hot_spot, 3, true) == "+3 : 1");
    CHECK(print_quantity(site, Quantity::lumens, 1250) == "1,250 lm");
    CHECK(print_quantity(site, Quantity::watts, 7.5) == "7.5 W");
    CHECK(print_quantity(site, Quantity::price, 240) == "240");
    site.catalogue.currency = "USD";
    CHECK(print_quantity(site, Quantity::price, 240) == "240 USD");
    site.units = LengthUnit::foot;
    site.light = LightUnit::footcandle;
    CHECK(print_quantity(site, Quantity::reach, 13.5 * 0.3048) == "13 ft 6 in");
    CHECK(print_quantity(site, Quantity::mean, lux_per_footcandle) == "1 fc");
}

TEST_CASE("charts name a quantity with the unit that its values are shown in") {
    Site site = make_metric_site();
    CHECK(title_of(site, Quantity::reach) == "reach, m");
    CHECK(title_of(site, Quantity::mean) == "mean light, lx");
    CHECK(title_of(site, Quantity::coverage) == "coverage, %");
    CHECK(title_of(site, Quantity::uniformity) == "uniformity (mean : min)");
    CHECK(shown_value(site, Quantity::coverage, 0.4) == doctest::Approx(40));
    CHECK(shown_value(site, Quantity::watts, 12) == 12);
    site.units = LengthUnit::foot;
    site.light = LightUnit::footcandle;
    CHECK(title_of(site, Quantity::reach) == "reach, ft");
    CHECK(shown_value(site, Quantity::reach, 3.048) == doctest::Approx(10));
    CHECK(shown_value(site, Quantity::mean, 21.5278) == doctest::Approx(2).epsilon(1e-5));
}

TEST_CASE("every sentence of a verdict") {
    const auto verdict = [](const Figures& before, const Figures& after) {
        return print_verdict(make_pair(before, after));
    };
    const Figures drawn = make_gable_figures(0.4, 3);
    CHECK(verdict(drawn, drawn) == Lines{"taller: 10 lx reaches about 3 m on the line of U1, as before.",
                                         "The targets are covered as before."});
    CHECK(verdict(drawn, make_gable_figures(0.4, 3.02))[0] ==
          "taller: 10 lx reaches about 3 m on the line of U1, as before."); // it reads the same
    CHECK(
        verdict(drawn, make_gable_figures(0.6, 4, 12)) ==
        Lines{
            "taller: lifts 10 lx from about 3 m to about 4 m on the line of U1; it does not reach the top at "
            "6.00 m.",
            "It covers 60 % of gable at 10 lx instead of 40 % and so meets the target.",
            "It takes 12 W instead of 10 W."});
    CHECK(verdict(make_gable_figures(0.6, 4), make_gable_figures(0.4, 2))[0] ==
          "taller: brings down 10 lx from about 4 m to about 2 m on the line of U1; it does not reach the "
          "top at "
          "6.00 m.");
    CHECK(verdict(make_gable_figures(0.6, 4), make_gable_figures(0.4, 2))[1] ==
          "It covers 40 % of gable at 10 lx instead of 60 % and so misses the target.");
    Figures top = make_gable_figures(0.4, 6);
    top.reaches[0].is_to_top = true;
    CHECK(verdict(drawn, top)[0] ==
          "taller: lifts 10 lx from about 3 m to about 6 m on the line of U1, the top there.");
    CHECK(verdict(top, top)[0] == "taller: 10 lx reaches the top, 6.00 m on the line of U1, as before.");
    Figures low_edge = top; // of a rake, on another line
    low_edge.reaches[0].height = low_edge.reaches[0].top = 4;
    CHECK(verdict(low_edge, top)[0] ==
          "taller: lifts 10 lx from about 4 m to about 6 m on the line of U1, the top there.");
    Figures dark = make_gable_figures(0.4, 0);
    dark.reaches[0].height.reset();
    CHECK(verdict(dark, drawn)[0].starts_with("taller: lifts 10 lx from nowhere to about 3 m"));
    CHECK(verdict(drawn, dark)[0].starts_with("taller: brings down 10 lx from about 3 m to nowhere"));
    Figures crown = drawn, higher = make_gable_figures(0.4, 5);
    crown.reaches[0].fixture = higher.reaches[0].fixture = "";
    CHECK(verdict(crown, higher)[0] ==
          "taller: lifts 10 lx from about 3 m to about 5 m; it does not reach the top at 6.00 m.");
    Figures aimed = drawn;
    aimed.spill.target_lm = 700;
    CHECK(verdict(drawn, aimed).back() == "30 % of its lumens miss the targets instead of 50 %.");
    Figures priced = drawn, cheaper = make_gable_figures(0.4, 3, 8);
    priced.price = 300;
    cheaper.price = 250;
    CHECK(verdict(priced, cheaper).back() == "It takes 8 W instead of 10 W and costs 250 instead of 300.");
    cheaper.watts = 10;
    CHECK(verdict(priced, cheaper).back() == "It costs 250 instead of 300.");
    Figures two = drawn, both = make_gable_figures(0.6, 3);
    two.targets.push_back({.id = "wall", .on = "front", .level_lx = 5, .share = 0.2});
    both.targets.push_back({.id = "wall", .on = "front", .level_lx = 5, .share = 0.3});
    CHECK(verdict(two, both)[1] ==
          "It covers 60 % of gable at 10 lx instead of 40 % and so meets the target, 30 % "
          "of wall at 5 lx instead of 20 %.");
    both.targets[1].share = 0.206; // 21 %
    CHECK(verdict(two, both)[1].ends_with("21 % of wall at 5 lx instead of 20 %."));
    two.targets[1].share = 0.2055; // 21 % too
    both.targets[1].share = 0.2149;
    CHECK(verdict(two, both)[1] ==
          "It covers 60 % of gable at 10 lx instead of 40 % and so meets the target.");
    aimed.spill.target_lm = 504; // 49.6 %
    CHECK(verdict(drawn, aimed).back() == "The targets are covered as before.");
}

TEST_CASE("crowns are told from every view") {
    VariantComparison comparison = make_pair(make_gable_figures(0.4, 3), make_gable_figures(0.4, 3));
    for (ComparedVariant& variant : comparison.variants) {
        variant.figures.targets[0].on = "oak";
        variant.site.trees = {{.id = "oak"}};
        for (const char* view : {"gate", "porch", "street"}) {
            SeenFeature seen{.feature = "oak",
                             .is_tree = true,
                             .on = "oak",
                             .from = {Viewpoint::Kind::view, view},
                             .sighting = Sighting::lit};
            seen.is_upright = true;
            seen.high = seen.seen_to = 9;
            seen.lit = {.all = {{0, 5}}, .main = {0, 5}};
            seen.faint = seen.lit;
            variant.lit.report.seen.push_back(seen);
        }
    }
    std::vector<SeenFeature>& seen = comparison.variants[1].lit.report.seen;
    seen[0].faint.main.from = 1; // another light, in the same words
    CHECK(print_verdict(comparison)[0] == "taller: oak, seen from gate: lit to about 5 m of 9 m, as before; "
                                          "from porch: the same; from street: the same.");
    seen[1].lit = {.all = {{0, 6}}, .main = {0, 6}};
    seen[1].faint = seen[1].lit;
    seen[2].sighting = Sighting::hidden;
    CHECK(print_verdict(comparison)[0] ==
          "taller: oak, seen from gate: lit to about 5 m of 9 m, as before; from porch: lit to about 6 m of "
          "9 m "
          "(was lit to about 5 m of 9 m); from street: hidden from there (was lit to about 5 m of 9 m).");
    // What is out of sight before and after is no news; features in turn make a sentence each.
    for (ComparedVariant& variant : comparison.variants) {
        std::vector<SeenFeature>& sights = variant.lit.report.seen;
        sights[2].sighting = Sighting::out_of_picture;
        SeenFeature peak = sights[0];
        peak.feature = "peak";
        peak.on = "front";
        peak.is_tree = false;
        sights.insert(sights.begin() + 1, peak);
    }
    seen[1].lit = {.all = {{0, 7}}, .main = {0, 7}};
    seen[1].faint = seen[1].lit;
    CHECK(print_verdict(comparison)[0] ==
          "taller: oak, seen from gate: lit to about 5 m of 9 m, as before; from porch: lit to about 6 m of "
          "9 m (was lit to about 5 m of 9 m).");
    CHECK(print_verdict(comparison)[1] ==
          "taller: peak, seen from gate: lit to about 7 m of 9 m (was lit to about 5 m of 9 m).");
}

TEST_CASE("each variant has a table of what it is judged by") {
    VariantComparison comparison = make_pair(make_gable_figures(0.4, 3), make_gable_figures(0.6, 4));
    comparison.variants.push_back(comparison.variants[1]);
    comparison.variants[2].name = "crown lamp";
    comparison.variants[2].foci = {{"crown", {}}};
    comparison.variants[0].foci.push_back({"crown", {}});
    const std::string text = print_comparison(comparison);
    const std::size_t gable = text.find("on gable"), crown = text.find("on crown");
    REQUIRE(gable != std::string::npos);
    REQUIRE(crown != std::string::npos);
    CHECK(gable < text.find("\ntaller "));
    CHECK(text.find("\ntaller ") < crown);
    CHECK(crown < text.find("\ncrown lamp "));
    CHECK(text.find("\nas drawn ") < text.find("\nas drawn ", crown)); // in both

    comparison.variants[2].foci.push_back({"gable", {}});
    const std::string both = print_comparison(comparison);
    CHECK(both.find("\ncrown lamp ") < both.find("on crown"));
    CHECK(both.find("\ncrown lamp ", both.find("on crown")) != std::string::npos);
}

TEST_CASE("a table says whose reach it has") {
    VariantComparison comparison = make_pair(make_gable_figures(0.4, 3), make_gable_figures(0.6, 4));
    CHECK(print_comparison(comparison)
              .find("Reach: the greatest height with 10 lx on front, by the fixture that lights highest.") !=
          std::string::npos);
    comparison.variants[0].foci.front().is_target_alone = true;
    for (ComparedVariant& variant : comparison.variants)
        variant.figures.targets[0].stretch = {{4, 6}};
    CHECK(print_comparison(comparison).find("Reach: ") == std::string::npos); // no line meets it
    comparison.variants[1].figures.reaches[0].along = 5;
    const std::string alone = print_comparison(comparison);
    CHECK(alone.find("Reach: the greatest height with 10 lx on gable, by the fixture that lights highest.") !=
          std::string::npos);
    const std::string drawn = alone.substr(alone.find("\nas drawn") + 9);
    CHECK(drawn[drawn.find_first_not_of(' ')] == '-');
}

TEST_CASE("targets without a table are named") {
    VariantComparison comparison = make_pair(make_gable_figures(0.4, 3), make_gable_figures(0.6, 4));
    std::vector<Target>& targets = comparison.variants[0].site.targets;
    targets = {{.id = "gable"}};
    CHECK(print_comparison(comparison).find("alone") == std::string::npos);
    targets = {{.id = "porch"}, {.id = "gable"}, {.id = "lawn"}};
    CHECK(print_comparison(comparison)
              .ends_with("Coverage, mean, uniformity and hot spot are of gable alone; whether the coverage "
                         "of porch, lawn "
                         "changes is said below.\n"));
    comparison.variants.push_back(comparison.variants[1]);
    comparison.variants[0].foci.push_back({"porch", {}});
    CHECK(print_comparison(comparison)
              .ends_with("Coverage, mean, uniformity and hot spot are of the target that heads the table; "
                         "whether the coverage "
                         "of lawn changes is said below.\n"));
}

TEST_CASE("what a sweep finds, the one to take first") {
    const Site site = make_metric_site();
    // Half is wanted: only 0° meets it.
    CHECK(print_findings(site, make_tilt_sweep({0.5, 0.495, 0.3}, {2, 4, 3})) ==
          Lines{"Recommended: tilt 0°: reach 2.00 m (as drawn 3.00 m), coverage 50.0 % (as drawn 30.0 %); of "
                "what "
                "meets the target gable, it reaches highest.",
                "Best reach at tilt 10°: 4.00 m, with no other value within 2 %; as drawn it is 3.00 m.",
                "Best coverage at tilt 0°: 50.0 %, within 2 % from 0° to 10°; as drawn it is 30.0 %.",
                "Going from tilt 20° to 10° adds 1.00 m of reach and 19.5 % of coverage of gable."});
    CHECK(print_findings(site, make_tilt_sweep({0.4, 0.3, 0.2}, {2, 3, 4})).front() ==
          "Recommended: tilt 0°: reach 2.00 m (as drawn 3.00 m), coverage 40.0 % (as drawn 30.0 %); nothing "
          "tried "
          "meets the target gable, and this comes nearest.");
    CHECK(print_findings(site, make_tilt_sweep({0.5, 0.4, 0.2}, {2, 3, 4})).back() ==
          "Going from tilt 0° to 20° adds 2.00 m of reach and costs 30.0 % of coverage of gable.");
    CHECK(print_findings(site, make_tilt_sweep({0.5, 0.5}, {3, 3})) ==
          Lines{"Nothing of gable depends on tilt here: it may be chosen freely."});
    Sweep lamps = make_tilt_sweep({0.5, 0.4}, {2, 3});
    lamps.plan.ranges[0] = {Knob::lamp, {{Knob::lamp, 0, "a"}, {Knob::lamp, 0, "b"}}};
    const Lines said = print_findings(site, lamps);
    REQUIRE(said.size() == 3);
    CHECK(said[1] == "Best reach at lamp b: 3.00 m; as drawn it is 3.00 m.");
    CHECK(said[2] == "Best coverage at lamp a: 50.0 %; as drawn it is 30.0 %.");
}

TEST_CASE("what is the whole site's is no finding about some of its fixtures") {
    Sweep sweep = make_tilt_sweep({0.5, 0.4}, {2, 3});
    sweep.figures[1].spill.target_lm = 900;
    const auto tells_spill = [&] {
        const Lines said = print_findings(make_metric_site(), sweep);
        return std::any_of(said.begin(), said.end(),
                           [](const std::string& line) { return line.starts_with("Best spill"); });
    };
    CHECK(!tells_spill());
    sweep.plan.is_of_all = true;
    CHECK(tells_spill());
    sweep.figures[1].spill.target_lm = 505; // moves by 1 % of itself
    CHECK(!tells_spill());
}

TEST_CASE("a long sweep is shown in evenly chosen rows") {
    std::vector<double> many(100, 0.5);
    const std::string table = print_sweep_table(make_metric_site(), make_tilt_sweep(many, many));
    CHECK(table.starts_with("of gable"));
    CHECK(std::count(table.begin(), table.end(), '\n') == 1 + 1 + 34 + 1);
    CHECK(table.ends_with("(one row in 3 of 100; --out writes all of them to sweep.csv)\n"));
    const std::string brief = print_sweep_table(make_metric_site(), make_tilt_sweep({0.5}, {2}));
    CHECK(std::count(brief.begin(), brief.end(), '\n') == 3);
    CHECK(brief.find("price") == std::string::npos); // nothing has one
    const std::string compared =
        print_comparison(make_pair(make_gable_figures(0.4, 3), make_gable_figures(0.5, 4)));
    CHECK(compared.starts_with("on gable"));
    CHECK(compared.find("\ntaller ") != std::string::npos);
    CHECK(compared.find("50.0 %") != std::string::npos);
}

TEST_CASE("what a search says") {
    const Site site = make_metric_site();
    const Freedom freedom{.fixtures = {"U1"}, .knobs = {{Knob::tilt, 0, 0.5}}};
    Wish wish{.focus = {"gable", {}}};
    DesignSearch search{.tried = 120, .is_met = true};
    search.best = {
        .count = 2, .lamp = "a", .values = {radians_from_degrees(6)}, .figures = make_gable_figures(0.6, 4)};
    search.front = {search.best};
    CHECK(print_search(site, freedom, wish, search) ==
          Lines{"Best of 120 designs tried, by coverage: 2 x a, tilt 6°.",
                "  On gable: coverage 60.0 %, reach 4.00 m, hot spot 0 : 1, spill 50.0 %, watts 10 W."});
    search.front.push_back(
        {.count = 1, .lamp = "b", .values = {0}, .figures = make_gable_figures(0.55, 3, 5)});
    search.rules = {
        {"setback", "12 in back", true, 0.6}, {"upright", "upright", false, 0.5}, {"x", "bright", false, {}}};
    search.front[0].kept = search.best.kept = 0.4;
    search.front[1].kept = 0.5;
    search.most_robust = 1;
    Lines lines = print_search(site, freedom, wish, search);
    CHECK(lines[2] == "What else may be traded:");
    CHECK(lines[3].starts_with("  2. 1 x b, tilt 0°: coverage 55.0 %, reach 3.00 m"));
    CHECK(lines[4] ==
          "Most robust is design 2: nine installations in ten keep 50.0 % of coverage or better by "
          "direct light; the best on paper keeps 40.0 %.");
    CHECK(lines[5] == "The rule \"12 in back\" holds here.");
    CHECK(lines[6] ==
          "The rule \"upright\" is not the best here: kept, coverage is 50.0 % instead of 60.0 %.");
    CHECK(lines[7] == "The rule \"bright\" cannot be kept within these ranges.");
    search.most_robust = 0;
    CHECK(print_search(site, freedom, wish, search)[4].ends_with(
        "by direct light, which is also the best on paper."));
}

TEST_CASE("what a search says that meets nothing") {
    const Site site = make_metric_site();
    Wish wish{.focus = {"gable", {}}};
    wish.most_spill = 0.4;
    wish.most_watts = 8;
    wish.most_candela = 100;
    wish.most_uniformity = 2;
    DesignSearch search{.tried = 10};
    search.best = {.count = 1, .lamp = "a", .figures = make_gable_figures(0.3, 2)};
    search.best.figures.candela_to_eyes = 250;
    search.best.figures.targets[0].mean_to_min = 2.5;
    search.front = {search.best};
    const Lines lines = print_search(site, {}, wish, search);
    CHECK(Lines(lines.begin(), lines.end() - 1) ==
          Lines{"No design of the 10 tried meets everything asked for. The nearest: 1 x a.",
                "  gable comes to 30 % at 10 lx instead of 50 %.", "  spill comes to 50.0 %, over 40.0 %.",
                "  watts come to 10 W, over 8 W.", "  uniformity comes to 2.5 : 1, over 2 : 1.",
                "  candela towards an eye come to 250, over 100."});
    // Another target that was met as drawn, and where a spike cannot stand.
    search.best.figures = make_gable_figures(0.6, 2);
    search.best.figures.targets.push_back(
        {.id = "wall", .on = "front", .level_lx = 5, .wanted_share = 0.4, .share = 0.3});
    search.best.figures.targets.push_back({.id = "missed anyway", .on = "front"});
    search.targets = {"gable", "wall"};
    search.best.off_beds = {"U1", "U2"};
    const Lines others = print_search(site, {}, {.focus = {"gable", {}}}, search);
    REQUIRE(others.size() == 4);
    CHECK(others[1] == "  wall comes to 30 % at 5 lx instead of 40 %.");
    CHECK(others[2] == "  U1, U2 would stand on a spike in lawn or paving: draw a bed there, or mount it "
                       "otherwise; --in-lawn allows the lawn.");
    CHECK(print_search(site, {.may_stand_in_lawn = true}, {.focus = {"gable", {}}}, search)[2] ==
          "  U1, U2 would stand on a spike in paving; mount it otherwise, or search elsewhere.");
}

TEST_CASE("contributions, the greatest first") {
    Contributions made;
    made.targets = {{"gable",
                     10,
                     0.5,
                     0.6,
                     {{"U1", 0.3, 0.55, false}, {"U2", 0.7, 0.2, true}, {"U3", 0.0004, 0.6, false}}}};
    Lines lines = print_contributions(make_metric_site(), made);
    REQUIRE(lines.size() == 4); // nothing of U3
    CHECK(lines[0] == "gable: 60 % of it at 10 lx (50 % wanted)");
    CHECK(lines[1] == "  U2              70 % of its light; without it   20 % stays at the level, and the "
                      "target is missed");
    CHECK(lines[2] == "  U1              30 % of its light; without it   55 % stays at the level");
    CHECK(lines[3] == "Every fixture that serves a target adds to it. Where its line does not say that the "
                      "target is missed, what is met stays met without it.");
    made.needless = {"U3", "U4"};
    CHECK(print_contributions(make_metric_site(), made).back() ==
          "Not missed by any target, each by itself: U3, U4. With any one of these off, what is met stays "
          "met and "
          "no target loses 1 %.");
    made.without_target = {"P1", "P2"};
    CHECK(print_contributions(make_metric_site(), made).back() ==
          "No target tells whether these are needed: P1, P2.");
    CHECK(print_contributions(make_metric_site(), {}).empty());
}

TEST_CASE("tolerances with what matters most") {
    ToleranceReport report{.samples = 64,
                           .is_direct_only = true,
                           .targets = 3,
                           .met_as_drawn = 2,
                           .reached_share = 0.75,
                           .any_reached_share = 0.25};
    report.figures = {{Quantity::coverage,
                       "gable",
                       0.5,
                       0.45,
                       0.5,
                       0.52,
                       0.02,
                       {{"tilt", 0.6}, {"lumens", 0.2}, {"dirt", 0.1}}},
                      {Quantity::mean, "gable", 12, 11, 12, 13, 1, {{"tilt", 0.01}}}};
    const Lines lines = print_tolerance(make_metric_site(), report);
    REQUIRE(lines.size() == 4);
    CHECK(lines[0].starts_with("by direct light"));
    CHECK(lines[1] == "coverage of gable                     50.0 %          45.0 %          52.0 %   tilt "
                      "(60 %), lumens (20 %)");
    CHECK(lines[0].ends_with("   what matters most (its share)"));
    CHECK(lines[2].ends_with("   nothing by itself"));
    CHECK(lines[3] ==
          "Of 64 installations tried, each off by up to these tolerances, 75 % still meet every target "
          "that is met as drawn (2 of 3).");
    report.met_as_drawn = 0;
    CHECK(print_tolerance(make_metric_site(), report)[3] ==
          "As drawn no target is met; of 64 installations tried, each off by up to these tolerances, 25 % "
          "meet one "
          "or more.");
    report.is_direct_only = false;
    CHECK(print_tolerance(make_metric_site(), report)[0].starts_with("   "));
    Tolerances tolerances{.setback = 0.05, .dirt = 0.08};
    CHECK(print_tolerances(make_metric_site(), tolerances) ==
          "Tolerances, either way: tilt 3\u00b0, azimuth 5\u00b0, setback 0.05 m, lumens 10 %, voltage 5 % "
          "(where light follows it), leaf density 20 %. Dirt takes up to 8 % of a lens's light more or less "
          "than the light-loss factors have it, and never less than none.");
    tolerances.dirt = 0;
    CHECK(print_tolerances(make_metric_site(), tolerances).ends_with("leaf density 20 %."));
}
