// The charts of sweeps and searches, before they are drawn.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/sheets/study_words.hpp"
#include "study_charts.hpp"

namespace duskcast {
namespace {

const Quantity charted[] = {Quantity::reach, Quantity::coverage, Quantity::uniformity, Quantity::hot_spot,
                            Quantity::spill};

double place_of(const Site& site, const Setting& setting, std::size_t index) {
    if (setting.knob == Knob::lamp)
        return static_cast<double>(index);
    if (setting.knob == Knob::setback && site.units == LengthUnit::foot)
        return setting.value / metres_per_inch;
    if (is_length(setting.knob))
        return setting.value / metres_per(site.units);
    return is_angle(setting.knob) ? degrees_from_radians(setting.value) : 100 * setting.value;
}

std::string axis_title(const Site& site, Knob knob) {
    const std::string name = spoken(name_of(knob));
    if (knob == Knob::lamp)
        return name;
    if (knob == Knob::setback && site.units == LengthUnit::foot)
        return name + ", in";
    if (is_length(knob))
        return fmt::format("{}, {}", name, name_of(site.units));
    return name + (is_angle(knob) ? ", degrees" : ", %");
}

/// "tilt and setback".
std::string knobs_of(const SweepPlan& plan) {
    std::string text;
    for (const Range& range : plan.ranges)
        text += (text.empty() ? "" : " and ") + spoken(name_of(range.knob));
    return text;
}

std::optional<double> shown(const Site& site, Quantity quantity, const std::optional<double>& value) {
    return value ? std::optional(shown_value(site, quantity, *value)) : std::nullopt;
}

/// The top that the reach is measured against, where all variants share it.
std::optional<double> top_of_reach(const Sweep& sweep) {
    std::optional<double> top;
    for (const Figures& figures : sweep.figures)
        for (const ReachFigures& reach : figures.reaches) {
            const bool is_asked =
                reach.fixture.empty() ||
                std::find(sweep.plan.focus.fixtures.begin(), sweep.plan.focus.fixtures.end(),
                          reach.fixture) != sweep.plan.focus.fixtures.end();
            if (!is_asked)
                continue;
            if (top && std::abs(*top - reach.top) > 1e-6)
                return std::nullopt;
            top = reach.top;
        }
    return top;
}

Chart make_chart(const Site& site, const Sweep& sweep, Quantity quantity) {
    const Range& range = sweep.plan.ranges.front();
    const std::vector<std::optional<double>> values = sweep.values(quantity);
    Chart chart{.title = title_of(site, quantity)};
    chart.x.title = axis_title(site, range.knob);
    chart.is_joined = range.knob != Knob::lamp;
    if (range.knob == Knob::lamp)
        for (std::size_t i = 0; i < range.values.size(); ++i)
            chart.x.ticks.push_back({static_cast<double>(i), print_value(site, range.values[i])});
    const std::size_t inner = sweep.plan.ranges.size() == 2 ? sweep.plan.ranges[1].values.size() : 1;
    for (std::size_t s = 0; s < inner; ++s) {
        ChartSeries series;
        if (inner > 1)
            series.name = print_settings(site, {sweep.plan.ranges[1].values[s]});
        for (std::size_t i = 0; i < range.values.size(); ++i)
            series.points.push_back(
                {place_of(site, range.values[i], i), shown(site, quantity, values[i * inner + s])});
        chart.series.push_back(series);
    }
    if (const std::optional<Best> best = find_best(sweep, quantity)) {
        const std::size_t at = best->variant / inner;
        chart.marks.push_back({place_of(site, range.values[at], at), shown_value(site, quantity, best->value),
                               fmt::format("{}: {}", print_value(site, range.values[at]),
                                           print_quantity(site, quantity, best->value))});
    }
    if (quantity == Quantity::reach)
        if (const std::optional<double> top = top_of_reach(sweep))
            chart.levels.push_back({shown_value(site, quantity, *top),
                                    fmt::format("top at {}", print_length(*top, site.units))});
    return chart;
}

HeatMap make_heat_map(const Site& site, const Sweep& sweep, Quantity quantity) {
    HeatMap map{.title = title_of(site, quantity)};
    const Range& outer = sweep.plan.ranges[0];
    const Range& inner = sweep.plan.ranges[1];
    map.x.title = axis_title(site, outer.knob);
    map.y.title = axis_title(site, inner.knob);
    for (const Setting& setting : outer.values)
        map.x.cells.push_back(print_value(site, setting));
    for (const Setting& setting : inner.values)
        map.y.cells.push_back(print_value(site, setting));
    const std::vector<std::optional<double>> values = sweep.values(quantity);
    for (std::size_t y = 0; y < inner.values.size(); ++y)
        for (std::size_t x = 0; x < outer.values.size(); ++x)
            map.values.push_back(shown(site, quantity, values[x * inner.values.size() + y]));
    if (const std::optional<Best> best = find_best(sweep, quantity))
        map.best =
            best->variant % inner.values.size() * outer.values.size() + best->variant / inner.values.size();
    return map;
}

/// The figure preferred of every design against another; nothing where one has none or all have the same.
std::optional<Chart> make_trade_off(const Site& site, const Wish& wish, const DesignSearch& search,
                                    Quantity against) {
    Chart chart{.title = fmt::format("{} against {}", spoken(wish.prefer), spoken(against)),
                .is_joined = false};
    chart.x.title = title_of(site, against);
    chart.y.title = title_of(site, wish.prefer);
    bool is_alike = true;
    for (std::size_t i = 0; i < search.front.size(); ++i) {
        const std::optional<double> x = value_of(search.front[i].figures, against, wish.focus);
        const std::optional<double> y = value_of(search.front[i].figures, wish.prefer, wish.focus);
        if (!x || !y)
            return std::nullopt;
        is_alike = is_alike && *x == value_of(search.front.front().figures, against, wish.focus);
        chart.series.push_back({fmt::format("design {}", i + 1),
                                {{shown_value(site, against, *x), shown_value(site, wish.prefer, *y)}}});
    }
    return is_alike && search.front.size() > 1 ? std::nullopt : std::optional(chart);
}

} // namespace

ChartPage make_sweep_page(const Site& site, const Sweep& sweep) {
    ChartPage page{.title = site.name,
                   .detail = fmt::format("What the {} of {} changes on {}", knobs_of(sweep.plan),
                                         sweep.plan.fixtures.empty()
                                             ? "all fixtures"
                                             : fmt::format("{}", fmt::join(sweep.plan.fixtures, ", ")),
                                         sweep.plan.focus.target)};
    // More curves than can be told apart become a heat map.
    const bool is_map =
        sweep.plan.ranges.size() == 2 && sweep.plan.ranges[1].values.size() > most_chart_series;
    for (const Quantity quantity : charted) {
        const std::vector<std::optional<double>> values = sweep.values(quantity);
        if (std::none_of(values.begin(), values.end(), [](const auto& value) { return value.has_value(); }))
            continue;
        if (is_map)
            page.heat_maps.push_back(make_heat_map(site, sweep, quantity));
        else
            page.charts.push_back(make_chart(site, sweep, quantity));
    }
    page.answers = print_findings(site, sweep);
    return page;
}

ChartPage make_trade_off_page(const Site& site, const Freedom& freedom, const Wish& wish,
                              const DesignSearch& search) {
    ChartPage page{.title = site.name,
                   .detail =
                       fmt::format("Designs for {}: what is gained and what it takes", wish.focus.target)};
    for (const Quantity against : {Quantity::spill, Quantity::watts, Quantity::price})
        if (against != wish.prefer)
            if (const std::optional<Chart> chart = make_trade_off(site, wish, search, against))
                page.charts.push_back(*chart);
    for (const std::string& line : print_search(site, freedom, wish, search))
        page.answers.push_back(line.substr(line.find_first_not_of(' ')));
    return page;
}

} // namespace duskcast
