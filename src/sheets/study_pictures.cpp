#include "duskcast/sheets/study_pictures.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/draw/chart.hpp"
#include "duskcast/sheets/comparison.hpp"
#include "duskcast/sheets/contact_sheet.hpp"
#include "duskcast/sheets/study_words.hpp"

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

} // namespace

void draw_sweep_charts(const Site& site, const Sweep& sweep, OutputFolder& folder) {
    ChartPage page{.title = site.name,
                   .detail = fmt::format("What the {} of {} changes on {}", knobs_of(sweep.plan),
                                         sweep.plan.fixtures.empty()
                                             ? "all fixtures"
                                             : fmt::format("{}", fmt::join(sweep.plan.fixtures, ", ")),
                                         sweep.plan.focus.target)};
    // More curves than can be told apart become a heat map.
    const bool is_map = sweep.plan.ranges.size() == 2 && sweep.plan.ranges[0].knob != Knob::lamp &&
                        sweep.plan.ranges[1].values.size() > most_chart_series;
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
    for (const PictureFormat format : picture_formats(true))
        folder.write(fmt::format("curves{}", ending_of(format)), draw_charts(page, format));
}

namespace {

PlateSource source_of(const Site& site, const LitVariant& lit) {
    return {site, *lit.stage, lit.lighting, lit.report};
}

/// The plate that shows what a target is on; "" when there is none.
std::string plate_of(const PlateSource& source, const std::string& on) {
    for (const Plate& plate : list_plates(source)) {
        const std::string part_of =
            plate.surface < 0 ? "ground"
                              : source.stage.surfaces[static_cast<std::size_t>(plate.surface)].part_of;
        if (plate.id == on || part_of == on)
            return plate.id;
    }
    return "";
}

/// An id given on the command line may hold what file names do not.
std::string file_name_of(std::string id) {
    for (char& letter : id)
        if (!(std::isalnum(static_cast<unsigned char>(letter)) || letter == '-' || letter == '_'))
            letter = '-';
    return id;
}

std::string print_main_figures(const Site& site, const Figures& figures, const Focus& focus) {
    std::string text;
    for (const Quantity quantity : {Quantity::reach, Quantity::coverage})
        if (const std::optional<double> value = value_of(figures, quantity, focus))
            text += (text.empty() ? "" : ", ") + print_quantity(site, quantity, *value);
    return text;
}

} // namespace

void draw_sweep_sheet(const Site& site, const std::filesystem::path& site_folder, const Sweep& sweep,
                      Workbench& bench, OutputFolder& folder) {
    constexpr std::size_t most_cells = 24; // each is lit in full
    const std::size_t count = std::min(sweep.figures.size(), most_cells);
    const auto variant_of = [&](std::size_t cell) {
        return count > 1 ? cell * (sweep.figures.size() - 1) / (count - 1) : 0;
    };
    Site shown;
    LitVariant lit = bench.light(site);
    const auto target = std::find_if(site.targets.begin(), site.targets.end(),
                                     [&](const Target& one) { return one.id == sweep.plan.focus.target; });
    ContactSheet sheet{.title = site.name,
                       .detail = fmt::format("Reach and coverage of {}.", sweep.plan.focus.target),
                       .count = count};
    if (target != site.targets.end())
        sheet.plate = plate_of(source_of(site, lit), target->on);
    if (sheet.plate.empty())
        return;
    sheet.cell = [&](std::size_t cell) {
        const std::size_t variant = variant_of(cell);
        shown = make_swept(site, sweep.plan, variant, site_folder);
        lit = bench.light(shown);
        return ContactCell{source_of(shown, lit), print_settings(site, sweep.plan.settings_of(variant)),
                           print_main_figures(site, sweep.figures[variant], sweep.plan.focus)};
    };
    if (const std::optional<Best> best = find_best(sweep, Quantity::coverage))
        for (std::size_t cell = 0; cell < count; ++cell)
            if (variant_of(cell) == best->variant)
                sheet.best = cell;
    for (const PictureFormat format : picture_formats(false))
        folder.write(fmt::format("contact-sheet{}", ending_of(format)), draw_contact_sheet(sheet, format));
}

void draw_comparison_plates(const VariantComparison& comparison, OutputFolder& folder) {
    const ComparedVariant& first = comparison.variants.front();
    std::vector<std::string> plates;
    for (const Target& target : first.site.targets) {
        const std::string plate = plate_of(source_of(first.site, first.lit), target.on);
        if (!plate.empty() && std::find(plates.begin(), plates.end(), plate) == plates.end())
            plates.push_back(plate);
    }
    const auto draw = [&](const std::string& plate, const std::string& name,
                          const std::vector<const ComparedVariant*>& variants) {
        Comparison drawn{.title = first.site.name, .plate = plate};
        drawn.detail = fmt::format("{}, variants side by side", plate);
        for (const ComparedVariant* variant : variants)
            drawn.variants.push_back({source_of(variant->site, variant->lit),
                                      variant->name,
                                      {print_main_figures(variant->site, variant->figures, comparison.focus) +
                                       " of " + comparison.focus.target}});
        drawn.answers =
            variants.size() == 2 ? print_verdict(comparison, *variants.back()) : print_verdict(comparison);
        for (const PictureFormat format : picture_formats(false))
            folder.write(fmt::format("plates/{}{}", name, ending_of(format)), draw_comparison(drawn, format));
    };
    const std::size_t others = most_compared - 1;
    for (const std::string& plate : plates) {
        for (std::size_t from = 1, page = 1; from < comparison.variants.size(); from += others, ++page) {
            std::vector<const ComparedVariant*> variants{&first};
            for (std::size_t i = from; i < std::min(comparison.variants.size(), from + others); ++i)
                variants.push_back(&comparison.variants[i]);
            draw(plate, page == 1 ? plate : fmt::format("{}-{}", plate, page), variants);
        }
        // What changes from the first is drawn for two at a time.
        for (std::size_t i = 1; comparison.variants.size() > 2 && i < comparison.variants.size(); ++i)
            draw(plate, fmt::format("{}.{}", plate, file_name_of(comparison.variants[i].id)),
                 {&first, &comparison.variants[i]});
    }
}

namespace {

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

void draw_search(const Site& site, const Freedom& freedom, const Wish& wish, const DesignSearch& search,
                 Workbench& bench, OutputFolder& folder) {
    ChartPage page{.title = site.name,
                   .detail =
                       fmt::format("Designs for {}: what is gained and what it takes", wish.focus.target)};
    for (const Quantity against : {Quantity::spill, Quantity::watts, Quantity::price})
        if (against != wish.prefer)
            if (const std::optional<Chart> chart = make_trade_off(site, wish, search, against))
                page.charts.push_back(*chart);
    for (const std::string& line : print_search(site, freedom, wish, search))
        page.answers.push_back(line.substr(line.find_first_not_of(' ')));
    if (!page.charts.empty())
        for (const PictureFormat format : picture_formats(true))
            folder.write(fmt::format("trade-off{}", ending_of(format)), draw_charts(page, format));

    VariantComparison comparison{.focus = wish.focus};
    for (const bool is_best : {false, true}) {
        ComparedVariant variant{.id = is_best ? "design-1" : "as-drawn",
                                .name = is_best ? "Design 1" : "As drawn",
                                .site = is_best ? search.best.site : site};
        light_variant(variant, bench);
        comparison.variants.push_back(std::move(variant));
    }
    draw_comparison_plates(comparison, folder);
}

} // namespace duskcast
