#include <algorithm>
#include <cmath>

#include "duskcast/base/sort_stably.hpp"

#include "lamp_chart_parts.hpp"

namespace duskcast {
namespace {

constexpr double beam_title_height = 40;
constexpr double least_drawing = 300, most_drawing = 560; // of one lamp's beam, wide
constexpr double beam_height = 320;
constexpr double beam_drop = 16; // of the farthest bar below the headings
constexpr double line_room = 18;
constexpr double distance_width = 92; // of the words beside the bars
constexpr double table_gap = 34;
constexpr double clear_excess = 1.1; // brightest over centre from which it is worth a column
constexpr double least_zone = 0.002; // share of the lumens from which a zone is worth drawing
const double widest_drawn = radians_from_degrees(68); // off the axis

std::string print_width(double width, LengthUnit unit) {
    return width > 0 ? print_about(width, unit) : "no edge";
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

/// The beam's edges at 50 % of the greatest, as far off the axis as is drawn.
std::pair<double, double> drawn_edges(const PlaneCurve& curve, double max_candela) {
    const auto [low, high] = find_edges(curve, max_candela / 2).value_or(std::pair{0.0, 0.0});
    return {std::clamp(low, -widest_drawn, widest_drawn), std::clamp(high, -widest_drawn, widest_drawn)};
}

/// So that no beam's bar hides another's.
std::vector<const ChartLamp*> widest_first(const ChartSource& source) {
    std::vector<const ChartLamp*> lamps;
    for (const ChartLamp& lamp : source.lamps)
        lamps.push_back(&lamp);
    sort_stably(lamps, [](const ChartLamp* a, const ChartLamp* b) {
        return a->entry.sheet.beam_of_max.along > b->entry.sheet.beam_of_max.along;
    });
    return lamps;
}

bool is_cut(double edge) {
    return std::abs(edge) >= widest_drawn;
}

bool has_cut_edge(const ChartSource& source) {
    for (const ChartLamp& lamp : source.lamps)
        for (const PlaneCurve* curve : {&lamp.along, &lamp.across}) {
            const auto [low, high] = drawn_edges(*curve, lamp.entry.sheet.max_candela);
            if (is_cut(low) || is_cut(high))
                return true;
        }
    return false;
}

} // namespace

ChartTable make_spot_table(const ChartSource& source, double width) {
    const bool has_greatest = has_brighter(source);
    ChartTable::Column what{"", {}, Anchor::left};
    std::vector<const ChartLamp*> tags;
    for (const ChartLamp& lamp : source.lamps) {
        tags.push_back(&lamp);
        what.cells.push_back(std::string("wide\ncentre") + (has_greatest ? "\nbrightest" : ""));
    }
    std::vector<ChartTable::Column> columns{what};
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
    if (columns.size() == 1)
        return {{}, {}, width};
    return {columns, tags, width};
}

BeamPart::BeamPart(const ChartSource& source, double width) : source_(source), table_({}, {}, width) {
    if (source.options.distances.empty())
        return;
    if (source.is_comparison()) {
        left_ = distance_width;
        drawing_width_ = width - left_;
    } else {
        table_ = make_distance_table(source, width - least_drawing - table_gap);
        drawing_width_ = std::clamp(width - table_gap - table_.width(), least_drawing, most_drawing);
    }
    frame_ = fit(drawing_width_);
    if (!source.is_comparison()) {
        // A narrow beam leaves no wide gap before its figures.
        drawing_width_ = std::clamp(frame_.used + 80, least_drawing, drawing_width_);
        frame_ = fit(drawing_width_);
    }
    const double rows = static_cast<double>(source.options.distances.size()) *
                        (source.is_comparison() ? line_room : table_.row_height());
    drawing_height_ = std::max(frame_.farthest * frame_.scale, rows);
    frame_.lens.y = drawing_height_;
}

glm::dvec2 BeamPart::Frame::at(double angle, double distance) const {
    return lens + scale * distance * glm::dvec2(std::tan(angle), -1);
}

BeamPart::Frame BeamPart::fit(double width) const {
    Frame frame;
    const std::vector<double>& distances = source_.options.distances;
    frame.farthest = *std::max_element(distances.begin(), distances.end());
    double left = 0.02, right = 0.02; // tangents of the outermost edges
    for (const ChartLamp& lamp : source_.lamps)
        for (const PlaneCurve* curve : {&lamp.along, &lamp.across}) {
            const auto [low, high] = drawn_edges(*curve, lamp.entry.sheet.max_candela);
            left = std::max(left, -std::tan(low));
            right = std::max(right, std::tan(high));
        }
    frame.scale = std::min(beam_height, (width - 20) / (left + right)) / frame.farthest;
    frame.used = (left + right) * frame.farthest * frame.scale;
    frame.lens.x = (width - frame.used) / 2 + left * frame.farthest * frame.scale;
    return frame;
}

double BeamPart::height() const {
    return drawing_width_ > 0 ? beam_title_height + table_.heading_height() + beam_drop + drawing_height_ + 26
                              : 0;
}

void BeamPart::draw(Canvas& chart, const glm::dvec2& corner) const {
    if (!(drawing_width_ > 0))
        return;
    std::string detail = "to 50 % of the greatest light, drawn to scale";
    if (has_cut_edge(source_))
        detail += ", cut at " + print_angle(widest_drawn) + " off the axis";
    draw_section_title(chart, "The beam", detail, corner.x, corner.y);
    const double top = corner.y + beam_title_height + table_.heading_height() + beam_drop;
    const double left = corner.x + left_, right = left + drawing_width_;
    Frame frame = frame_;
    frame.lens += glm::dvec2(left, top);

    const std::vector<double>& distances = source_.options.distances;
    std::vector<double> wanted;
    for (const double distance : distances)
        wanted.push_back(frame.at(0, distance).y);
    const double row = source_.is_comparison() ? line_room : table_.row_height();
    const std::vector<double> rows = spread_labels(wanted, std::vector<double>(wanted.size(), row),
                                                   top - row / 2, frame.lens.y + row / 2, 0)
                                         .value_or(wanted);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        std::vector<glm::dvec2> leader = {{left, wanted[i]}, {right, wanted[i]}};
        if (source_.is_comparison()) {
            chart.text(print_length(distances[i], source_.length), {left - 16, rows[i]}, Anchor::right,
                       figure_style);
            leader.insert(leader.begin(), {left - 12, rows[i]});
        } else {
            leader.emplace_back(right + table_gap - 8, rows[i]);
        }
        chart.line(leader, false, 1, grid_ink);
    }
    for (const ChartLamp* lamp : widest_first(source_))
        draw_beam(chart, *lamp, frame);
    draw_beam_tags(chart, frame);
    chart.fill_disk(frame.lens, 5, text_ink);
    if (!source_.is_comparison())
        table_.draw(chart, {right + table_gap, corner.y + beam_title_height}, rows);
}

void BeamPart::draw_beam(Canvas& chart, const ChartLamp& lamp, const Frame& frame) const {
    for (const bool is_across : {true, false}) {
        if (is_across && lamp.is_round)
            continue;
        const auto [low, high] =
            drawn_edges(is_across ? lamp.across : lamp.along, lamp.entry.sheet.max_candela);
        const std::vector<double> dash = is_across ? across_dash : std::vector<double>{};
        if (!source_.is_comparison() && !is_across)
            chart.fill({frame.at(low, frame.farthest), frame.lens, frame.at(high, frame.farthest)},
                       {dusk_colour(0.8), 0.3});
        for (const double edge : {low, high})
            if (!is_cut(edge))
                chart.line({frame.lens, frame.at(edge, frame.farthest)}, false, 2, lamp.ink, dash);
        for (const double distance : source_.options.distances)
            if (!source_.is_comparison() || distance == frame.farthest)
                chart.line({frame.at(low, distance), frame.at(high, distance)}, false, is_across ? 2 : 3.4,
                           lamp.ink, dash);
    }
}

void BeamPart::draw_beam_tags(Canvas& chart, const Frame& frame) const {
    LabelSpace space;
    for (const ChartLamp& lamp : source_.lamps) {
        if (!source_.is_comparison())
            return;
        const auto edges = drawn_edges(lamp.along, lamp.entry.sheet.max_candela);
        std::vector<Box> candidates;
        for (const double share : {0.9, 0.76, 0.62, 0.48, 0.34})
            for (const double edge : {edges.second, edges.first}) {
                constexpr double room = tag_radius + 1;
                // Where the edge is not drawn, on the bar.
                const glm::dvec2 at = is_cut(edge)
                                          ? frame.at(std::atan(share * std::tan(edge)), frame.farthest)
                                          : frame.at(edge, share * frame.farthest);
                candidates.push_back({at.x - room, at.y - room, at.x + room, at.y + room});
            }
        if (const auto spot = space.take_first_free(candidates))
            draw_tag(chart, lamp, spot->middle());
    }
}

void draw_zone_bars(Canvas& chart, const ChartSource& source, const Box& box) {
    draw_section_title(chart, "Lumens by zone",
                       source.is_comparison() ? "degrees from the axis; bars in the lamps' order"
                                              : "degrees from the axis",
                       box.left, box.top);
    double greatest = 0, last = pi / 18;
    for (const ChartLamp& lamp : source.lamps)
        for (const ZoneLumens& zone : lamp.entry.sheet.zones) {
            greatest = std::max(greatest, zone.lumens);
            if (zone.lumens >= least_zone * lamp.entry.sheet.lumens)
                last = std::max(last, zone.to);
        }
    const double step = find_round_step(greatest, 5);
    const double end = std::max(1.0, std::ceil(greatest / step - 1e-9)) * step;
    const Box plot{box.left + 62, box.top + beam_title_height + 18, box.right, box.bottom - 26};
    const auto y_of = [&](double lumens) { return plot.bottom - lumens / end * plot.height(); };
    for (int i = 0; i * step <= end * (1 + 1e-9); ++i) {
        const double y = y_of(i * step);
        chart.line({{plot.left, y}, {plot.right, y}}, false, 1, i == 0 ? quiet_ink : grid_ink);
        const bool is_last = (i + 1) * step > end * (1 + 1e-9);
        chart.text(print_number(i * step) + (is_last ? " lm" : ""), {plot.left - 8, y}, Anchor::right,
                   figure_style);
    }
    const int zones = static_cast<int>(std::lround(last / (pi / 18)));
    const double zone_width = plot.width() / zones;
    const double bar = std::min(56.0, 0.78 * zone_width / static_cast<double>(source.lamps.size()));
    const TextStyle count{.size = zones > 12 ? 11.0 : 13.0, .ink = text_ink};
    for (int i = 0; i <= zones; ++i) {
        const double x = plot.left + i * zone_width;
        chart.line({{x, plot.bottom}, {x, plot.bottom + 4}}, false, 1, quiet_ink);
        if (zones > 12 && i % 3 != 0)
            continue;
        chart.text(print_number(10 * i), {x, plot.bottom + 14}, Anchor::middle, figure_style);
    }
    for (std::size_t i = 0; i < source.lamps.size(); ++i)
        for (const ZoneLumens& zone : source.lamps[i].entry.sheet.zones) {
            if (zone.from > last - 1e-6)
                continue;
            const double middle = plot.left + (zone.from / (pi / 18) + 0.5) * zone_width;
            const double left =
                middle + bar * (static_cast<double>(i) - static_cast<double>(source.lamps.size()) / 2);
            const double top = y_of(zone.lumens);
            chart.fill(Box{left, top, left + bar - 1, plot.bottom}, source.lamps[i].ink);
            if (!source.is_comparison() && zone.lumens >= least_zone * source.lamps[i].entry.sheet.lumens)
                chart.text(print_number(zones > 12 ? std::round(zone.lumens) : zone.lumens),
                           {middle, top - 10}, Anchor::middle, count);
        }
}

} // namespace duskcast
