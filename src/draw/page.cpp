#include "duskcast/draw/page.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/draw/text.hpp"

namespace duskcast {
namespace {

constexpr double detail_top = 84;
const TextStyle detail_style{.size = 15, .ink = quiet_ink};
constexpr double indent = 24; // of an answer behind its dot
constexpr auto common_note = "Estimate; lamps, dirt, voltage and aiming shift it. Check after dark.";

/// 10 ft, 5 m, 50 cm... as people say them on a scale.
std::string print_round(double metres, LengthUnit unit) {
    return print_number(metres / metres_per(unit)) + " " + std::string(name_of(unit));
}

} // namespace

void draw_title(Canvas& canvas, const std::string& words, const std::string& detail, double room) {
    TextStyle title{.size = 32, .is_bold = true, .ink = text_ink};
    while (title.size > 18 && measure_text(words, title).x > room)
        title.size -= 1;
    canvas.text(words, {page_margin, 58}, Anchor::left, title);
    canvas.paragraph(keep_units(detail), {page_margin, detail_top}, room, detail_style);
}

double measure_title(const std::string& detail, double room) {
    return detail_top + (detail.empty() ? 0 : measure_text(keep_units(detail), detail_style, room).y);
}

void draw_section_title(Canvas& canvas, const std::string& title, const std::string& detail, double left,
                        double top) {
    const Box box = canvas.text(title, {left, top + 12}, Anchor::left, section_style);
    if (!detail.empty())
        canvas.text(detail, {box.right + 12, top + 13}, Anchor::left, section_detail_style);
}

double find_round_step(double greatest, int most) {
    if (!(greatest > 0))
        return 1;
    double step = std::pow(10, std::floor(std::log10(greatest / most)));
    for (const double factor : {1.0, 2.0, 2.5, 5.0, 10.0})
        if (greatest <= step * factor * most * (1 + 1e-9))
            return step * factor;
    return step * 10;
}

double ruler_step(LengthUnit unit, double pixels_per_metre, double least) {
    double step = unit == LengthUnit::foot ? 5 : 2;
    for (int i = 0; step * metres_per(unit) * pixels_per_metre < least && i < 12; ++i)
        step *= (i % 2 == 0) == (unit == LengthUnit::foot) ? 2 : 2.5; // 5, 10, 25, 50 ft; 2, 5, 10, 25 m
    return step * metres_per(unit);
}

void draw_ruler(Canvas& canvas, double right, double ground, double pixels_per_metre, double top_height,
                LengthUnit unit, const std::vector<RulerMark>& marks) {
    const TextStyle figure{.size = 14, .ink = quiet_ink};
    const TextStyle named{.size = 14, .is_bold = true, .ink = text_ink};
    const double end = ground - top_height * pixels_per_metre;
    canvas.line({{right, ground}, {right, end}}, false, 1.2, quiet_ink);

    std::vector<double> taken;
    const auto is_near = [&](double y) {
        return std::any_of(taken.begin(), taken.end(),
                           [&](double other) { return std::abs(y - other) < 19; });
    };
    for (const RulerMark& mark : marks) {
        const double y = ground - mark.height * pixels_per_metre;
        if (is_near(y))
            continue;
        taken.push_back(y);
        canvas.line({{right - 12, y}, {right, y}}, false, 2, text_ink);
        canvas.text(mark.text, {right - 18, y}, Anchor::right, named);
    }
    const double step = ruler_step(unit, pixels_per_metre, 26);
    const double small = step / (unit == LengthUnit::foot ? 5 : 2);
    const bool has_small = small * pixels_per_metre >= 5;
    for (int i = 0; has_small && i * small <= top_height + 1e-6; ++i) {
        const double y = ground - i * small * pixels_per_metre;
        canvas.line({{right - 4, y}, {right, y}}, false, 0.8, hairline_ink);
    }
    for (int i = 0; i * step <= top_height + 1e-6; ++i) {
        const double y = ground - i * step * pixels_per_metre;
        canvas.line({{right - 9, y}, {right, y}}, false, 1.2, quiet_ink);
        if (!is_near(y))
            canvas.text(i == 0 ? print_round(0, unit) : print_number(i * step / metres_per(unit)),
                        {right - 14, y}, Anchor::right, figure);
    }
}

void draw_scale_bar(Canvas& canvas, const glm::dvec2& end, double pixels_per_metre, LengthUnit unit) {
    const double length = ruler_step(unit, pixels_per_metre, 110);
    const double left = end.x - length * pixels_per_metre;
    canvas.line({{left, end.y - 5}, {left, end.y}, {end.x, end.y}, {end.x, end.y - 5}}, false, 1.6, text_ink);
    const TextStyle style{.size = 13, .ink = text_ink};
    canvas.text(print_round(length, unit), {(left + end.x) / 2, end.y - 11}, Anchor::middle, style);
}

Foot::Foot(const std::vector<std::string>& answers, std::string note)
    : note_(note.empty() ? common_note : std::move(note)) {
    const std::size_t columns = answers.size() > 10 ? 2 : 1;
    const std::size_t rows = (answers.size() + columns - 1) / columns;
    const double column = (page_width - 2 * page_margin) / static_cast<double>(columns);
    style_.size = columns > 1 ? 14 : answers.size() > 5 ? 16 : 18;
    wrap_ = column - indent - (columns > 1 ? 20 : 0);
    double y = 0;
    for (std::size_t i = 0; i < answers.size(); ++i) {
        if (i % rows == 0)
            y = 20;
        answers_.push_back(
            {keep_units(answers[i]), {page_margin + static_cast<double>(i / rows) * column, y}});
        y += measure_text(answers_.back().text, style_, wrap_).y + style_.size * 0.45;
        end_ = std::max(end_, y);
    }
}

double Foot::height() const {
    return end_ + 66;
}

void Foot::draw(Canvas& canvas, double top) const {
    canvas.line({{page_margin, top}, {page_width - page_margin, top}}, false, 1, hairline_ink);
    for (const Answer& answer : answers_) {
        const glm::dvec2 corner = answer.corner + glm::dvec2(0, top);
        canvas.fill_disk(corner + glm::dvec2(5, style_.size * 0.6), 3.2, {dusk_colour(0.62), 1});
        canvas.paragraph(answer.text, corner + glm::dvec2(indent, 0), wrap_, style_);
    }
    canvas.text(note_, {page_margin, top + end_ + 28}, Anchor::left, {.size = 14, .ink = quiet_ink});
}

} // namespace duskcast
