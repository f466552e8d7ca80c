// The JSON of studies: keys that scripts rely on, and the figures behind them.

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <set>

#include "duskcast/base/version.hpp"
#include "duskcast/sheets/study_json.hpp"
#include "duskcast/sheets/study_words.hpp"
#include "study_figures.hpp"

using namespace duskcast;
using namespace duskcast::test;
using Json = nlohmann::ordered_json;

namespace {

std::set<std::string> set_of_keys(const Json& object) {
    std::set<std::string> keys;
    for (const auto& [key, value] : object.items())
        keys.insert(key);
    return keys;
}

using Keys = std::set<std::string>;

/// Keys of one variant's figures.
const Keys figure_keys{"reach",  "coverage", "mean",  "evenness", "hot_spot", "spill",
                       "lumens", "watts",    "price", "targets",  "reaches",  "lumens_on"};

Keys with(Keys keys, const Keys& more) {
    keys.insert(more.begin(), more.end());
    return keys;
}

} // namespace

TEST_CASE("the JSON of a comparison holds every variant's figures") {
    VariantComparison comparison{.focus = {"gable", {"U1"}}};
    comparison.variants.push_back({.id = "as-drawn", .name = "as drawn", .site = make_metric_site()});
    comparison.variants.push_back({.id = "x", .name = "warmer & \"higher\"", .site = make_metric_site()});
    comparison.variants[0].figures = make_gable_figures(0.4, 3);
    comparison.variants[1].figures = make_gable_figures(0.6, 4, 12.5);
    for (ComparedVariant& variant : comparison.variants)
        variant.foci = {{"gable", {"U1"}}};
    Figures& figures = comparison.variants[1].figures;
    figures.targets[0].mean_lx = 21;
    figures.targets[0].hot_lx = 84;
    figures.targets[0].over_mean = 4;
    figures.targets[0].mean_to_min = 2.5;
    figures.spill = {.emitted_lm = 1000, .target_lm = 600, .other_lm = 200, .ground_lm = 150, .sky_lm = 50};
    figures.price = 240;
    comparison.variants[1].site.trees = {{.id = "oak"}};
    SeenFeature oak{.feature = "oak", .is_tree = true, .on = "oak", .from = {Viewpoint::Kind::view, "gate"}};
    oak.sighting = Sighting::lit;
    oak.lit = {.all = {{2, 5.5}}, .main = {2, 5.5}};
    comparison.variants[1].lit.report.seen = {oak, oak};
    SeenFeature& from_street = comparison.variants[1].lit.report.seen[1];
    from_street.from.view = "street";
    from_street.sighting = Sighting::hidden;
    from_street.lit = {};
    const Json made = Json::parse(print_comparison_json(comparison, "House"));
    CHECK(set_of_keys(made) ==
          Keys{"duskcast", "study", "site", "target", "fixtures", "variants", "by_target", "verdict"});
    CHECK(made["duskcast"] == duskcast_version);
    CHECK(made["study"] == "compare");
    CHECK(made["site"] == "House");
    CHECK(made["target"] == "gable");
    CHECK(made["fixtures"] == Json{"U1"});
    CHECK(made["verdict"] == Json(print_verdict(comparison)));
    REQUIRE(made["variants"].size() == 2);
    for (const Json& variant : made["variants"])
        CHECK(set_of_keys(variant) == with(figure_keys, {"id", "name", "crowns_seen"}));
    const Json& one = made["variants"][1];
    CHECK(one["id"] == "x");
    CHECK(one["name"] == "warmer & \"higher\"");
    CHECK(one["reach"] == 4);
    CHECK(one["coverage"] == 0.6);
    CHECK(one["mean"] == 21);
    CHECK(one["evenness"] == 2.5);
    CHECK(one["hot_spot"] == 4);
    CHECK(one["spill"].get<double>() == doctest::Approx(0.4)); // 400 of 1000 lm miss
    CHECK(one["lumens"] == 1000);
    CHECK(one["watts"] == 12.5);
    CHECK(one["price"] == 240);
    CHECK(one["targets"] ==
          Json::parse(R"([{ "id": "gable", "level_lx": 10.0, "coverage": 0.6, "mean_lx": 21.0,
        "max_lx": 84.0, "reached": true, "mean_to_min": 2.5 }])"));
    CHECK(one["reaches"] ==
          Json::parse(R"([{ "fixture": "U1", "on": "front", "level_lx": 10.0, "height_m": 4.0,
        "to_top": false }])"));
    CHECK(one["lumens_on"] ==
          Json::parse(R"({ "targets": 600.0, "other": 200.0, "ground": 150.0, "sky": 50.0 })"));
    CHECK(one["crowns_seen"] == Json::parse(R"([
        { "tree": "oak", "feature": "oak", "from": "gate", "sighting": "lit", "lit_to_m": 5.5 },
        { "tree": "oak", "feature": "oak", "from": "street", "sighting": "hidden", "lit_to_m": null }])"));
    // Every target that a variant is judged by, with those variants alone.
    const Json& gable = made["by_target"][0];
    CHECK(gable["target"] == "gable");
    CHECK(gable["fixtures"] == Json{"U1"});
    CHECK(gable["variants"][0]["reach"] == 3);
    CHECK(gable["variants"][1] ==
          Json::parse(R"({ "id": "x", "reach": 4.0, "coverage": 0.6, "mean": 21.0, "evenness": 2.5,
        "hot_spot": 4.0 })"));
    for (ComparedVariant& variant : comparison.variants) {
        variant.figures.targets.push_back({.id = "bay", .on = "bay", .share = 0.3});
        variant.figures.reaches.push_back({.fixture = "U5", .on = "bay", .height = 2.0});
    }
    comparison.variants.push_back(comparison.variants[1]);
    comparison.variants[2].id = "y";
    comparison.variants[2].foci = {{"bay", {"U5"}}};
    comparison.variants[0].foci.push_back({"bay", {"U5"}});
    const Json two = Json::parse(print_comparison_json(comparison, "House"))["by_target"];
    REQUIRE(two.size() == 2);
    CHECK(two[0]["variants"].size() == 2);
    CHECK(two[1]["target"] == "bay");
    REQUIRE(two[1]["variants"].size() == 2);
    CHECK(two[1]["variants"][1]["id"] == "y");
    CHECK(two[1]["variants"][1]["reach"] == 2);
    CHECK(two[1]["variants"][1]["coverage"] == 0.3);
    // What is not known is null, not nothing.
    CHECK(made["variants"][0]["price"].is_null());
    CHECK(made["variants"][0]["evenness"].is_null());
    CHECK(made["variants"][0]["targets"][0]["mean_to_min"].is_null());
}

TEST_CASE("the JSON of a search holds the front, its settings in the units that their keys name") {
    const Freedom freedom{.fixtures = {"U1"},
                          .knobs = {{Knob::tilt, 0, 1}, {Knob::setback, 0, 1}, {Knob::dimming, 0, 1}}};
    const Wish wish{.focus = {"gable", {}}, .prefer = Quantity::uniformity};
    DesignSearch search{.tried = 321, .is_met = true};
    search.best = {.count = 3,
                   .lamp = "a",
                   .values = {radians_from_degrees(12), 0.45, 0.7},
                   .figures = make_gable_figures(0.6, 4),
                   .shortfall = 0.125};
    search.front = {search.best, search.best};
    search.front[1].kept = 0.25;
    search.rules = {{"setback", "12 to 18 in back", true, 0.6}, {"brighter", "the brighter lamp", false, {}}};
    const Json made = Json::parse(print_search_json(make_metric_site(), freedom, wish, search));
    CHECK(set_of_keys(made) ==
          Keys{"duskcast", "study", "site", "target", "prefer", "met", "tried", "designs", "rules"});
    CHECK(made["study"] == "suggest");
    CHECK(made["prefer"] == "evenness"); // files keep the key
    CHECK(made["met"] == true);
    CHECK(made["tried"] == 321);
    REQUIRE(made["designs"].size() == 2);
    const Json& design = made["designs"][0];
    CHECK(set_of_keys(design) ==
          with(figure_keys, {"count", "lamp", "tilt_deg", "setback_m", "dimming", "shortfall"}));
    CHECK(design["tilt_deg"].get<double>() == doctest::Approx(12));
    CHECK(design["setback_m"] == 0.45);
    CHECK(design["dimming"] == 0.7);
    CHECK(design["count"] == 3);
    CHECK(design["shortfall"] == 0.125);
    CHECK(made["designs"][1]["trusted"] == 0.25);
    CHECK(made["rules"] == Json::parse(R"([
        { "name": "setback", "rule": "12 to 18 in back", "kept": true, "best_keeping": 0.6 },
        { "name": "brighter", "rule": "the brighter lamp", "kept": false, "best_keeping": null }])"));
}

TEST_CASE("the JSON of contributions and tolerances") {
    Contributions shares;
    shares.targets = {{"gable", 10, 0.5, 0.6, {{"U1", 0.3, 0.55, false}, {"U2", 0.7, 0.2, true}}}};
    shares.needless = {"U9"};
    shares.without_target = {"P1"};
    CHECK(Json::parse(print_contributions_json(make_metric_site(), shares)) ==
          Json{{"duskcast", duskcast_version},
               {"study", "contribution"},
               {"site", "House"},
               {"targets", Json::parse(R"([{ "id": "gable", "level_lx": 10.0, "coverage": 0.6, "wanted": 0.5,
                   "fixtures": [
                     { "id": "U1", "of_light": 0.3, "coverage_without": 0.55, "decisive": false },
                     { "id": "U2", "of_light": 0.7, "coverage_without": 0.2, "decisive": true }] }])")},
               {"unmissed", {"U9"}},
               {"without_target", {"P1"}}});
    ToleranceReport report{.samples = 64,
                           .is_direct_only = true,
                           .targets = 3,
                           .met_as_drawn = 2,
                           .reached_share = 0.75,
                           .any_reached_share = 0.875};
    report.figures = {{.quantity = Quantity::uniformity,
                       .target = "gable",
                       .nominal = 3,
                       .low = 2,
                       .median = 3.5,
                       .high = 5,
                       .deviation = 0.5,
                       .influences = {{"tilt", 0.6}, {"leaf density", 0.2}}}};
    CHECK(Json::parse(print_tolerance_json(make_metric_site(), report)) ==
          Json{{"duskcast", duskcast_version},
               {"study", "tolerance"},
               {"site", "House"},
               {"samples", 64},
               {"direct_only", true},
               {"still_reached", 0.75},
               {"met_as_drawn", 2},
               {"any_reached", 0.875},
               {"figures",
                Json::parse(R"([{ "quantity": "evenness", "target": "gable", "as_drawn": 3.0, "p10": 2.0,
                   "p50": 3.5, "p90": 5.0, "standard_deviation": 0.5,
                   "influences": { "tilt": 0.6, "leaf density": 0.2 } }])")}});
}
