#include <algorithm>
#include <cmath>

#include "duskcast/picture/colour_scale.hpp"
#include "sheets.hpp"

namespace duskcast {
namespace {

constexpr double ruler_width = 128;
constexpr double table_width = 360;
constexpr double table_gap = 44;
constexpr double body_gap = 56;

Raster colours_of(const Elevation& elevation) {
    Raster raster{elevation.width, elevation.height, {}, {}};
    for (std::size_t i = 0; i < elevation.lux.size(); ++i) {
        raster.colour.push_back(lux_colour(elevation.lux[i]));
        raster.opacity.push_back(elevation.cover[i]);
    }
    return raster;
}

double width_of(const Elevation& elevation) {
    return elevation.width * elevation.step;
}

/// Where an elevation lies on the page.
struct Spot {
    double left = 0, ground = 0; ///< ground: y of the body's foot
    double scale = 1;

    double x_of(const Elevation& elevation, double u) const { return left + (u - elevation.u0) * scale; }
};

void draw_elevation(Canvas& canvas, const BodySheet& sheet, const Elevation& elevation, const Spot& place) {
    const double bottom = place.ground - (elevation.v0 - sheet.foot) * place.scale;
    const double width = width_of(elevation) * place.scale;
    const Box box{place.left, bottom - elevation.height * elevation.step * place.scale, place.left + width,
                  bottom};
    const bool is_exact = std::abs(elevation.step * place.scale - 1) < 1e-6;
    canvas.image(colours_of(elevation), box, {}, !is_exact);
    canvas.line({{box.left - 8, place.ground}, {box.right + 8, place.ground}}, false, 2.4, text_ink);
    canvas.text(elevation.from, {(box.left + box.right) / 2, heading_height + 12}, Anchor::middle,
                {.size = 16, .is_bold = true, .ink = text_ink});
}

/// The fixture's place on an elevation; `mark_x` is where its words hang.
void draw_fixtures(Canvas& canvas, const BodySheet& sheet, const Elevation& elevation, const Spot& place,
                   const std::vector<double>& marks) {
    const glm::dvec2 right(-std::cos(elevation.azimuth), std::sin(elevation.azimuth));
    for (std::size_t i = 0; i < sheet.fixtures.size(); ++i) {
        const BodyFixture& fixture = sheet.fixtures[i];
        const double above = fixture.height - sheet.foot;
        const double y = above > 1 ? place.ground - above * place.scale : place.ground + 17;
        draw_fixture_mark(canvas, {marks[i], y},
                          {glm::dot(glm::dvec2(fixture.axis), right), -fixture.axis.z});
    }
}

void draw_bands(Canvas& canvas, const BodySheet& sheet, double left, double ground, double scale) {
    const TextStyle head{.size = 13, .is_bold = true, .ink = quiet_ink};
    const TextStyle cell{.size = 14, .ink = text_ink};
    const double band_x = left + 44, mean_x = left + 206, share_x = left + 234, bar = table_width - 234 - 52;
    const double head_y = ground - sheet.bands.back().to * scale - 16;
    canvas.text("height", {band_x, head_y}, Anchor::left, head);
    canvas.text("mean", {mean_x, head_y}, Anchor::right, head);
    canvas.text(sheet.share_heading, {left + table_width, head_y}, Anchor::right, head);
    const double row_height = (sheet.bands.front().to - sheet.bands.front().from) * scale;
    const auto stride = static_cast<std::size_t>(std::max(1.0, std::ceil(18 / row_height)));
    for (std::size_t i = 0; i < sheet.bands.size(); ++i) {
        const BandRow& row = sheet.bands[i];
        const double top = ground - row.to * scale, bottom = ground - row.from * scale;
        canvas.fill(Box{left, top, left + 26, bottom}, {lux_colour(row.mean_lx), 1});
        canvas.line({{left, bottom}, {left + table_width, bottom}}, false, 0.6, hairline_ink);
        if (i % stride != 0)
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

std::string draw_body_sheet(const BodySheet& sheet, PictureFormat format) {
    const double table = sheet.bands.empty() ? 0 : table_width + table_gap;
    const double room = page_width - 2 * page_margin - ruler_width - table - body_gap;
    double widths = 0;
    for (const Elevation& elevation : sheet.elevations)
        widths += width_of(elevation);
    const double scale =
        std::min(room / std::max(widths, 0.1), body_height / std::max(sheet.top - sheet.foot, 0.1));
    const double ground = heading_height + 40 + (sheet.top - sheet.foot) * scale;
    // What is left of the room stands in equal parts beside and between the pictures.
    const double spare = (room - widths * scale) / (static_cast<double>(sheet.elevations.size()) + 1);

    std::vector<Spot> places;
    std::vector<MarkGroup> groups;
    double left = page_margin + ruler_width + 8;
    for (const Elevation& elevation : sheet.elevations) {
        left += spare;
        places.push_back({left, ground, scale});
        const glm::dvec2 right(-std::cos(elevation.azimuth), std::sin(elevation.azimuth));
        MarkGroup group{{}, left - spare / 2, left + width_of(elevation) * scale + spare / 2};
        for (const BodyFixture& fixture : sheet.fixtures)
            group.marks.push_back(places.back().x_of(elevation, glm::dot(fixture.plan, right)));
        groups.push_back(std::move(group));
        left += width_of(elevation) * scale + body_gap / 2;
    }
    std::vector<FixtureText> texts;
    for (const BodyFixture& fixture : sheet.fixtures)
        texts.push_back(fixture.text);
    const FixtureRow row(texts, groups);
    const double row_top = ground + 24;
    const double bar = row_top + row.height() + 30;
    const Foot foot(sheet.text);
    const double foot_top = bar + 18;

    Canvas canvas(page_width, std::ceil(foot_top + foot.height()), format);
    draw_heading(canvas, sheet.text);
    draw_ruler(canvas, page_margin + ruler_width - 12, ground, scale, sheet.top - sheet.foot,
               sheet.text.length, sheet.heights);
    for (std::size_t i = 0; i < sheet.elevations.size(); ++i)
        draw_elevation(canvas, sheet, sheet.elevations[i], places[i]);
    if (!sheet.bands.empty())
        draw_bands(canvas, sheet, page_width - page_margin - table_width, ground, scale);
    row.draw(canvas, row_top + 2);
    for (std::size_t i = 0; i < sheet.elevations.size(); ++i)
        draw_fixtures(canvas, sheet, sheet.elevations[i], places[i], groups[i].marks);
    draw_scale_bar(canvas, {page_width - page_margin, bar}, scale, sheet.text.length);
    foot.draw(canvas, foot_top);
    return canvas.finish();
}

} // namespace duskcast
