#include <algorithm>
#include <cmath>

#include "wall_panel.hpp"
#include "wall_sheet.hpp"

namespace duskcast {
namespace {

constexpr double most_height = 640;

PlateFrame fit(const WallPanel& panel) {
    PlateFrame frame = panel.extent();
    const double room = page_width - 2 * page_margin - ruler_width - 16;
    frame.scale = std::min(room / frame.width(), most_height / std::max(frame.v1, 0.1));
    // A narrow wall stands in the middle of its room, its ruler beside it.
    frame.left = page_margin + ruler_width + (room - frame.width() * frame.scale) / 2;
    frame.bottom = heading_height + 22 + frame.v1 * frame.scale;
    return frame;
}

} // namespace

DrawnPage draw_wall_sheet(const WallSheet& sheet, PictureFormat format) {
    const WallPanel panel(sheet);
    const PlateFrame frame = fit(panel);
    const Box box = frame.box();

    std::vector<FixtureText> texts;
    std::vector<double> marks;
    for (const WallFixture& fixture : sheet.fixtures) {
        texts.push_back(fixture.text);
        marks.push_back(frame.at({fixture.along, 0}).x);
    }
    const FixtureRow row(texts, {{marks, page_margin, page_width - page_margin}});
    const double row_top = frame.bottom + 24;
    const double bar = row_top + row.height() + 30;
    const Foot foot(sheet.text.answers);
    const double foot_top = bar + 18;
    const double page_height = std::ceil(foot_top + foot.height());
    Canvas canvas(page_width, page_height, format);
    draw_heading(canvas, sheet.text);
    panel.draw_face(canvas, frame, {frame.left, heading_height - 8, page_width - page_margin, frame.bottom});
    draw_ruler(canvas, box.left - 12, frame.bottom, frame.scale, frame.v1, sheet.text.length, sheet.heights);
    row.draw(canvas, row_top + 2);
    panel.draw_marks(canvas, frame, row_top + 2);
    if (panel.has_reaches()) {
        draw_reach_mark(canvas, {page_margin + 10, bar - 4});
        canvas.text(sheet.reach_key, {page_margin + 30, bar - 4}, Anchor::left,
                    {.size = 14, .ink = quiet_ink});
    }
    draw_scale_bar(canvas, {box.right, bar}, frame.scale, sheet.text.length);
    foot.draw(canvas, foot_top);
    return {canvas.finish(), page_height, canvas.words()};
}

} // namespace duskcast
