#include <algorithm>
#include <array>
#include <cmath>

#include "lamp_chart_parts.hpp"

namespace duskcast {
namespace {

constexpr double key_drop = 40;  // of the plane key below a section's top
constexpr double plot_drop = 70; // of a plot below a section's top
constexpr double curve_width = 2.2;
constexpr std::array<double, 6> tag_shares = {0.62, 0.8, 0.42, 0.93, 0.28, 0.18};

double greatest_candela(const ChartSource& source) {
    double greatest = 0;
    for (const ChartLamp& lamp : source.lamps)
        greatest = std::max(greatest, lamp.entry.sheet.max_candela);
    return greatest;
}

/// The candela axis: a round step and a round end.
struct CandelaAxis {
    double step = 1;
    int steps = 1;

    explicit CandelaAxis(double greatest)
        : step(find_round_step(greatest, 5)),
          steps(std::max(1, static_cast<int>(std::ceil(greatest / step - 1e-9)))) {}
    double end() const { return step * steps; }
};

/// The least of the half-angles (degrees) that takes in all light worth drawing, in radians.
template <std::size_t count>
double find_half_angle(const ChartSource& source, const std::array<double, count>& degrees) {
    double last = 0;
    for (const ChartLamp& lamp : source.lamps)
        last = std::max(last, lamp.last_angle);
    for (const double half : degrees)
        if (last <= radians_from_degrees(half + 0.5))
            return radians_from_degrees(half);
    return pi;
}

/// Where a curve goes on the page, and everything drawn along it. `Place` is called with angle and candela.
template <class Place>
std::vector<glm::dvec2> lay_curve(const PlaneCurve& curve, double half, const Place& place) {
    std::vector<glm::dvec2> points;
    for (std::size_t i = 0; i < curve.angle.size(); ++i)
        if (std::abs(curve.angle[i]) <= half + 1e-9)
            points.push_back(place(curve.angle[i], curve.candela[i]));
    return points;
}

template <class Place>
void draw_curves(Canvas& chart, const ChartSource& source, double half, const Place& place) {
    for (const ChartLamp& lamp : source.lamps) {
        const std::vector<glm::dvec2> along = lay_curve(lamp.along, half, place);
        if (!source.is_comparison()) {
            std::vector<glm::dvec2> area = along;
            area.push_back(place(half, 0));
            area.insert(area.begin(), place(-half, 0));
            chart.fill(area, {dusk_colour(0.8), 0.22});
        }
        if (!lamp.is_round)
            chart.line(lay_curve(lamp.across, half, place), false, curve_width, lamp.ink, across_dash);
        chart.line(along, false, curve_width, lamp.ink);
    }
}

/// Each lamp's number on its curve, where no other stands.
template <class Place>
void draw_curve_tags(Canvas& chart, const ChartSource& source, LabelSpace& space, const Place& place) {
    if (!source.is_comparison())
        return;
    constexpr double room = tag_radius + 2;
    for (const ChartLamp& lamp : source.lamps) {
        std::vector<Box> candidates;
        for (const double share : tag_shares)
            if (const auto edges = find_edges(lamp.along, share * lamp.entry.sheet.max_candela))
                for (const double angle : {edges->second, edges->first}) {
                    const glm::dvec2 at = place(angle, share * lamp.entry.sheet.max_candela);
                    candidates.push_back({at.x - room, at.y - room, at.x + room, at.y + room});
                }
        if (const auto spot = space.take_first_free(candidates)) {
            draw_tag(chart, lamp, spot->middle());
            continue;
        }
        // Beside the crowd, with a thin line to the curve.
        const double candela = 0.5 * lamp.entry.sheet.max_candela;
        const auto edges = find_edges(lamp.along, candela);
        if (!edges)
            continue;
        const glm::dvec2 on_curve = place(edges->second, candela);
        std::vector<Box> beside;
        for (int i = 1; i <= 12; ++i) {
            const glm::dvec2 at = on_curve + static_cast<double>(i) * glm::dvec2(18, -7);
            beside.push_back({at.x - room, at.y - room, at.x + room, at.y + room});
        }
        if (const auto spot = space.take_first_free(beside)) {
            chart.line({on_curve, spot->middle()}, false, 1, lamp.ink);
            draw_tag(chart, lamp, spot->middle());
        }
    }
}

Box box_at(const glm::dvec2& at, const glm::dvec2& size, Anchor anchor) {
    const double share = anchor == Anchor::left ? 0.0 : anchor == Anchor::middle ? 0.5 : 1.0;
    const double left = at.x - share * size.x;
    return {left, at.y - size.y / 2, left + size.x, at.y + size.y / 2};
}

/// A fan round the axis, or a full circle.
struct Fan {
    glm::dvec2 centre{0};
    double radius = 0;
    double half = pi;
    double end = 1; ///< candela at the rim

    glm::dvec2 at(double angle, double candela) const {
        return centre + radius * candela / end * glm::dvec2(std::sin(angle), -std::cos(angle));
    }
    bool is_full() const { return half > 3; }
};

Fan fit_fan(const Box& box, double half, double end) {
    const double top = box.top + plot_drop;
    const double height = box.bottom - top;
    if (half > 3) {
        const double radius = std::min(box.width() / 2 - 40, height / 2 - 22);
        return {{box.middle().x, top + height / 2}, radius, half, end};
    }
    const bool is_half_disk = half > 1.5;
    const double foot = is_half_disk ? 30 : 12, head = 22;
    const double beside = is_half_disk ? 42 : 62; // for the words at the right edge
    const double radius = std::min((box.width() / 2 - beside) / std::sin(half), height - head - foot);
    return {{box.middle().x, box.bottom - foot}, radius, half, end};
}

void draw_fan(Canvas& chart, const Fan& fan, const CandelaAxis& axis, LabelSpace& space) {
    const int spokes = fan.half < 1    ? 3
                       : fan.is_full() ? 6
                                       : static_cast<int>(std::round(fan.half / (pi / 6)));
    for (int ring = 1; ring <= axis.steps; ++ring) {
        const double candela = ring * axis.step;
        std::vector<glm::dvec2> arc;
        for (int i = -90; i <= 90; ++i)
            arc.push_back(fan.at(fan.half * i / 90, candela));
        chart.line(arc, fan.is_full(), 1, grid_ink);
    }
    for (int i = -spokes; i <= spokes; ++i) {
        const double angle = fan.half * i / spokes;
        const glm::dvec2 rim = fan.at(angle, fan.end);
        chart.line({fan.centre, rim}, false, i == 0 ? 1.2 : 1, i == 0 ? hairline_ink : grid_ink);
        if (fan.is_full() && i == -spokes)
            continue;
        const glm::dvec2 outwards = (rim - fan.centre) / fan.radius;
        const std::string words = print_angle(std::abs(angle));
        const glm::dvec2 size = measure_text(words, figure_style);
        const double clear = 6 + (std::abs(outwards.x) * size.x + std::abs(outwards.y) * size.y) / 2;
        space.take(chart.text(words, rim + clear * outwards, Anchor::middle, figure_style));
    }
}

/// Figures of the rings: along the fan's right edge, or down the circle's lower spoke.
void write_rings(Canvas& chart, const Fan& fan, const CandelaAxis& axis, LabelSpace& space) {
    TextStyle style = figure_style;
    style.halo = 3;
    style.halo_ink = paper_ink;
    double last = -100;
    for (int ring = axis.steps; ring >= 1; --ring) {
        const double candela = ring * axis.step;
        const double along = fan.radius * candela / fan.end;
        const std::string words = print_number(candela) + (ring == axis.steps ? " cd" : "");
        glm::dvec2 at = fan.at(fan.half, candela);
        Anchor anchor = Anchor::left;
        if (fan.is_full()) {
            at += glm::dvec2(5, -9);
        } else if (fan.half > 1.5) {
            at += glm::dvec2(0, 19);
            anchor = Anchor::middle;
        } else {
            at += 8.0 * glm::dvec2(std::cos(fan.half), std::sin(fan.half));
        }
        const Box box = box_at(at, measure_text(words, style), anchor);
        const double stride = fan.half > 1.5 && !fan.is_full() ? box.width() + 8 : 17;
        if (last > 0 && last - along < stride)
            continue;
        if (!space.is_free(box))
            continue;
        last = along;
        space.take(chart.text(words, at, anchor, style));
    }
}

/// The frame of the plot over the angle.
struct AngleFrame {
    Box box;
    double half = pi;
    double end = 1; ///< candela at the top

    glm::dvec2 at(double angle, double candela) const {
        return {box.middle().x + angle / half * box.width() / 2, box.bottom - candela / end * box.height()};
    }
};

void draw_axes(Canvas& chart, const AngleFrame& frame, const CandelaAxis& axis, LabelSpace& space) {
    const Box& box = frame.box;
    for (int i = 0; i <= axis.steps; ++i) {
        const double y = frame.at(0, i * axis.step).y;
        chart.line({{box.left, y}, {box.right, y}}, false, 1, i == 0 ? quiet_ink : grid_ink);
        space.take(chart.text(print_number(i * axis.step) + (i == axis.steps ? " cd" : ""), {box.left - 8, y},
                              Anchor::right, figure_style));
    }
    const double half_deg = degrees_from_radians(frame.half);
    const double step = half_deg > 100 ? 30 : half_deg > 50 ? 15 : half_deg > 25 ? 10 : half_deg > 12 ? 5 : 2;
    const int steps = static_cast<int>(std::floor(half_deg / step + 1e-9));
    for (int i = -steps; i <= steps; ++i) {
        const double angle = radians_from_degrees(i * step);
        const double x = frame.at(angle, 0).x;
        chart.line({{x, box.top}, {x, box.bottom}}, false, 1, i == 0 ? hairline_ink : grid_ink);
        space.take(
            chart.text(print_angle(std::abs(angle)), {x, box.bottom + 14}, Anchor::middle, figure_style));
    }
}

/// What a level of the single lamp's light is called.
struct LevelMark {
    double share;
    std::string words;
};

void draw_level_mark(Canvas& chart, const ChartLamp& lamp, const AngleFrame& frame, const LevelMark& mark,
                     LabelSpace& space) {
    const double candela = mark.share * lamp.entry.sheet.max_candela;
    const double y = frame.at(0, candela).y;
    double low = frame.box.middle().x, high = low;
    for (const PlaneCurve* curve : {&lamp.along, &lamp.across}) {
        const auto edges = find_edges(*curve, candela);
        if (!edges)
            continue;
        for (const double angle : {edges->first, edges->second}) {
            const double x = frame.at(std::clamp(angle, -frame.half, frame.half), 0).x;
            chart.line({{x, y - 7}, {x, y + 7}}, false, 1.6, text_ink);
            low = std::min(low, x);
            high = std::max(high, x);
        }
    }
    chart.line({{low, y}, {high, y}}, false, 1.2, text_ink, {2, 3});
    const TextStyle style{.size = 14, .is_bold = true, .ink = text_ink, .halo = 3, .halo_ink = paper_ink};
    const glm::dvec2 size = measure_text(mark.words, style);
    const double middle = (low + high) / 2;
    std::vector<Box> candidates;
    if (high - low > size.x + 30)
        candidates = {box_at({middle, y - 13}, size, Anchor::middle),
                      box_at({middle, y + 13}, size, Anchor::middle),
                      box_at({(middle + high) / 2, y - 13}, size, Anchor::middle),
                      box_at({(low + middle) / 2, y - 13}, size, Anchor::middle)};
    if (high + 12 + size.x < frame.box.right)
        for (const double shift : {0.0, -14.0, -28.0})
            candidates.push_back(box_at({high + 12, y + shift}, size, Anchor::left));
    candidates.push_back(box_at({frame.box.right - 8, y - 14}, size, Anchor::right));
    candidates.push_back(box_at({frame.box.left + 8, y - 14}, size, Anchor::left));
    candidates.push_back(box_at({middle, y + 14}, size, Anchor::middle));
    const auto spot = space.take_first_free(candidates);
    const Box box = spot.value_or(candidates.front());
    chart.text(mark.words, box.middle(), Anchor::middle, style);
}

void take_curve(const std::vector<glm::dvec2>& curve, LabelSpace& space) {
    for (const glm::dvec2& point : walk_line(curve, 5))
        space.take({point.x - 2, point.y - 2, point.x + 2, point.y + 2});
}

/// Dots at 50 % of each lamp's own greatest light, rings at 10 %.
void draw_share_marks(Canvas& chart, const ChartSource& source, const AngleFrame& frame, LabelSpace& space) {
    constexpr double radius = 4;
    for (const ChartLamp& lamp : source.lamps)
        for (const double share : {0.5, 0.1}) {
            const double candela = share * lamp.entry.sheet.max_candela;
            const auto edges = find_edges(lamp.along, candela);
            if (!edges)
                continue;
            for (const double angle : {edges->first, edges->second}) {
                if (std::abs(angle) > frame.half)
                    continue;
                const glm::dvec2 at = frame.at(angle, candela);
                chart.fill_disk(at, radius, share > 0.3 ? lamp.ink : Ink{paper_ink.colour, 1});
                chart.circle(at, radius, 1.6, lamp.ink);
                space.take({at.x - radius, at.y - radius, at.x + radius, at.y + radius});
            }
        }
}

/// The beam and field angle beside the marks, where there is room; the table has them all.
void write_share_angles(Canvas& chart, const ChartLamp& lamp, const AngleFrame& frame, LabelSpace& space) {
    const LampSheet& sheet = lamp.entry.sheet;
    const TextStyle style{.size = 13, .ink = text_ink, .halo = 3, .halo_ink = paper_ink};
    for (const double share : {0.5, 0.1}) {
        const double candela = share * sheet.max_candela;
        const auto edges = find_edges(lamp.along, candela);
        if (!edges)
            continue;
        const std::string words = print_spread(share > 0.3 ? sheet.beam_of_max : sheet.field_of_max);
        const glm::dvec2 size = measure_text(words, style);
        const glm::dvec2 right = frame.at(edges->second, candela), left = frame.at(edges->first, candela);
        std::vector<Box> candidates = {box_at(right + glm::dvec2(10, 0), size, Anchor::left),
                                       box_at(left - glm::dvec2(10, 0), size, Anchor::right),
                                       box_at(right + glm::dvec2(10, -13), size, Anchor::left),
                                       box_at(left - glm::dvec2(10, 13), size, Anchor::right)};
        std::erase_if(candidates, [&](const Box& box) { return !frame.box.contains(box); });
        if (const auto spot = space.take_first_free(candidates))
            chart.text(words, spot->middle(), Anchor::middle, style);
    }
}

} // namespace

void draw_polar_plot(Canvas& chart, const ChartSource& source, const Box& box) {
    draw_section_title(chart, "Candela by direction", "beam up", box.left, box.top);
    draw_plane_key(chart, source, {box.left, box.top + key_drop});
    const CandelaAxis axis(greatest_candela(source));
    const double half = find_half_angle(source, std::array{30.0, 45.0, 60.0, 90.0});
    const Fan fan = fit_fan(box, half, axis.end());
    const auto place = [&](double angle, double candela) { return fan.at(angle, candela); };
    LabelSpace space;
    draw_fan(chart, fan, axis, space);
    draw_curves(chart, source, half, place);
    write_rings(chart, fan, axis, space);
    draw_curve_tags(chart, source, space, place);
}

void draw_angle_plot(Canvas& chart, const ChartSource& source, const Box& box) {
    draw_section_title(chart, "Candela by angle from the axis",
                       source.is_comparison() ? "dot: 50 % of the lamp's greatest (beam), ring: 10 % (field)"
                                              : "beam at 50 % and field at 10 % of the greatest",
                       box.left, box.top);
    draw_plane_key(chart, source, {box.left, box.top + key_drop});
    const CandelaAxis axis(greatest_candela(source));
    const double half = find_half_angle(source, std::array{10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0});
    const AngleFrame frame{
        {box.left + 76, box.top + plot_drop, box.right - 16, box.bottom - 26}, half, axis.end()};
    const auto place = [&](double angle, double candela) { return frame.at(angle, candela); };
    LabelSpace space;
    draw_axes(chart, frame, axis, space);
    draw_curves(chart, source, half, place);
    if (source.is_comparison())
        draw_share_marks(chart, source, frame, space);
    draw_curve_tags(chart, source, space, place);
    for (const ChartLamp& lamp : source.lamps) {
        take_curve(lay_curve(lamp.along, half, place), space);
        if (!lamp.is_round)
            take_curve(lay_curve(lamp.across, half, place), space);
    }
    if (source.is_comparison()) {
        for (const ChartLamp& lamp : source.lamps)
            write_share_angles(chart, lamp, frame, space);
        return;
    }
    const ChartLamp& lamp = source.lamps.front();
    const LampSheet& sheet = lamp.entry.sheet;
    const auto say = [&](const char* name, double share, const BeamSpread& spread) {
        return std::string(name) + " " + print_spread(spread) + " at " +
               print_number(share * sheet.max_candela) + " cd";
    };
    draw_level_mark(chart, lamp, frame, {0.5, say("beam", 0.5, sheet.beam_of_max)}, space);
    draw_level_mark(chart, lamp, frame, {0.1, say("field", 0.1, sheet.field_of_max)}, space);
}

} // namespace duskcast
