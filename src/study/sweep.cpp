#include "duskcast/study/sweep.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <tuple>

#include "range_text.hpp"

namespace duskcast {
namespace {

const char* const form =
    "write it as KEY=FROM..TO:STEP, such as tilt=0..30:1, or as a list, such as lamp=led-4w-24,led-5w-24";

std::string shown(const Site& site, const Setting& setting) {
    return print_value(site, setting);
}

std::vector<Setting> read_steps(const RangeText& text, const Site& site) {
    const Knob knob = text.knob;
    if (text.step.empty())
        refuse(fmt::format("the range \"{}={}\" has no step", name_of(knob), text.values), form);
    const Setting from = read_setting(knob, text.from, site.units);
    const Setting to = read_setting(knob, text.to, site.units);
    const Setting step = read_setting(knob, text.step, site.units);
    if (!(step.value > 0))
        refuse(fmt::format("the step of {} is {}", name_of(knob), shown(site, step)), "give one above 0");
    if (to.value < from.value)
        refuse(fmt::format("the range of {} is reversed: it goes from {} down to {}", name_of(knob),
                           shown(site, from), shown(site, to)),
               "give the smaller end first");
    const double steps = std::floor((to.value - from.value) / step.value + 1e-9);
    if (steps >= static_cast<double>(most_variants))
        refuse(fmt::format("the range of {} has {} steps, more than {}", name_of(knob),
                           print_number(steps + 1), print_number(static_cast<double>(most_variants))),
               "give a larger step or a shorter range");
    std::vector<Setting> values;
    for (int i = 0; i <= static_cast<int>(steps); ++i)
        values.push_back({knob, from.value + i * step.value, ""});
    return values;
}

} // namespace

Range read_range(const std::string& text, const Site& site) {
    const RangeText parts = split_range(text, form);
    Range range{.knob = parts.knob};
    if (parts.has_ends()) {
        if (range.knob == Knob::lamp)
            refuse("lamps make no range", form);
        range.values = read_steps(parts, site);
        return range;
    }
    const std::string& values = parts.values;
    for (std::size_t from = 0; from <= values.size();) {
        const std::size_t to = std::min(values.find(',', from), values.size());
        range.values.push_back(read_setting(range.knob, values.substr(from, to - from), site.units));
        from = to + 1;
    }
    for (std::size_t i = 0; i < range.values.size(); ++i)
        if (std::find(range.values.begin(), range.values.begin() + static_cast<std::ptrdiff_t>(i),
                      range.values[i]) != range.values.begin() + static_cast<std::ptrdiff_t>(i))
            refuse(fmt::format("{} is given twice for {}", shown(site, range.values[i]), name_of(range.knob)),
                   "name each value once");
    return range;
}

std::size_t SweepPlan::size() const {
    std::size_t count = ranges.empty() ? 0 : 1;
    for (const Range& range : ranges)
        count *= range.values.size();
    return count;
}

std::vector<Setting> SweepPlan::settings_of(std::size_t variant) const {
    if (ranges.size() == 1)
        return {ranges[0].values[variant]};
    const std::size_t inner = ranges[1].values.size();
    return {ranges[0].values[variant / inner], ranges[1].values[variant % inner]};
}

namespace {

Site set_all(const Site& site, const std::vector<std::size_t>& fixtures, const std::vector<Setting>& settings,
             const std::filesystem::path& folder) {
    Site made = site;
    made.variants.clear();
    // A lamp first: the others, such as its beam, are of the lamp chosen.
    for (const bool is_lamp : {true, false})
        for (const Setting& setting : settings)
            if ((setting.knob == Knob::lamp) == is_lamp)
                apply_setting(made, fixtures, setting, folder);
    return made;
}

} // namespace

Site make_swept(const Site& site, const SweepPlan& plan, std::size_t variant,
                const std::filesystem::path& folder) {
    return set_all(site, find_fixtures(site, plan.fixtures), plan.settings_of(variant), folder);
}

void check_plan(const SweepPlan& plan, const Site& site, const std::filesystem::path& folder) {
    if (plan.ranges.empty())
        refuse("nothing is free to change", "give a range with --vary, such as --vary tilt=0..30:1");
    if (plan.ranges.size() > 2)
        refuse("more than two settings are varied at once",
               "vary one or two; duskcast suggest searches over more");
    if (plan.ranges.size() == 2 && plan.ranges[0].knob == plan.ranges[1].knob)
        refuse(fmt::format("{} is varied twice", name_of(plan.ranges[0].knob)), "give one range of it");
    if (plan.size() > most_variants)
        refuse(fmt::format("these ranges make {} variants, more than {}",
                           print_number(static_cast<double>(plan.size())),
                           print_number(static_cast<double>(most_variants))),
               "give larger steps or shorter ranges");
    const std::vector<std::size_t> fixtures = find_fixtures(site, plan.fixtures);
    if (fixtures.empty())
        refuse("the site has no fixtures", "place some first");
    // At the ends of the ranges, between which nothing worse can be; lamps all.
    std::vector<std::vector<Setting>> ends{{}};
    for (const Range& range : plan.ranges) {
        std::vector<std::vector<Setting>> longer;
        for (const std::vector<Setting>& one : ends)
            for (std::size_t i = 0; i < range.values.size(); ++i)
                if (range.knob == Knob::lamp || i == 0 || i + 1 == range.values.size()) {
                    longer.push_back(one);
                    longer.back().push_back(range.values[i]);
                }
        ends = std::move(longer);
    }
    for (const std::vector<Setting>& settings : ends)
        for (const Problem& problem : check_site(set_all(site, fixtures, settings, folder), folder))
            if (problem.severity == Severity::error)
                refuse(fmt::format("at {}, {}: {}", print_settings(site, settings),
                                   name_path(site, problem.place.path), problem.what),
                       problem.remedy);
}

Part read_part(const std::string& text) {
    Part part;
    const char* end = text.data() + text.size();
    const auto number = std::from_chars(text.data(), end, part.number);
    if (number.ec == std::errc() && number.ptr != end && *number.ptr == '/') {
        const auto of = std::from_chars(number.ptr + 1, end, part.of);
        if (of.ec == std::errc() && of.ptr == end && part.number >= 1 && part.number <= part.of)
            return part;
    }
    refuse(fmt::format("\"{}\" is no part", text), "write K/N, such as 2/4, K from 1 to N");
}

void check_part(const Part& part, const SweepPlan& plan) {
    if (part.of > std::max<std::size_t>(1, plan.size()))
        refuse(fmt::format("there are {} parts of {} variants", part.of, plan.size()),
               fmt::format("cut them into {} parts at most", plan.size()));
}

std::vector<std::optional<double>> Sweep::values(Quantity quantity) const {
    std::vector<std::optional<double>> all;
    for (const Figures& one : figures)
        all.push_back(value_of(one, quantity, plan.focus));
    return all;
}

Sweep run_sweep(const Site& site, Workbench& bench, const std::filesystem::path& folder, SweepPlan plan,
                const Part& part, const Progress& progress) {
    check_plan(plan, site, folder);
    plan.is_of_all = find_fixtures(site, plan.fixtures).size() == site.fixtures.size();
    Sweep sweep{.plan = std::move(plan)};
    sweep.as_drawn = bench.measure({&site, 1}).front();
    Focus& focus = sweep.plan.focus;
    focus.is_target_alone = has_own_line(sweep.as_drawn, focus);
    sweep.first = part.first(sweep.plan.size());
    const std::size_t last = part.last(sweep.plan.size());
    constexpr std::size_t block = 1024; // sites made at a time
    for (std::size_t from = sweep.first; from < last; from += block) {
        std::vector<Site> variants;
        for (std::size_t i = from; i < std::min(last, from + block); ++i)
            variants.push_back(make_swept(site, sweep.plan, i, folder));
        const std::vector<Figures> made = bench.measure(variants, [&](double share) {
            if (progress)
                progress(
                    (static_cast<double>(from - sweep.first) + share * static_cast<double>(variants.size())) /
                    static_cast<double>(last - sweep.first));
        });
        sweep.figures.insert(sweep.figures.end(), made.begin(), made.end());
    }
    return sweep;
}

std::optional<Best> find_best(const Sweep& sweep, Quantity quantity) {
    const std::vector<std::optional<double>> values = sweep.values(quantity);
    const double sign = facts_of(quantity).is_more_better ? 1 : -1;
    std::optional<Best> best;
    bool is_level = true;
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (!values[i])
            continue;
        is_level = is_level && (!best || std::abs(*values[i] - best->value) <= 1e-9 * std::abs(best->value));
        if (!best || sign * *values[i] > sign * best->value)
            best = Best{.variant = i, .value = *values[i]};
    }
    if (!best || is_level)
        return std::nullopt;
    const std::size_t inner = sweep.plan.ranges.size() == 2 ? sweep.plan.ranges[1].values.size() : 1;
    const auto is_flat = [&](std::size_t outer) {
        const std::optional<double>& value = values[outer * inner + best->variant % inner];
        return value && std::abs(*value - best->value) <= flatness * std::abs(best->value);
    };
    best->flat_from = best->flat_to = best->variant / inner;
    while (best->flat_from > 0 && is_flat(best->flat_from - 1))
        --best->flat_from;
    while (best->flat_to + 1 < values.size() / inner && is_flat(best->flat_to + 1))
        ++best->flat_to;
    return best;
}

bool is_moved(const Sweep& sweep, Quantity quantity) {
    const bool is_of_site = quantity == Quantity::spill;
    if (is_of_site && !sweep.plan.is_of_all)
        return false;
    double least = HUGE_VAL, most = -HUGE_VAL;
    for (const std::optional<double>& value : sweep.values(quantity))
        if (value) {
            least = std::min(least, *value);
            most = std::max(most, *value);
        }
    return most - least > flatness * std::abs(most);
}

std::optional<Recommendation> find_recommendation(const Sweep& sweep) {
    if (!is_moved(sweep, Quantity::reach) && !is_moved(sweep, Quantity::coverage))
        return std::nullopt;
    const Focus& focus = sweep.plan.focus;
    const auto is_met = [&](std::size_t i) {
        const TargetFigures* target = find_target(sweep.figures[i], focus.target);
        return target && target->is_reached;
    };
    std::vector<std::size_t> group;
    for (std::size_t i = 0; i < sweep.figures.size(); ++i)
        if (is_met(i))
            group.push_back(i);
    const bool any_met = !group.empty();
    for (std::size_t i = 0; !any_met && i < sweep.figures.size(); ++i)
        group.push_back(i);
    const auto value = [&](std::size_t i, Quantity quantity) {
        return value_of(sweep.figures[i], quantity, focus).value_or(0);
    };
    // First what is missing: reach once the target is met, coverage until then. Of what is as good in that,
    // what is best in the other; a coverage within half a per cent and a reach within a centimetre are the
    // same.
    const Quantity first = any_met ? Quantity::reach : Quantity::coverage;
    double most = 0;
    for (const std::size_t i : group)
        most = std::max(most, value(i, first));
    const auto merit = [&](std::size_t i) {
        const double other = any_met ? std::round(200 * value(i, Quantity::coverage))
                                     : std::round(value(i, Quantity::reach) / 0.01);
        const double middle = (static_cast<double>(sweep.figures.size()) - 1) / 2;
        return std::tuple(value(i, first) >= (1 - flatness) * most, other,
                          -std::abs(static_cast<double>(i) - middle));
    };
    std::size_t best = group.front();
    for (const std::size_t i : group)
        if (merit(i) > merit(best))
            best = i;
    return Recommendation{best, any_met};
}

std::string print_settings(const Site& site, const std::vector<Setting>& settings) {
    std::string text;
    for (const Setting& setting : settings)
        text += fmt::format("{}{} {}", text.empty() ? "" : ", ", spoken(name_of(setting.knob)),
                            print_value(site, setting));
    return text;
}

std::optional<ReachTrade> find_reach_trade(const Sweep& sweep) {
    const std::optional<Best> best = find_best(sweep, Quantity::reach);
    const Range& range = sweep.plan.ranges.front();
    if (!best || range.knob == Knob::lamp)
        return std::nullopt;
    const std::size_t inner = sweep.figures.size() / range.values.size();
    const std::size_t at = best->variant / inner, last = range.values.size() - 1;
    ReachTrade trade{.from = at > last - at ? 0 : last, .to = at};
    const Figures& there = sweep.figures[trade.from * inner + best->variant % inner];
    const Focus& focus = sweep.plan.focus;
    const std::optional<double> before = value_of(there, Quantity::reach, focus);
    if (!before || *before >= best->value)
        return std::nullopt;
    trade.reach = best->value - *before;
    const std::optional<double> covered = value_of(sweep.figures[best->variant], Quantity::coverage, focus);
    const std::optional<double> was = value_of(there, Quantity::coverage, focus);
    if (covered && was)
        trade.coverage = *covered - *was;
    return trade;
}

} // namespace duskcast
