#include "duskcast/sheets/study_json.hpp"

#include "duskcast/base/json_object.hpp"
#include "duskcast/base/version.hpp"
#include "duskcast/sheets/study_words.hpp"
#include "study_json.hpp"

namespace duskcast {
namespace {

using Json = nlohmann::ordered_json;

Json start_study(const char* study, const std::string& site_name) {
    return json_object({{"duskcast", duskcast_version}, {"study", study}, {"site", site_name}});
}

std::string print_document(const Json& document) {
    return document.dump(2) + "\n";
}

} // namespace

WrittenFigures make_written(const Figures& figures, const Focus& focus) {
    WrittenFigures written{.targets = figures.targets, .reaches = figures.reaches};
    for (const QuantityFacts& facts : list_quantities())
        written.values[static_cast<std::size_t>(facts.quantity)] = value_of(figures, facts.quantity, focus);
    // Two runs are compared by what they have written.
    for (TargetFigures& target : written.targets) {
        target.on.clear();
        target.area = target.wanted_share = target.soft_share = target.over_mean = 0;
    }
    for (ReachFigures& reach : written.reaches)
        reach.top = 0;
    const Spill& spill = figures.spill;
    written.lumens_on = {spill.target_lm, spill.other_lm, spill.ground_lm, spill.sky_lm};
    return written;
}

Json json_of(const WrittenFigures& figures) {
    Json made;
    for (const QuantityFacts& facts : list_quantities())
        made[facts.key] = json_of(figures.values[static_cast<std::size_t>(facts.quantity)]);
    made["targets"] = Json::array();
    for (const TargetFigures& target : figures.targets)
        made["targets"].push_back(json_object({{"id", target.id},
                                               {"level_lx", target.level_lx},
                                               {"coverage", target.share},
                                               {"mean_lx", target.mean_lx},
                                               {"max_lx", target.hot_lx},
                                               {"reached", target.is_reached},
                                               {"mean_to_min", json_of(target.mean_to_min)}}));
    made["reaches"] = Json::array();
    for (const ReachFigures& reach : figures.reaches)
        made["reaches"].push_back(json_object({{"fixture", reach.fixture},
                                               {"on", reach.on},
                                               {"level_lx", reach.level_lx},
                                               {"height_m", json_of(reach.height)},
                                               {"to_top", reach.is_to_top}}));
    const auto& [targets, other, ground, sky] = figures.lumens_on;
    made["lumens_on"] =
        json_object({{"targets", targets}, {"other", other}, {"ground", ground}, {"sky", sky}});
    return made;
}

std::string key_of(Knob knob) {
    return name_of(knob) + (is_length(knob) ? "_m" : is_angle(knob) ? "_deg" : "");
}

std::string print_comparison_json(const VariantComparison& comparison, const std::string& site_name) {
    Json document = start_study("compare", site_name);
    document["target"] = comparison.focus.target;
    document["fixtures"] = comparison.focus.fixtures;
    document["variants"] = Json::array();
    for (const ComparedVariant& variant : comparison.variants) {
        Json one = json_object({{"id", variant.id}, {"name", variant.name}});
        one.update(json_of(make_written(variant.figures, comparison.focus)));
        one["crowns_seen"] = Json::array();
        for (const SeenFeature& seen : variant.lit.report.seen)
            if (find_tree(variant.site, seen.on)) {
                const std::optional<double> lit_to =
                    seen.lit.is_any() ? std::optional(seen.lit.main.to) : std::nullopt;
                one["crowns_seen"].push_back(json_object({{"tree", seen.on},
                                                          {"feature", seen.feature},
                                                          {"from", name_of(seen.from)},
                                                          {"sighting", name_of(seen.sighting)},
                                                          {"lit_to_m", json_of(lit_to)}}));
            }
        document["variants"].push_back(one);
    }
    // What the tables show: each target with the variants that are judged by it.
    document["by_target"] = Json::array();
    for (const JudgedTarget& judged : list_judged(comparison)) {
        Json rows = Json::array();
        for (const ComparedVariant* variant : judged.variants) {
            Json row = json_object({{"id", variant->id}});
            for (const Quantity quantity : {Quantity::reach, Quantity::coverage, Quantity::mean,
                                            Quantity::uniformity, Quantity::hot_spot})
                row[facts_of(quantity).key] = json_of(value_of(variant->figures, quantity, judged.focus));
            rows.push_back(std::move(row));
        }
        document["by_target"].push_back(json_object(
            {{"target", judged.focus.target}, {"fixtures", judged.focus.fixtures}, {"variants", rows}}));
    }
    document["verdict"] = print_verdict(comparison);
    return print_document(document);
}

std::string print_search_json(const Site& site, const Freedom& freedom, const Wish& wish,
                              const DesignSearch& search) {
    Json document = start_study("suggest", site.name);
    document["target"] = wish.focus.target;
    document["prefer"] = facts_of(wish.prefer).key;
    document["met"] = search.is_met;
    document["tried"] = search.tried;
    document["designs"] = Json::array();
    for (const Design& design : search.front) {
        Json one = json_object({{"count", design.count}, {"lamp", design.lamp}});
        for (std::size_t i = 0; i < freedom.knobs.size(); ++i) {
            const Knob knob = freedom.knobs[i].knob;
            one[key_of(knob)] = is_angle(knob) ? degrees_from_radians(design.values[i]) : design.values[i];
        }
        one["shortfall"] = design.shortfall;
        if (design.kept)
            one["trusted"] = *design.kept;
        one.update(json_of(make_written(design.figures, wish.focus)));
        document["designs"].push_back(one);
    }
    for (const RuleFinding& rule : search.rules)
        document["rules"].push_back(json_object({{"name", rule.name},
                                                 {"rule", rule.rule},
                                                 {"kept", rule.is_kept},
                                                 {"best_keeping", json_of(rule.best_keeping)}}));
    return print_document(document);
}

std::string print_contributions_json(const Site& site, const Contributions& contributions) {
    Json document = start_study("contribution", site.name);
    document["targets"] = Json::array();
    for (const TargetContributions& target : contributions.targets) {
        Json one = json_object({{"id", target.target},
                                {"level_lx", target.level_lx},
                                {"coverage", target.share},
                                {"wanted", target.wanted_share}});
        for (const FixtureContribution& fixture : target.fixtures)
            one["fixtures"].push_back(json_object({{"id", fixture.fixture},
                                                   {"of_light", fixture.of_light},
                                                   {"coverage_without", fixture.without},
                                                   {"decisive", fixture.is_decisive}}));
        document["targets"].push_back(one);
    }
    document["unmissed"] = contributions.needless;
    document["without_target"] = contributions.without_target;
    return print_document(document);
}

std::string print_tolerance_json(const Site& site, const ToleranceReport& report) {
    Json document = start_study("tolerance", site.name);
    document["samples"] = report.samples;
    document["direct_only"] = report.is_direct_only;
    document["still_reached"] = report.reached_share;
    document["met_as_drawn"] = report.met_as_drawn;
    document["any_reached"] = report.any_reached_share;
    document["figures"] = Json::array();
    for (const FigureTolerance& one : report.figures) {
        Json row = json_object({{"quantity", facts_of(one.quantity).key},
                                {"target", one.target},
                                {"as_drawn", one.nominal},
                                {"p10", one.low},
                                {"p50", one.median},
                                {"p90", one.high},
                                {"standard_deviation", one.deviation}});
        for (const Influence& influence : one.influences)
            row["influences"][influence.of] = influence.share;
        document["figures"].push_back(row);
    }
    return print_document(document);
}

} // namespace duskcast
