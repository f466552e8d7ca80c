#include <algorithm>
#include <cmath>
#include <utility>

#include "duskcast/picture/colour_scale.hpp"
#include "sheets.hpp"

namespace duskcast {
namespace {

constexpr double ruler_width = 128;
constexpr double table_width = 360;
constexpr double table_gap = 44;
constexpr double body_gap = 56;

glm::dvec2 rightwards(const Elevation& elevation) {
    return {-std::cos(elevation.azimuth), std::sin(elevation.azimuth)};
}

Raster colours_of(const Elevation& elevation) {
    Raster raster{elevation.width, elevation.height, {}, {}};
    for (std::size_t i = 0; i < elevation.lux.size(); ++i) {
        raster.colour.push_back(lux_colour(elevation.lux[i]));
        raster.opacity.push_back(elevation.cover[i]);
    }
    return raster;
}

/// An elevation's place on the page. Its room takes in the fixtures that stand beside the body.
struct Spot {
    const Elevation& elevation;
    std::vector<double> fixtures; ///< u of each
    double low = 0, high = 0;     ///< ends of the room in u
    double left = 0, ground = 0;  ///< page; ground: y of the body's foot
    double scale = 1;

    Spot(const BodySheet& sheet, const Elevation& shown) : elevation(shown) {
        low = shown.u0;
        high = shown.u0 + shown.width * shown.step;
        for (const BodyFixture& fixture : sheet.fixtures) {
            fixtures.push_back(glm::dot(fixture.plan, rightwards(shown)));
            low = std::min(low, fixtures.back());
            high = std::max(high, fixtures.back());
        }
    }
    double x_of(double u) const { return left + (u - low) * scale; }
};

void draw_elevation(Canvas& canvas, const BodySheet& sheet, const Spot& spot) {
    const Elevation& elevation = spot.elevation;
    const double bottom = spot.ground - (elevation.v0 - sheet.foot) * spot.scale;
    const Box box{spot.x_of(elevation.u0), bottom - elevation.height * elevation.step * spot.scale,
                  spot.x_of(elevation.u0 + elevation.width * elevation.step), bottom};
    const bool is_exact = std::abs(elevation.step * spot.scale - 1) < 1e-6;
    canvas.image(colours_of(elevation), box, {}, !is_exact);
    canvas.line({{spot.x_of(spot.low) - 8, spot.ground}, {spot.x_of(spot.high) + 8, spot.ground}}, false, 2.4,
                text_ink);
    canvas.text(elevation.from, {box.middle().x, heading_height + 12}, Anchor::middle,
                {.size = 16, .is_bold = true, .ink = text_ink});
}

void draw_fixtures(Canvas& canvas, const BodySheet& sheet, const Spot& spot) {
    for (std::size_t i = 0; i < sheet.fixtures.size(); ++i) {
        const BodyFixture& fixture = sheet.fixtures[i];
        const double above = fixture.height - sheet.foot;
        const double y = above > hung_height ? spot.ground - above * spot.scale : spot.ground + 17;
        draw_fixture_mark(canvas, {spot.x_of(spot.fixtures[i]), y},
                          {glm::dot(glm::dvec2(fixture.axis), rightwards(spot.elevation)), -fixture.axis.z});
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

std::string draw_body_sheet(const BodySheet& sheet, PictureFormat format) {
    const double table = sheet.bands.empty() ? 0 : table_width + table_gap;
    const double room = page_width - 2 * page_margin - ruler_width - table - body_gap;
    std::vector<Spot> spots;
    double widths = 0;
    for (const Elevation& elevation : sheet.elevations) {
        spots.emplace_back(sheet, elevation);
        widths += spots.back().high - spots.back().low;
    }
    const double height = std::max(sheet.top - sheet.foot, 0.1);
    const double scale = std::min(room / std::max(widths, 0.1), body_height / height);
    const double ground = heading_height + 40 + height * scale;
    // What is left of the room stands in equal parts beside and between the pictures.
    const double spare = (room - widths * scale) / (static_cast<double>(spots.size()) + 1);
    std::vector<MarkGroup> groups;
    double left = page_margin + ruler_width + 8;
    for (Spot& spot : spots) {
        spot.left = left += spare;
        spot.ground = ground;
        spot.scale = scale;
        left = spot.x_of(spot.high) + body_gap / 2;
        MarkGroup group{{}, spot.left - spare / 2, spot.x_of(spot.high) + spare / 2};
        for (const double u : spot.fixtures)
            group.marks.push_back(spot.x_of(u));
        groups.push_back(std::move(group));
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
    draw_ruler(canvas, page_margin + ruler_width - 12, ground, scale, height, sheet.text.length,
               sheet.heights);
    for (const Spot& spot : spots)
        draw_elevation(canvas, sheet, spot);
    if (!sheet.bands.empty())
        draw_bands(canvas, sheet, page_width - page_margin - table_width, ground, scale);
    row.draw(canvas, row_top + 2);
    for (const Spot& spot : spots)
        draw_fixtures(canvas, sheet, spot);
    draw_scale_bar(canvas, {page_width - page_margin, bar}, scale, sheet.text.length);
    foot.draw(canvas, foot_top);
    return canvas.finish();
}

} // namespace duskcast
