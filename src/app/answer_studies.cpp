// Sweeps, searches, tolerances, variants side by side.

#include <fmt/format.h>

#include "answers.hpp"
#include "duskcast/sheets/study_words.hpp"

namespace duskcast {
namespace {

using Strings = std::vector<std::string>;

WorkbenchOptions read_options(const Json& question) {
    return {.is_direct_only = value_of(question, "is_direct_only", false)};
}

/// Keys of a fixture's object in the site file for a setting; null where no key says it.
Json print_keys(const Setting& setting) {
    if (setting.knob == Knob::beam || setting.knob == Knob::spacing)
        return nullptr;
    if (setting.knob == Knob::lamp)
        return {{name_of(setting.knob), setting.lamp}};
    if (is_length(setting.knob)) // whatever the unit of the file
        return {{name_of(setting.knob), fmt::format("{:.6g} m", setting.value)}};
    return {{name_of(setting.knob),
             is_angle(setting.knob) ? degrees_from_radians(setting.value) : setting.value}};
}

Json print_curve(const Site& site, const Sweep& sweep, const QuantityFacts& facts) {
    Json shown = Json::array(), words = Json::array();
    bool has_any = false;
    for (const std::optional<double>& value : sweep.values(facts.quantity)) {
        has_any = has_any || value;
        shown.push_back(value ? number(shown_value(site, facts.quantity, *value)) : Json(nullptr));
        words.push_back(value ? print_quantity(site, facts.quantity, *value) : "");
    }
    if (!has_any)
        return nullptr;
    const std::optional<double> drawn = value_of(sweep.as_drawn, facts.quantity, sweep.plan.focus);
    const std::optional<Best> best = find_best(sweep, facts.quantity);
    return json_object(
        {{"quantity", facts.word},
         {"title", title_of(site, facts.quantity)},
         {"is_more_better", facts.is_more_better},
         {"values", std::move(shown)},
         {"words", std::move(words)},
         {"as_drawn", drawn ? number(shown_value(site, facts.quantity, *drawn)) : Json(nullptr)},
         {"best", best ? Json(best->variant) : Json(nullptr)}});
}

} // namespace

Json answer_sweep(const Session& session, const Json& question, const Progress& progress) {
    const Site site = with_targets(session.site());
    SweepPlan plan{.fixtures = value_of(question, "fixtures", Strings{})};
    plan.ranges.push_back(read_range(question.at("vary").get<std::string>(), site));
    plan.focus = choose_focus(site, value_of<std::string>(question, "target", ""), plan.fixtures);
    Workbench bench(session.folder(), read_options(question));
    const Sweep sweep = run_sweep(site, bench, session.folder(), std::move(plan), {}, progress);
    Json labels = Json::array(), sets = Json::array(), curves = Json::array();
    for (const Setting& setting : sweep.plan.ranges.front().values) {
        labels.push_back(print_value(site, setting));
        sets.push_back(print_keys(setting));
    }
    for (const QuantityFacts& facts : list_quantities())
        if (Json curve = print_curve(site, sweep, facts); !curve.is_null())
            curves.push_back(std::move(curve));
    return json_object({{"knob", name_of(sweep.plan.ranges.front().knob)},
                        {"target", sweep.plan.focus.target},
                        {"labels", std::move(labels)},
                        {"sets", std::move(sets)},
                        {"curves", std::move(curves)},
                        {"table", print_sweep_table(site, sweep)},
                        {"findings", print_findings(site, sweep)}});
}

Json answer_suggest(const Session& session, const Json& question, const Progress& progress) {
    const Site site = with_targets(session.site());
    Freedom freedom{.fixtures = value_of(question, "fixtures", Strings{})};
    if (freedom.fixtures.empty())
        for (const Fixture& fixture : site.fixtures)
            freedom.fixtures.push_back(fixture.id);
    for (const std::string& text : value_of(question, "vary", Strings{}))
        freedom.knobs.push_back(read_free_knob(text, site));
    freedom.lamps = value_of(question, "lamps", Strings{});
    constexpr int most_fixtures = 60; // as read_count takes
    const int least = count_of(question, "least", 0, 0, most_fixtures);
    freedom.least = static_cast<std::size_t>(least);
    freedom.most = static_cast<std::size_t>(count_of(question, "most", least, 0, most_fixtures));
    freedom.may_stand_in_lawn = value_of(question, "may_stand_in_lawn", false);
    freedom.is_each_by_itself = value_of(question, "is_each_by_itself", false);
    Wish wish{.focus = choose_focus(site, value_of<std::string>(question, "target", ""), freedom.fixtures)};
    wish.focus.fixtures.clear(); // a search may add and leave out
    wish.prefer = read_quantity(value_of<std::string>(question, "prefer", "coverage"));
    wish.most_spill = number_of(question, "most_spill");
    wish.most_watts = number_of(question, "most_watts");
    wish.most_price = number_of(question, "most_price");
    const DesignSearch search =
        search_designs(site, session.folder(), freedom, wish, read_options(question), progress);
    Json designs = Json::array();
    const auto add = [&](const Design& design, bool is_best) {
        // What was not the search's to change is as it was written.
        Site taken = design.site;
        taken.targets = session.file().site.targets;
        taken.variants = session.file().site.variants;
        std::string words =
            print_quantity(site, wish.prefer, value_of(design.figures, wish.prefer, wish.focus).value_or(0)) +
            " " + spoken(wish.prefer);
        for (std::size_t i = 0; i < freedom.knobs.size() && i < design.values.size(); ++i)
            words +=
                fmt::format(", {} {}", spoken(name_of(freedom.knobs[i].knob)),
                            print_value(site, {.knob = freedom.knobs[i].knob, .value = design.values[i]}));
        if (const Lamp* lamp = find_lamp(design.site, design.lamp))
            words += ", " + (lamp->name.empty() ? lamp->id : lamp->name);
        designs.push_back(json_object({{"words", std::move(words)},
                                       {"count", design.count},
                                       {"watts", design.figures.watts},
                                       {"price", number(design.figures.price)},
                                       {"is_best", is_best},
                                       {"text", print_site(taken)}}));
    };
    add(search.best, true);
    for (const Design& design : search.front)
        if (!(design.site == search.best.site))
            add(design, false);
    return json_object({{"is_met", search.is_met},
                        {"tried", search.tried},
                        {"designs", std::move(designs)},
                        {"sentences", print_search(site, freedom, wish, search)}});
}

Json answer_tolerance(const Session& session, const Json& question, const Progress& progress) {
    constexpr int usual_samples = 64, most_samples = 10'000;
    constexpr double most_seed = 9007199254740992; // the last whole number that a page can count to
    const Site site = with_targets(session.site());
    const Focus focus = choose_focus(site, value_of<std::string>(question, "target", ""), {});
    const ToleranceReport report = measure_tolerance(
        site, session.folder(), focus, {},
        static_cast<std::size_t>(count_of(question, "samples", usual_samples, 2, most_samples)),
        static_cast<std::uint64_t>(figure_of(question, "seed", 1, 0, most_seed)),
        value_of(question, "is_direct_only", false), progress);
    Json bars = Json::array();
    for (const FigureTolerance& figure : report.figures) {
        const auto shown = [&](double value) { return number(shown_value(site, figure.quantity, value)); };
        const auto words = [&](double value) { return print_quantity(site, figure.quantity, value); };
        bars.push_back(
            json_object({{"quantity", facts_of(figure.quantity).word},
                         {"title", title_of(site, figure.quantity)},
                         {"target", figure.target},
                         {"as_drawn", shown(figure.nominal)},
                         {"low", shown(figure.low)},
                         {"middle", shown(figure.median)},
                         {"high", shown(figure.high)},
                         {"words", fmt::format("{} to {}", words(figure.low), words(figure.high))}}));
    }
    return json_object({{"bars", std::move(bars)},
                        {"reached_share", report.reached_share},
                        {"sentences", print_tolerance(site, report)}});
}

Json answer_compare(const Session& session, const Json& question, const Progress& progress) {
    const Site site = with_targets(session.file().site);
    const Strings only = value_of(question, "variants", Strings{});
    std::vector<Variant> variants;
    for (const Variant& variant : site.variants)
        if (only.empty() || std::find(only.begin(), only.end(), variant.id) != only.end())
            variants.push_back(variant);
    Workbench bench(session.folder(), read_options(question));
    const VariantComparison comparison = compare_variants(
        site, variants, value_of<std::string>(question, "target", ""), bench, session.folder(), progress);
    Json list = Json::array();
    for (const ComparedVariant& variant : comparison.variants) {
        const Spill& spill = variant.figures.spill;
        list.push_back(json_object(
            {{"id", variant.id},
             {"name", variant.name},
             {"watts", variant.figures.watts},
             {"price", number(variant.figures.price)},
             {"spill_share",
              spill.emitted_lm > 0 ? number(1 - spill.target_lm / spill.emitted_lm) : Json(nullptr)},
             {"sentences",
              &variant == &comparison.variants.front() ? Strings{} : print_verdict(comparison, variant)}}));
    }
    return json_object({{"table", print_comparison(comparison)},
                        {"verdict", print_verdict(comparison)},
                        {"variants", std::move(list)}});
}

Json answer_contributions(Session& session, const Progress& progress) {
    const Report& report = session.measure(progress);
    const Contributions made =
        measure_contributions(session.site(), session.stage(), session.lighting(), report);
    Json targets = Json::array();
    for (const TargetContributions& target : made.targets) {
        Json fixtures = Json::array();
        for (const FixtureContribution& one : target.fixtures)
            fixtures.push_back(json_object({{"fixture", one.fixture},
                                            {"of_light", one.of_light},
                                            {"without", one.without},
                                            {"is_decisive", one.is_decisive}}));
        targets.push_back(json_object({{"target", target.target}, {"fixtures", std::move(fixtures)}}));
    }
    return json_object({{"targets", std::move(targets)},
                        {"needless", made.needless},
                        {"sentences", print_contributions(session.site(), made)}});
}

} // namespace duskcast
