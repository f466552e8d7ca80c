#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/base/units.hpp"
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

Surface face_of(const Surface& surface, std::size_t segment) {
    Surface face = surface;
    const RunSegment& piece = surface.run[segment];
    const double from = piece.along, to = piece.along + piece.length, touching = 1e-6;
    face.run = {piece};
    face.outline.clear();
    for (const OutlineShape& shape : surface.outline) {
        OutlineShape kept = shape;
        if (shape.role == OutlineShape::Role::corner)
            continue; // faces meet there
        if (shape.role == OutlineShape::Role::edge && shape.is_closed)
            kept.points = clip(clip(shape.points, 0, from, -1), 0, to, 1);
        const bool is_there = std::any_of(kept.points.begin(), kept.points.end(), [&](const glm::dvec2& uv) {
            return uv.x > from + touching && uv.x < to - touching;
        });
        const bool spans = shape.role == OutlineShape::Role::edge && kept.points.size() > 2;
        if (is_there || spans)
            face.outline.push_back(std::move(kept));
    }
    for (int column = 0; column < face.grid.columns; ++column)
        for (int row = 0; row < face.grid.rows; ++row)
            if (const double u = face.grid.u_of(column); u < from || u > to)
                face.grid.sensor[static_cast<std::size_t>(row) * static_cast<std::size_t>(face.grid.columns) +
                                 static_cast<std::size_t>(column)] = -1;
    return face;
}

std::string name_side(const Surface& surface, int face) {
    const auto side = [&](int i) {
        const glm::dvec2 out = surface.run[static_cast<std::size_t>(i)].outward;
        return print_compass(std::atan2(out.x, out.y), 8);
    };
    int number = 1;
    for (int i = 0; i < face; ++i)
        number += side(i) == side(face) ? 1 : 0;
    return side(face) + (number > 1 ? fmt::format("-{}", number) : "");
}

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
    const Foot foot(sheet.text.answers, sheet.text.note);
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
