#include "duskcast/sheets/lamp_chart.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"
#include "lamp_chart_parts.hpp"

namespace duskcast {
namespace {

constexpr double page_room = page_width - 2 * page_margin;
constexpr double plots_height = 452;
constexpr double polar_width = 560;
constexpr double zones_width = 500;
constexpr double least_zones_height = 330;
constexpr double plot_gap = 36;
constexpr double section_gap = 26;
constexpr double least_centre = 0.05; // share of the greatest candela from which the centre may define a beam
const double clear_difference = radians_from_degrees(0.5); // between angles of the greatest and of the centre

void check(const std::vector<LampEntry>& lamps, const SheetOptions& options) {
    if (lamps.empty())
        throw InputError({Severity::error, {}, "no lamp to draw", "name one at least"});
    if (lamps.size() > most_chart_lamps)
        throw InputError({Severity::error,
                          {},
                          fmt::format("{} lamps do not fit on one chart", lamps.size()),
                          fmt::format("compare {} at most", most_chart_lamps)});
    for (const LampEntry& entry : lamps)
        if (entry.sheet.spots.size() != options.distances.size() ||
            entry.sheet.wall.size() != options.setbacks.size() * options.levels.size())
            throw InputError(
                {Severity::error,
                 {},
                 "the sheet of lamp " + entry.lamp.id + " has other distances, setbacks or levels",
                 "make it with the chart's options"});
}

std::string print_known(double value, const char* unit = "") {
    return value > 0 ? print_number(value) + unit : "\u2013";
}

ChartTable make_lamp_table(const ChartSource& source) {
    using Column = ChartTable::Column;
    Column name{"lamp", {}, Anchor::left}, id{"id", {}, Anchor::left}, watts{"W", {}}, volt_amperes{"VA", {}},
        cct{"colour", {}}, lumens{"lumens", {}}, efficacy{"lm/W", {}}, in_beam{"lm in\nthe beam", {}},
        in_field{"lm in\nthe field", {}}, centre{"cd at the\ncentre", {}}, greatest{"greatest\ncd", {}},
        beam{"beam\n50 %", {}}, field{"field\n10 %", {}}, designation{"named as\nMR16 lamps", {}};
    std::vector<const ChartLamp*> tags;
    bool has_ids = false, has_off_peak = false;
    for (const ChartLamp& lamp : source.lamps) {
        const LampDescription& about = lamp.entry.lamp;
        const LampSheet& sheet = lamp.entry.sheet;
        if (lamp.number)
            tags.push_back(&lamp);
        has_ids = has_ids || lamp.name != about.id;
        has_off_peak = has_off_peak || sheet.max_candela > 1.01 * sheet.centre_candela;
        name.cells.push_back(break_words(lamp.name, {.size = 14}, 250, 2));
        id.cells.push_back(break_words(about.id, {.size = 14}, 150, 1));
        watts.cells.push_back(print_known(about.watts));
        volt_amperes.cells.push_back(print_known(about.volt_amperes));
        cct.cells.push_back(print_known(about.cct, " K"));
        lumens.cells.push_back(print_amount(sheet.lumens));
        efficacy.cells.push_back(print_known(sheet.efficacy.value_or(0)));
        in_beam.cells.push_back(print_amount(sheet.beam_lumens));
        in_field.cells.push_back(print_amount(sheet.field_lumens));
        centre.cells.push_back(print_amount(sheet.centre_candela));
        greatest.cells.push_back(print_amount(sheet.max_candela) + " at " + print_angle(sheet.max_gamma));
        beam.cells.push_back(print_spread(sheet.beam_of_max));
        field.cells.push_back(print_spread(sheet.field_of_max));
        designation.cells.push_back(sheet.designation.empty() ? "\u2013" : sheet.designation);
    }
    std::vector<Column> columns{name};
    if (has_ids)
        columns.push_back(id);
    columns.insert(columns.end(), {watts, volt_amperes, cct, lumens, efficacy, in_beam, in_field, centre});
    if (has_off_peak)
        columns.push_back(greatest);
    columns.insert(columns.end(), {beam, field, designation});
    return {columns, tags, page_room};
}

/// "1, 3 and 4" of the lamps for which `is_meant` holds; "" when it holds for all.
template <class Predicate> std::string list_lamps(const ChartSource& source, const Predicate& is_meant) {
    std::vector<std::string> names;
    for (const ChartLamp& lamp : source.lamps)
        if (is_meant(lamp))
            names.push_back(std::to_string(lamp.number));
    if (names.size() == source.lamps.size())
        return "";
    std::string list = names.size() > 1 ? "Lamps " : "Lamp ";
    for (std::size_t i = 0; i < names.size(); ++i)
        list += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
    return list + ": ";
}

/// The same sentence for several lamps is said once.
template <class Say>
void add_sentences(const ChartSource& source, const Say& say, std::vector<std::string>& sentences) {
    std::vector<std::string> said;
    for (const ChartLamp& lamp : source.lamps) {
        const std::string words = say(lamp);
        if (words.empty() || std::find(said.begin(), said.end(), words) != said.end())
            continue;
        said.push_back(words);
        const std::string whose =
            list_lamps(source, [&](const ChartLamp& other) { return say(other) == words; });
        sentences.push_back(whose.empty() ? titled(words) : whose + words);
    }
}

std::string say_loss(const ChartSource& source, const ChartLamp& lamp) {
    const LampDescription& about = lamp.entry.lamp;
    const std::string unit = source.light == LightUnit::footcandle ? "foot-candles" : "lux";
    if (about.tolerance == 1 && about.depreciation == 1)
        return "all light is that of a new lamp, no loss taken off.";
    return fmt::format(
        "all {} are after tolerance {} \u00d7 depreciation {} = {}; candela and lumens are a new "
        "lamp's.",
        unit, print_number(about.tolerance), print_number(about.depreciation),
        print_number(lamp.entry.sheet.light_loss));
}

/// From where the figures hold, of all lamps in one sentence.
void add_trusted(const ChartSource& source, std::vector<std::string>& sentences) {
    const auto say = [&](const ChartLamp& lamp) {
        const double from = lamp.entry.sheet.trusted_from;
        return from > 0 ? print_about(from, source.length) : "";
    };
    std::vector<std::string> found;
    add_sentences(source, say, found);
    std::string distances;
    for (const std::string& one : found)
        distances += (distances.empty() ? "" : "; ") + one;
    const bool has_marks = std::any_of(source.lamps.begin(), source.lamps.end(), [&](const ChartLamp& lamp) {
        return std::any_of(source.options.distances.begin(), source.options.distances.end(),
                           [&](double distance) { return distance < lamp.entry.sheet.trusted_from; });
    });
    const std::string reason = "the lens is no point there, and the beam has not formed.";
    const std::string marks = has_marks ? " Such figures carry a ~." : "";
    if (found.size() == 1 && !found.front().starts_with("Lamp"))
        sentences.push_back("Nearer than " + distances + " the figures mislead: " + reason + marks);
    else if (!found.empty())
        sentences.push_back("Nearer than this the figures mislead: " + reason + " " + distances + "." +
                            marks);
    add_sentences(
        source,
        [&](const ChartLamp& lamp) {
            return std::string(
                lamp.entry.sheet.trusted_from > 0
                    ? ""
                    : "the lens's diameter is not known; near the lamp the figures mislead, but "
                      "from where they hold cannot be said.");
        },
        sentences);
}

bool is_near(const BeamSpread& a, const BeamSpread& b) {
    return std::abs(a.along - b.along) < clear_difference && std::abs(a.across - b.across) < clear_difference;
}

/// Where shares of the centre beam give other angles than shares of the maximum.
std::string say_centre_angles(const ChartLamp& lamp) {
    const LampSheet& sheet = lamp.entry.sheet;
    if (sheet.centre_candela < least_centre * sheet.max_candela)
        return "next to no light goes along the axis.";
    if (is_near(sheet.beam_of_max, sheet.beam_of_centre) &&
        is_near(sheet.field_of_max, sheet.field_of_centre))
        return "";
    return fmt::format(
        "counted from the centre's candela instead of the greatest, the beam is {} and the field "
        "{}.",
        print_spread(sheet.beam_of_centre), print_spread(sheet.field_of_centre));
}

} // namespace

PlateText make_chart_text(const ChartSource& source) {
    PlateText text;
    text.length = source.length;
    text.light = source.light;
    text.levels_lx = source.options.levels;
    const ChartLamp& first = source.lamps.front();
    text.title = source.is_comparison()
                     ? fmt::format("{} lamps side by side", source.lamps.size())
                     : break_words(first.name, {.size = 18, .is_bold = true}, page_room - 730, 1);
    std::vector<std::string> loss;
    add_sentences(
        source, [&](const ChartLamp& lamp) { return say_loss(source, lamp); }, loss);
    text.detail =
        loss.size() == 1 ? loss.front() : "The losses taken off differ from lamp to lamp: see the foot.";
    if (loss.size() > 1)
        text.answers = loss;
    add_trusted(source, text.answers);
    add_sentences(source, say_centre_angles, text.answers);
    text.answers.emplace_back(
        "Beam and field are full angles in which the light is at least 50 % and 10 % of the "
        "greatest candela.");
    return text;
}

DrawnPage make_lamp_chart(const std::vector<LampEntry>& lamps, const SheetOptions& options, LengthUnit length,
                          LightUnit light, PictureFormat format) {
    check(lamps, options);
    const ChartSource source = make_chart_source(lamps, options, length, light);
    const PlateText text = make_chart_text(source);
    const ChartTable table = make_lamp_table(source);
    const BeamPart beam(source, page_room - zones_width - plot_gap);
    const ChartTable spots =
        source.is_comparison() ? make_spot_table(source, page_room) : ChartTable({}, {}, 0);
    const WallPart wall(source, page_room);
    const Foot foot(text.answers);

    const double table_top = heading_height + 8;
    const double plots_top = table_top + table.height() + section_gap;
    const double beam_top = plots_top + plots_height + section_gap;
    const double beam_height = std::max(beam.height(), least_zones_height);
    const double spots_top = beam_top + beam_height + section_gap / 2;
    const double wall_top = spots_top + spots.height() + section_gap;
    const double foot_top = wall_top + wall.height() + (wall.height() > 0 ? section_gap : 0);
    const double height = std::ceil(foot_top + foot.height());

    Canvas chart(page_width, height, format);
    draw_heading(chart, text);
    table.draw(chart, {page_margin, table_top});
    draw_polar_plot(chart, source,
                    {page_margin, plots_top, page_margin + polar_width, plots_top + plots_height});
    draw_angle_plot(chart, source,
                    {page_margin + polar_width + plot_gap, plots_top, page_width - page_margin,
                     plots_top + plots_height});
    beam.draw(chart, {page_margin, beam_top});
    draw_zone_bars(
        chart, source,
        {page_width - page_margin - zones_width, beam_top, page_width - page_margin, beam_top + beam_height});
    spots.draw(chart, {page_margin, spots_top});
    wall.draw(chart, {page_margin, wall_top});
    foot.draw(chart, foot_top);
    return {chart.finish(), height, chart.words()};
}

std::string draw_lamp_chart(const std::vector<LampEntry>& lamps, const SheetOptions& options,
                            LengthUnit length, LightUnit light, PictureFormat format) {
    return make_lamp_chart(lamps, options, length, light, format).bytes;
}

} // namespace duskcast
