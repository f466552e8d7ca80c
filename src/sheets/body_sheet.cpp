#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

#include "body_panel.hpp"
#include "body_sheet.hpp"

namespace duskcast {
namespace {

constexpr double table_width = 360;
constexpr double table_gap = 44;
constexpr double body_gap = 56;

void draw_bands(Canvas& canvas, const BodySheet& sheet, double left, double ground, double scale) {
    const TextStyle head{.size = 13, .is_bold = true, .ink = quiet_ink};
    const TextStyle cell{.size = 14, .ink = text_ink};
    const double band_x = left + 44, mean_x = left + 206, share_x = left + 234, bar = table_width - 234 - 52;
    const double head_y = ground - sheet.bands.back().to * scale - 16;
    canvas.text("height", {band_x, head_y}, Anchor::left, head);
    canvas.text("mean", {mean_x, head_y}, Anchor::right, head);
    canvas.text(sheet.share_heading, {left + table_width, head_y}, Anchor::right, head);
    double row_height = 0; // the first and the last band may be cut short
    for (const BandRow& row : sheet.bands)
        row_height = std::max(row_height, (row.to - row.from) * scale);
    const auto stride = static_cast<std::size_t>(std::max(1.0, std::ceil(18 / row_height)));
    for (std::size_t i = 0; i < sheet.bands.size(); ++i) {
        const BandRow& row = sheet.bands[i];
        const double top = ground - row.to * scale, bottom = ground - row.from * scale;
        canvas.fill(Box{left, top, left + 26, bottom}, {lux_colour(row.mean_lx), 1});
        canvas.line({{left, bottom}, {left + table_width, bottom}}, false, 0.6, hairline_ink);
        if (i % stride != 0 || (bottom - top < 14 && row_height >= 18))
            continue;
        const double y = (top + bottom) / 2;
        canvas.text(row.band, {band_x, y}, Anchor::left, cell);
        canvas.text(row.mean, {mean_x, y}, Anchor::right, cell);
        const double half = std::min(8.0, row_height / 2 - 2);
        if (row.part > 0)
            canvas.fill(Box{share_x, y - half, share_x + row.part * bar, y + half}, {{0.80, 0.78, 0.80}, 1});
        canvas.text(row.share, {left + table_width, y}, Anchor::right, cell);
    }
}

} // namespace

DrawnPage draw_body_sheet(const BodySheet& sheet, PictureFormat format) {
    const double table = sheet.bands.empty() ? 0 : table_width + table_gap;
    const double room = page_width - 2 * page_margin - ruler_width - table - body_gap;
    std::vector<std::unique_ptr<BodyPanel>> panels;
    std::vector<PlateFrame> frames;
    double widths = 0;
    for (const Elevation& elevation : sheet.elevations) {
        panels.push_back(std::make_unique<BodyPanel>(sheet, elevation));
        frames.push_back(panels.back()->extent());
        widths += frames.back().width();
    }
    const double height = std::max(sheet.top - sheet.foot, 0.1);
    const double scale = std::min(room / std::max(widths, 0.1), body_height / height);
    const double ground = heading_height + 40 + height * scale;
    // What is left of the room stands in equal parts beside and between the pictures.
    const double spare = (room - widths * scale) / (static_cast<double>(panels.size()) + 1);
    std::vector<MarkGroup> groups;
    double left = page_margin + ruler_width + 8;
    for (std::size_t i = 0; i < panels.size(); ++i) {
        PlateFrame& frame = frames[i];
        frame.left = left += spare;
        frame.bottom = ground;
        frame.scale = scale;
        const double right = frame.at({frame.u1, 0}).x;
        left = right + body_gap / 2;
        MarkGroup group{{}, frame.left - spare / 2, right + spare / 2};
        for (const PlatePanel::FootMark& mark : panels[i]->foot_marks(frame))
            group.marks.push_back(mark.x);
        groups.push_back(std::move(group));
    }
    std::vector<FixtureText> texts;
    for (const BodyFixture& fixture : sheet.fixtures)
        texts.push_back(fixture.text);
    const FixtureRow row(texts, groups);
    const double row_top = ground + 24;
    const double bar = row_top + row.height() + 30;
    const Foot foot(sheet.text.answers, sheet.text.note);
    const double foot_top = bar + 18;

    const double page_height = std::ceil(foot_top + foot.height());
    Canvas canvas(page_width, page_height, format);
    draw_heading(canvas, sheet.text);
    draw_ruler(canvas, page_margin + ruler_width - 12, ground, scale, height, sheet.text.length,
               sheet.heights);
    for (std::size_t i = 0; i < panels.size(); ++i) {
        const Elevation& elevation = sheet.elevations[i];
        const double middle = elevation.u0 + elevation.width * elevation.step / 2;
        panels[i]->paint(canvas, frames[i], colour_by_lux(*panels[i]));
        canvas.text(elevation.from, {frames[i].at({middle, 0}).x, heading_height + 12}, Anchor::middle,
                    {.size = 16, .is_bold = true, .ink = text_ink});
    }
    if (!sheet.bands.empty())
        draw_bands(canvas, sheet, page_width - page_margin - table_width, ground, scale);
    row.draw(canvas, row_top + 2);
    for (std::size_t i = 0; i < panels.size(); ++i)
        panels[i]->draw_marks(canvas, frames[i]);
    draw_scale_bar(canvas, {page_width - page_margin, bar}, scale, sheet.text.length);
    foot.draw(canvas, foot_top);
    return {canvas.finish(), page_height, canvas.words()};
}

} // namespace duskcast
