#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>

#include "duskcast/draw/labels.hpp"
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

/// A part of the plan that is drawn again beside it, larger.
struct PlanInset {
    PlateFrame frame;
    InsetMark mark;
    double zoom = 1;
    bool is_left = false;
};

constexpr std::size_t least_crowd = 3;            ///< fixtures; two names go to either side
constexpr double most_zoom = 4, least_zoom = 1.7; ///< of an inset
constexpr double most_inset_height = 400;
constexpr double inset_gap = 28; ///< between plan, insets and margin
constexpr double caption_room = 30;

/// Fixtures so near to the next that their names would lie on its mark, in groups.
std::vector<std::vector<std::size_t>> find_crowds(const GroundSheet& sheet, const PlateFrame& frame) {
    const std::size_t count = sheet.fixtures.size();
    std::vector<glm::dvec2> marks, reach;
    for (const PlanFixture& fixture : sheet.fixtures) {
        marks.push_back(frame.at(fixture.at));
        reach.push_back(measure_text(fixture.id, {.size = 13.5, .is_bold = true}) + glm::dvec2(12));
    }
    std::vector<std::size_t> group(count);
    std::iota(group.begin(), group.end(), std::size_t{0});
    for (std::size_t i = 0; i < count; ++i)
        for (std::size_t j = 0; j < i; ++j) {
            const glm::dvec2 apart = glm::abs(marks[i] - marks[j]), room = glm::max(reach[i], reach[j]);
            if (apart.x < room.x && apart.y < room.y && group[i] != group[j])
                std::replace(group.begin(), group.end(), std::size_t{group[i]}, std::size_t{group[j]});
        }
    std::vector<std::vector<std::size_t>> crowds(count);
    for (std::size_t i = 0; i < count; ++i)
        crowds[group[i]].push_back(i);
    std::erase_if(crowds, [](const std::vector<std::size_t>& crowd) { return crowd.size() < least_crowd; });
    return crowds;
}

/// Insets of the crowds on the nearer side of the plan, each as near its place as the others allow; none of
/// those that would be hardly larger there.
std::vector<PlanInset> place_insets(const GroundSheet& sheet, const PlateFrame& plan) {
    const Box box = plan.box();
    const double room = box.left - page_margin - inset_gap; // as much to the right
    std::vector<PlanInset> insets;
    for (const std::vector<std::size_t>& crowd : find_crowds(sheet, plan)) {
        glm::dvec2 low(HUGE_VAL), high(-HUGE_VAL);
        for (const std::size_t i : crowd) {
            low = glm::min(low, sheet.fixtures[i].at);
            high = glm::max(high, sheet.fixtures[i].at);
        }
        const double rim = 30 / plan.scale;
        PlanInset inset;
        PlateFrame& part = inset.frame;
        part.u0 = std::max(plan.u0, low.x - rim);
        part.v0 = std::max(plan.v0, low.y - rim);
        part.u1 = std::min(plan.u1, high.x + rim);
        part.v1 = std::min(plan.v1, high.y + rim);
        inset.zoom = std::min({most_zoom, room / (part.width() * plan.scale),
                               most_inset_height / (part.height() * plan.scale)});
        if (inset.zoom < least_zoom)
            continue;
        part.scale = inset.zoom * plan.scale;
        const glm::dvec2 top_left = plan.at({part.u0, part.v1}), foot_right = plan.at({part.u1, part.v0});
        inset.mark.box = {top_left.x, top_left.y, foot_right.x, foot_right.y};
        inset.is_left = inset.mark.box.middle().x < box.middle().x;
        insets.push_back(inset);
    }
    std::vector<PlanInset> placed;
    for (const bool is_left : {true, false}) {
        std::vector<PlanInset> side;
        for (const PlanInset& inset : insets)
            if (inset.is_left == is_left)
                side.push_back(inset);
        for (; !side.empty(); side.pop_back()) { // the last goes where they do not all fit
            std::vector<double> wanted, heights;
            for (const PlanInset& inset : side) {
                wanted.push_back(inset.mark.box.middle().y);
                heights.push_back(inset.frame.height() * inset.frame.scale + caption_room);
            }
            const auto middles = spread_labels(wanted, heights, box.top, box.bottom, inset_gap);
            if (!middles)
                continue;
            for (std::size_t i = 0; i < side.size(); ++i) {
                PlateFrame& part = side[i].frame;
                const double width = part.width() * part.scale;
                part.left = is_left ? box.left - inset_gap - width : box.right + inset_gap;
                part.bottom = (*middles)[i] + heights[i] / 2 - caption_room;
                side[i].mark.name = std::string(1, static_cast<char>('A' + placed.size()));
                placed.push_back(side[i]);
            }
            break;
        }
    }
    return placed;
}

void draw_insets(Canvas& canvas, const PlanPanel& panel, const std::vector<PlanInset>& insets) {
    for (const PlanInset& inset : insets) {
        panel.draw_part(canvas, inset.frame);
        const Box box = inset.frame.box();
        canvas.text(fmt::format("{}, {:.2g} times as large", inset.mark.name, inset.zoom),
                    {box.left, box.bottom + caption_room / 2}, Anchor::left, {.size = 15, .ink = text_ink});
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
    const Foot foot(sheet.text.answers, sheet.text.note);
    const double foot_top = bar + 22;

    const double page_height = std::ceil(foot_top + foot.height());
    Canvas canvas(page_width, page_height, format);
    draw_heading(canvas, sheet.text);
    const std::vector<PlanInset> insets = place_insets(sheet, frame);
    std::vector<InsetMark> marks;
    for (const PlanInset& inset : insets)
        marks.push_back(inset.mark);
    panel.draw_with_insets(canvas, frame, marks);
    draw_insets(canvas, panel, insets);
    draw_key(canvas, sheet, {page_margin, bar - 8});
    draw_north(canvas, {box.right - 20, bar});
    draw_scale_bar(canvas, {box.right - 64, bar}, frame.scale, sheet.text.length);
    foot.draw(canvas, foot_top);
    return {canvas.finish(), page_height, canvas.words()};
}

} // namespace duskcast
