#include <algorithm>
#include <cmath>

#include "lamp_chart_parts.hpp"

namespace duskcast {
namespace {

constexpr double title_height = 40;
constexpr double drawing_width = 330;
constexpr double drawing_height = 320;
constexpr double distance_width = 92; // of the words beside the bars
constexpr double table_gap = 34;
constexpr double clear_excess = 1.1;                  // brightest over centre from which it is worth a column
const double widest_drawn = radians_from_degrees(68); // off the axis

std::string print_width(double width, LengthUnit unit) {
    return width > 0 ? print_length(width, unit) : "no edge";
}

/// A figure nearer than the lamp's may be trusted carries a sign that the foot explains.
std::string mark_near(const LampSheet& sheet, double distance) {
    return distance < sheet.trusted_from ? "~" : "";
}

bool has_brighter(const ChartSource& source) {
    for (const ChartLamp& lamp : source.lamps)
        for (const BeamSpot& spot : lamp.entry.sheet.spots)
            if (spot.greatest_lux > clear_excess * spot.centre_lux)
                return true;
    return false;
}

ChartTable make_distance_table(const ChartSource& source, double width) {
    const ChartLamp& lamp = source.lamps.front();
    ChartTable::Column distance{"at", {}, Anchor::left},
        along{lamp.is_round ? "wide" : "wide in\nC0\u2013C180", {}}, across{"in\nC90\u2013C270", {}},
        centre{"at the centre", {}}, greatest{"brightest", {}};
    for (const BeamSpot& spot : lamp.entry.sheet.spots) {
        distance.cells.push_back(mark_near(lamp.entry.sheet, spot.distance) +
                                 print_length(spot.distance, source.length));
        along.cells.push_back(print_width(spot.along, source.length));
        across.cells.push_back(print_width(spot.across, source.length));
        centre.cells.push_back(print_illuminance_both(spot.centre_lux, source.light));
        greatest.cells.push_back(print_illuminance_both(spot.greatest_lux, source.light));
    }
    std::vector<ChartTable::Column> columns{distance, along};
    if (!lamp.is_round)
        columns.push_back(across);
    columns.push_back(centre);
    if (has_brighter(source))
        columns.push_back(greatest);
    return {columns, {}, width};
}

/// One row a lamp, one column a distance.
ChartTable make_lamp_rows(const ChartSource& source, double width) {
    const bool has_greatest = has_brighter(source);
    std::vector<ChartTable::Column> columns{{"", {}, Anchor::left}};
    std::vector<const ChartLamp*> tags;
    for (const ChartLamp& lamp : source.lamps) {
        tags.push_back(&lamp);
        columns[0].cells.push_back(std::string("wide\ncentre") + (has_greatest ? "\nbrightest" : ""));
    }
    for (std::size_t i = 0; i < source.options.distances.size(); ++i) {
        ChartTable::Column column{"at " + print_length(source.options.distances[i], source.length), {}};
        for (const ChartLamp& lamp : source.lamps) {
            const BeamSpot& spot = lamp.entry.sheet.spots[i];
            std::string cell =
                mark_near(lamp.entry.sheet, spot.distance) + print_width(spot.along, source.length);
            if (!lamp.is_round)
                cell += " \u00d7 " + print_width(spot.across, source.length);
            cell += "\n" + print_illuminance(spot.centre_lux, source.light);
            if (has_greatest)
                cell += "\n" + print_illuminance(spot.greatest_lux, source.light);
            column.cells.push_back(cell);
        }
        columns.push_back(std::move(column));
    }
    return {columns, tags, width};
}

/// The beam's edges at 50 % of the greatest, as far off the axis as is drawn.
std::pair<double, double> drawn_edges(const PlaneCurve& curve, double max_candela) {
    const auto [low, high] = find_edges(curve, max_candela / 2).value_or(std::pair{0.0, 0.0});
    return {std::clamp(low, -widest_drawn, widest_drawn), std::clamp(high, -widest_drawn, widest_drawn)};
}

/// Where the lens and the distances lie on the page.
struct BeamFrame {
    glm::dvec2 lens{0};
    double scale = 1; ///< pixels a metre
    double farthest = 1;

    glm::dvec2 at(double angle, double distance) const {
        return lens + scale * distance * glm::dvec2(std::tan(angle), -1);
    }
};

BeamFrame fit_beam(const ChartSource& source, const glm::dvec2& corner) {
    BeamFrame frame;
    frame.farthest = *std::max_element(source.options.distances.begin(), source.options.distances.end());
    double left = 0.02, right = 0.02;
    for (const ChartLamp& lamp : source.lamps)
        for (const PlaneCurve* curve : {&lamp.along, &lamp.across}) {
            const auto [low, high] = drawn_edges(*curve, lamp.entry.sheet.max_candela);
            left = std::max(left, -std::tan(low));
            right = std::max(right, std::tan(high));
        }
    const double room = drawing_width - 20;
    frame.scale = std::min(drawing_height, room / (left + right)) / frame.farthest;
    const double used = (left + right) * frame.farthest * frame.scale;
    frame.lens = {corner.x + distance_width + (drawing_width - used) / 2 +
                      left * frame.farthest * frame.scale,
                  corner.y + drawing_height};
    return frame;
}

void draw_beam(ChartCanvas& chart, const ChartSource& source, const ChartLamp& lamp, const BeamFrame& frame) {
    for (const bool is_across : {true, false}) {
        if (is_across && lamp.is_round)
            continue;
        const auto [low, high] =
            drawn_edges(is_across ? lamp.across : lamp.along, lamp.entry.sheet.max_candela);
        const std::vector<glm::dvec2> outline = {frame.at(low, frame.farthest), frame.lens,
                                                 frame.at(high, frame.farthest)};
        if (!source.is_comparison() && !is_across)
            chart.canvas().fill(outline, {dusk_colour(0.8), 0.3});
        chart.canvas().line(outline, false, 2, lamp.ink, is_across ? across_dash : std::vector<double>{});
        for (const double distance : source.options.distances)
            if (!source.is_comparison() || distance == frame.farthest)
                chart.canvas().line({frame.at(low, distance), frame.at(high, distance)}, false,
                                    is_across ? 2 : 3.4, lamp.ink,
                                    is_across ? across_dash : std::vector<double>{});
    }
}

/// Middles of words beside the distances, parted where they would touch.
std::vector<double> spread_rows(const ChartSource& source, const BeamFrame& frame, double row_height,
                                const glm::dvec2& room) {
    std::vector<double> wanted;
    for (const double distance : source.options.distances)
        wanted.push_back(frame.lens.y - distance * frame.scale);
    const std::vector<double> heights(wanted.size(), row_height);
    return spread_labels(wanted, heights, room.x, room.y, 0).value_or(wanted);
}

double rows_height(const ChartSource& source, const ChartTable& table) {
    return source.is_comparison() ? table.height() - table.heading_height()
                                  : table.row_height() * static_cast<double>(source.options.distances.size());
}

} // namespace

BeamPart::BeamPart(const ChartSource& source, double width)
    : source_(source),
      table_(source.is_comparison()
                 ? make_lamp_rows(source, width - distance_width - drawing_width - table_gap)
                 : make_distance_table(source, width - distance_width - drawing_width - table_gap)) {}

double BeamPart::height() const {
    return title_height + table_.heading_height() + std::max(drawing_height, rows_height(source_, table_)) +
           26;
}

void BeamPart::draw(ChartCanvas& chart, const glm::dvec2& corner) const {
    draw_section_title(chart, "The beam", "to 50 % of the greatest light, drawn to scale", corner.x,
                       corner.y);
    const double top = corner.y + title_height + table_.heading_height();
    const BeamFrame frame = fit_beam(source_, {corner.x, top});
    const double left = corner.x + distance_width, right = left + drawing_width;
    const double bottom = std::max(top + drawing_height, top + rows_height(source_, table_)) + 12;
    const std::vector<double> rows =
        spread_rows(source_, frame, source_.is_comparison() ? 18 : table_.row_height(), {top - 12, bottom});
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const double distance = source_.options.distances[i];
        const double y = frame.lens.y - distance * frame.scale;
        std::vector<glm::dvec2> leader = {{left, y}, {right, y}};
        if (source_.is_comparison()) {
            chart.write(print_length(distance, source_.length), {left - 16, rows[i]}, Anchor::right,
                        figure_style);
            leader.insert(leader.begin(), {left - 12, rows[i]});
        } else {
            leader.emplace_back(right + table_gap - 8, rows[i]);
        }
        chart.canvas().line(leader, false, 1, grid_ink);
    }
    for (const ChartLamp& lamp : source_.lamps)
        draw_beam(chart, source_, lamp, frame);
    LabelSpace space;
    for (const ChartLamp& lamp : source_.lamps) {
        if (!source_.is_comparison())
            break;
        const double end = drawn_edges(lamp.along, lamp.entry.sheet.max_candela).second;
        std::vector<Box> candidates;
        for (const double share : {0.94, 0.8, 0.66, 0.5, 0.38}) {
            const glm::dvec2 at = frame.at(end, share * frame.farthest);
            const double room = tag_radius + 1;
            candidates.push_back({at.x - room, at.y - room, at.x + room, at.y + room});
        }
        if (const auto spot = space.take_first_free(candidates))
            draw_tag(chart, lamp, spot->middle());
    }
    chart.canvas().fill_disk(frame.lens, 5, text_ink);
    const glm::dvec2 table_corner(right + table_gap, corner.y + title_height);
    table_.draw(chart, table_corner, source_.is_comparison() ? std::vector<double>{} : rows);
}

void draw_zone_bars(ChartCanvas& chart, const ChartSource& source, const Box& box) {
    draw_section_title(chart, "Lumens by zone",
                       source.is_comparison() ? "degrees from the axis; bars in the lamps' order"
                                              : "degrees from the axis",
                       box.left, box.top);
    double greatest = 0, last = pi / 18;
    for (const ChartLamp& lamp : source.lamps)
        for (const ZoneLumens& zone : lamp.entry.sheet.zones) {
            greatest = std::max(greatest, zone.lumens);
            if (zone.lumens >= 0.005 * lamp.entry.sheet.lumens)
                last = std::max(last, zone.to);
        }
    const double step = find_round_step(greatest, 5);
    const double end = std::max(1.0, std::ceil(greatest / step - 1e-9)) * step;
    const Box plot{box.left + 62, box.top + title_height + 18, box.right, box.bottom - 26};
    const auto y_of = [&](double lumens) { return plot.bottom - lumens / end * plot.height(); };
    for (int i = 0; i * step <= end * (1 + 1e-9); ++i) {
        const double y = y_of(i * step);
        chart.canvas().line({{plot.left, y}, {plot.right, y}}, false, 1, i == 0 ? quiet_ink : grid_ink);
        const bool is_last = (i + 1) * step > end * (1 + 1e-9);
        chart.write(print_number(i * step) + (is_last ? " lm" : ""), {plot.left - 8, y}, Anchor::right,
                    figure_style);
    }
    const int zones = static_cast<int>(std::lround(last / (pi / 18)));
    const double zone_width = plot.width() / zones;
    const double bar = std::min(56.0, 0.78 * zone_width / static_cast<double>(source.lamps.size()));
    const TextStyle count{.size = zones > 12 ? 11.0 : 13.0, .ink = text_ink};
    for (int i = 0; i <= zones; ++i) {
        const double x = plot.left + i * zone_width;
        chart.canvas().line({{x, plot.bottom}, {x, plot.bottom + 4}}, false, 1, quiet_ink);
        chart.write(print_number(10 * i), {x, plot.bottom + 14}, Anchor::middle, figure_style);
    }
    for (std::size_t i = 0; i < source.lamps.size(); ++i)
        for (const ZoneLumens& zone : source.lamps[i].entry.sheet.zones) {
            if (zone.from > last - 1e-6)
                continue;
            const double middle = plot.left + (zone.from / (pi / 18) + 0.5) * zone_width;
            const double left =
                middle + bar * (static_cast<double>(i) - static_cast<double>(source.lamps.size()) / 2);
            const double top = y_of(zone.lumens);
            chart.canvas().fill(Box{left, top, left + bar - 1, plot.bottom}, source.lamps[i].ink);
            if (!source.is_comparison())
                chart.write(print_number(zone.lumens), {middle, top - 10}, Anchor::middle, count);
        }
}

} // namespace duskcast
