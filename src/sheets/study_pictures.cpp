#include "duskcast/sheets/study_pictures.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

#include "duskcast/base/text.hpp"
#include "duskcast/measure/region.hpp"
#include "duskcast/sheets/comparison.hpp"
#include "duskcast/sheets/contact_sheet.hpp"
#include "duskcast/sheets/study_words.hpp"
#include "study_charts.hpp"
#include "wall_sheet.hpp"

namespace duskcast {

void draw_sweep_charts(const Site& site, const Sweep& sweep, OutputFolder& folder) {
    const ChartPage page = make_sweep_page(site, sweep);
    for (const PictureFormat format : picture_formats(true))
        folder.write(fmt::format("curves{}", ending_of(format)), draw_charts(page, format));
}

namespace {

PlateSource source_of(const Site& site, const LitVariant& lit) {
    return {site, *lit.stage, lit.lighting, lit.report};
}

/// How much light falls on the sensors of a target that a plate shows.
double measure_shown(const PlateSource& source, const Plate& plate, const Region& region) {
    if (plate.surface < 0)
        return 0;
    const Surface& surface = source.stage.surfaces[static_cast<std::size_t>(plate.surface)];
    std::set<std::int32_t> on_face;
    if (plate.face >= 0) {
        const Surface face = face_of(surface, static_cast<std::size_t>(plate.face));
        on_face.insert(face.grid.sensor.begin(), face.grid.sensor.end());
    }
    double lumens = 0;
    for (const std::uint32_t sensor : region.sensors) {
        const bool is_shown = plate.face >= 0
                                  ? on_face.contains(static_cast<std::int32_t>(sensor))
                                  : sensor >= surface.first && sensor < surface.first + surface.count;
        if (is_shown)
            lumens += source.report.total_lx[sensor] * static_cast<double>(source.stage.sensors.area[sensor]);
    }
    return lumens;
}

/// The plate that shows what a target is on, of a house the face with most of the target's light; "" when
/// there is none.
std::string plate_of(const PlateSource& source, const Target& target) {
    const Region region = find_region(source.site, source.stage, target);
    std::string best;
    double most = -1;
    for (const Plate& plate : list_plates(source)) {
        const std::string part_of =
            plate.surface < 0 ? "ground"
                              : source.stage.surfaces[static_cast<std::size_t>(plate.surface)].part_of;
        if (plate.id != target.on && part_of != target.on)
            continue;
        if (const double shown = measure_shown(source, plate, region); shown > most) {
            most = shown;
            best = plate.id;
        }
    }
    return best;
}

std::string print_main_figures(const Site& site, const Figures& figures, const Focus& focus) {
    std::string text;
    for (const Quantity quantity : {Quantity::reach, Quantity::coverage})
        if (const std::optional<double> value = value_of(figures, quantity, focus))
            text += (text.empty() ? "" : ", ") + print_quantity(site, quantity, *value);
    return text;
}

/// As in the tables, of each target that the variant is judged by and the plate shows; where it shows none of
/// these, of the first.
std::vector<std::string> print_main_figures(const VariantComparison& comparison,
                                            const ComparedVariant& variant,
                                            const std::vector<std::string>& shown) {
    std::vector<std::string> lines, elsewhere;
    for (const Focus& focus : comparison.variants.front().foci)
        if (variant.is_judged_by(focus.target)) {
            const bool is_shown = std::find(shown.begin(), shown.end(), focus.target) != shown.end();
            (is_shown ? lines : elsewhere)
                .push_back(print_main_figures(variant.site, variant.figures, focus) + " of " + focus.target);
        }
    if (lines.empty() && !elsewhere.empty())
        lines.push_back(elsewhere.front());
    return lines;
}

} // namespace

std::size_t variant_in_cell(const Sweep& sweep, std::size_t cell, std::size_t count) {
    return count > 1 ? cell * (sweep.figures.size() - 1) / (count - 1) : 0;
}

std::optional<std::size_t> find_recommended_cell(const Sweep& sweep, std::size_t count) {
    if (const std::optional<Recommendation> pick = find_recommendation(sweep))
        for (std::size_t cell = 0; cell < count; ++cell)
            if (variant_in_cell(sweep, cell, count) == pick->variant)
                return cell;
    return std::nullopt;
}

void draw_sweep_sheet(const Site& site, const std::filesystem::path& site_folder, const Sweep& sweep,
                      Workbench& bench, OutputFolder& folder) {
    constexpr std::size_t most_cells = 24; // each is lit in full
    const std::size_t count = std::min(sweep.figures.size(), most_cells);
    Site shown;
    LitVariant lit = bench.light(site);
    const auto target = std::find_if(site.targets.begin(), site.targets.end(),
                                     [&](const Target& one) { return one.id == sweep.plan.focus.target; });
    ContactSheet sheet{.title = site.name,
                       .detail = fmt::format("Reach and coverage of {}.", sweep.plan.focus.target)};
    if (target != site.targets.end())
        sheet.plate = plate_of(source_of(site, lit), *target);
    if (sheet.plate.empty())
        return;
    for (std::size_t cell = 0; cell < count; ++cell)
        sheet.titles.push_back(
            print_settings(site, sweep.plan.settings_of(variant_in_cell(sweep, cell, count))));
    sheet.cell = [&](std::size_t cell) {
        const std::size_t variant = variant_in_cell(sweep, cell, count);
        shown = make_swept(site, sweep.plan, variant, site_folder);
        lit = bench.light(shown);
        return ContactCell{source_of(shown, lit),
                           print_main_figures(site, sweep.figures[variant], sweep.plan.focus)};
    };
    sheet.best = find_recommended_cell(sweep, count);
    for (const PictureFormat format : picture_formats(false))
        folder.write(fmt::format("contact-sheet{}", ending_of(format)), draw_contact_sheet(sheet, format));
}

void draw_comparison_plates(const VariantComparison& comparison, OutputFolder& folder) {
    const ComparedVariant& first = comparison.variants.front();
    std::vector<std::string> plates;
    std::map<std::string, std::vector<std::string>> targets_on; // by plate
    for (const Target& target : first.site.targets) {
        const std::string plate = plate_of(source_of(first.site, first.lit), target);
        if (plate.empty())
            continue;
        if (targets_on[plate].empty())
            plates.push_back(plate);
        targets_on[plate].push_back(target.id);
    }
    const auto draw = [&](const std::string& plate, const std::string& name,
                          const std::vector<const ComparedVariant*>& variants) {
        Comparison drawn{.title = first.site.name, .plate = plate};
        drawn.detail = fmt::format("{}, variants side by side", plate);
        for (const ComparedVariant* variant : variants)
            drawn.variants.push_back({source_of(variant->site, variant->lit), variant->name,
                                      print_main_figures(comparison, *variant, targets_on.at(plate))});
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
            draw(plate, fmt::format("{}.{}", plate, dashed(comparison.variants[i].id)),
                 {&first, &comparison.variants[i]});
    }
}

void draw_search(const Site& site, const Freedom& freedom, const Wish& wish, const DesignSearch& search,
                 Workbench& bench, OutputFolder& folder) {
    const ChartPage page = make_trade_off_page(site, freedom, wish, search);
    if (!page.charts.empty())
        for (const PictureFormat format : picture_formats(true))
            folder.write(fmt::format("trade-off{}", ending_of(format)), draw_charts(page, format));

    VariantComparison comparison{.focus = wish.focus};
    for (const bool is_best : {false, true}) {
        ComparedVariant variant{.id = is_best ? "design-1" : "as-drawn",
                                .name = is_best ? "Design 1" : "As drawn",
                                .site = is_best ? search.best.site : site,
                                .foci = {wish.focus}};
        light_variant(variant, bench);
        comparison.variants.push_back(std::move(variant));
    }
    draw_comparison_plates(comparison, folder);
}

} // namespace duskcast
