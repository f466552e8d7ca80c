#include <algorithm>
#include <cmath>

#include "ground_sheet.hpp"
#include "plan_panel.hpp"

namespace duskcast {
namespace {

constexpr double most_ground_height = 860;

void draw_north(Canvas& canvas, const glm::dvec2& foot) {
    canvas.line({foot, foot - glm::dvec2(0, 40)}, false, 1.6, text_ink);
    canvas.fill({foot - glm::dvec2(0, 44), foot + glm::dvec2(-7, -26), foot + glm::dvec2(7, -26)}, text_ink);
    canvas.text("N", foot - glm::dvec2(0, 56), Anchor::middle,
                {.size = 16, .is_bold = true, .ink = text_ink});
}

/// What the marks on the plan mean, from `at` rightwards.
void draw_key(Canvas& canvas, const GroundSheet& sheet, const glm::dvec2& at) {
    const TextStyle style{.size = 14, .ink = quiet_ink};
    double x = at.x;
    const auto add_words = [&](const char* words, double width) {
        x = canvas.text(words, {x + width, at.y}, Anchor::left, style).right + 36;
    };
    if (!sheet.fixtures.empty()) {
        draw_fixture_mark(canvas, {x + 8, at.y + 4}, {0.7, -0.7});
        add_words("fixture and the way it points", 30);
    }
    if (!sheet.trees.empty()) {
        canvas.circle({x + 12, at.y}, 11, 1.4, quiet_ink, {5, 4});
        add_words("crown", 32);
    }
    if (!sheet.shrubs.empty()) {
        canvas.line({{x, at.y}, {x + 30, at.y}}, false, 1.4, quiet_ink, {3, 3});
        add_words("shrubs", 42);
    }
    if (!sheet.walls.empty()) {
        draw_plan_wall(canvas, {{x, at.y}, {x + 30, at.y}}, false);
        add_words("wall", 42);
    }
}

} // namespace

DrawnPage draw_ground_sheet(const GroundSheet& sheet, PictureFormat format) {
    const PlanPanel panel(sheet);
    PlateFrame frame = panel.extent();
    const double room = page_width - 2 * page_margin;
    frame.scale = std::min(room / frame.width(), most_ground_height / frame.height());
    frame.left = page_margin + (room - frame.width() * frame.scale) / 2;
    frame.bottom = heading_height + 10 + frame.height() * frame.scale;
    const Box box = frame.box();
    const double bar = frame.bottom + 88;
    const Foot foot(sheet.text.answers);
    const double foot_top = bar + 22;

    const double page_height = std::ceil(foot_top + foot.height());
    Canvas canvas(page_width, page_height, format);
    draw_heading(canvas, sheet.text);
    panel.draw(canvas, frame, PanelDetail::small);
    draw_key(canvas, sheet, {page_margin, bar - 8});
    draw_north(canvas, {box.right - 20, bar});
    draw_scale_bar(canvas, {box.right - 64, bar}, frame.scale, sheet.text.length);
    foot.draw(canvas, foot_top);
    return {canvas.finish(), page_height, canvas.words()};
}

} // namespace duskcast
