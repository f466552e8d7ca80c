#include <algorithm>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "wall_panel.hpp"

namespace duskcast {
namespace {

constexpr double sample = 3; // pixels a colour sample

const Ink pane_ink{{0.47, 0.49, 0.53}, 1};
const Ink frame_ink{{0.93, 0.93, 0.92}, 1};
const Ink unlit_ink{{0.80, 0.80, 0.80}, 1};

using Polygon = std::vector<glm::dvec2>;

void draw_parts(Canvas& canvas, const WallSheet& sheet, const PlateFrame& frame, PanelDetail detail,
                LabelSpace& space) {
    for (const OutlineShape& shape : sheet.surface.outline) {
        const std::vector<glm::dvec2> points = frame.at(shape.points);
        switch (shape.role) {
        case OutlineShape::Role::opening: {
            if (!sheet.photo || !sheet.photo->is_seen(middle_of(shape.points)))
                canvas.fill(points, pane_ink);
            canvas.line(points, true, detail == PanelDetail::tiny ? 1.2 : 2, frame_ink);
            Box box{points[0].x, points[0].y, points[0].x, points[0].y};
            for (const glm::dvec2& point : points)
                box = {std::min(box.left, point.x), std::min(box.top, point.y), std::max(box.right, point.x),
                       std::max(box.bottom, point.y)};
            space.take(box);
            break;
        }
        case OutlineShape::Role::projection: {
            canvas.fill(points, unlit_ink);
            canvas.hatch(points, 9, 1, hairline_ink);
            canvas.line(points, true, 1.4, quiet_ink);
            if (points.size() < 3 || detail == PanelDetail::tiny)
                break;
            const glm::dvec2 middle = (points[0] + points[2]) / 2.0;
            const TextStyle style{.size = 14, .ink = text_ink, .halo = 3, .halo_ink = unlit_ink};
            const bool is_narrow = std::abs(points[2].x - points[0].x) < measure_text(shape.id, style).x + 8;
            space.take(canvas.text(shape.id, middle, Anchor::middle, style, is_narrow ? -pi / 2 : 0));
            break;
        }
        case OutlineShape::Role::corner:
            canvas.line(points, false, 1, {{1, 1, 1}, 0.5}, {2, 4});
            break;
        case OutlineShape::Role::edge:
        case OutlineShape::Role::gable:
        case OutlineShape::Role::area:
            canvas.line(points, shape.is_closed, shape.role == OutlineShape::Role::edge ? 1.8 : 0.8,
                        text_ink);
            break;
        }
    }
}

void draw_ground(Canvas& canvas, const PlateFrame& frame, double beyond) {
    const Box box = frame.box();
    canvas.line({{box.left - beyond, box.bottom}, {box.right + beyond, box.bottom}}, false, 2.4, text_ink);
}

/// Light enough to tell bricks and frames, dark and grey enough for white lines to stand out on.
Colour dim_daylight(const glm::vec3& linear) {
    constexpr double kept_colour = 0.5, brightness = 0.62;
    const double grey = luminance_of(glm::dvec3(linear));
    Colour dimmed{};
    for (int i = 0; i < 3; ++i)
        dimmed[static_cast<std::size_t>(i)] =
            brightness * encode_srgb(glm::mix(grey, static_cast<double>(linear[i]), kept_colour));
    return dimmed;
}

/// A card with words, placed.
struct Card {
    std::string text;
    Box box;
};

const TextStyle card_style{.size = 13.5, .is_bold = true, .ink = text_ink};

/// Marks how high the main level carries on each fixture's line. The words are returned, to be drawn over
/// the contour lines.
std::vector<Card> draw_reaches(Canvas& canvas, const WallSheet& sheet, const PlateFrame& frame,
                               const Box& room, LabelSpace& space) {
    std::vector<Card> cards;
    double words = 0;
    for (const WallFixture& fixture : sheet.fixtures)
        words += fixture.reach ? measure_text(fixture.reach_text, card_style).x + 12 : 0;
    // More would hide the light; the answers below have the figures.
    const bool has_words = words < 0.7 * frame.box().width();
    for (const WallFixture& fixture : sheet.fixtures) {
        if (!fixture.reach)
            continue;
        const glm::dvec2 foot = frame.at({fixture.along, 0}), tip = frame.at({fixture.along, *fixture.reach});
        canvas.line({foot, tip}, false, 1.1, {{1, 1, 1}, 0.55}, {3, 5});
        draw_reach_mark(canvas, tip);
        const glm::dvec2 size = measure_text(fixture.reach_text, card_style) + glm::dvec2(12, 4);
        space.take({tip.x - 12, tip.y - 7, tip.x + 12, tip.y + 7});
        // Above the mark if there is room, where the level's own contour line is not in the way.
        std::vector<Box> candidates;
        for (const glm::dvec2 way :
             {glm::dvec2(0, -1), {1, -0.6}, {-1, -0.6}, {1, 0.6}, {-1, 0.6}, {0, 1}, {0, -2.2}}) {
            const glm::dvec2 middle = tip + way * (size / 2.0 + glm::dvec2(13, 9));
            candidates.push_back(Box::round(middle, size));
        }
        std::erase_if(candidates, [&](const Box& spot) {
            return spot.left < room.left || spot.right > room.right || spot.top < room.top;
        });
        if (!has_words)
            continue;
        if (const std::optional<Box> spot = space.take_first_free(candidates))
            cards.push_back({fixture.reach_text, *spot});
    }
    return cards;
}

} // namespace

void draw_reach_mark(Canvas& canvas, const glm::dvec2& at) {
    const glm::dvec2 arm(9, 0);
    canvas.line({at - arm, at + arm}, false, 5, {text_ink.colour, 0.85});
    canvas.line({at - arm, at + arm}, false, 2.4, {{1, 1, 1}, 1});
}

WallPanel::WallPanel(const WallSheet& sheet, double least_lx)
    : sheet_(sheet), light_(sheet.surface, sheet.lux, least_lx) {}

PlateFrame WallPanel::extent() const {
    PlateFrame frame;
    const SensorGrid& grid = sheet_.surface.grid;
    frame.u0 = grid.u0;
    frame.u1 = grid.u0 + grid.columns * grid.step;
    frame.v1 = grid.v0 + grid.rows * grid.step;
    bool is_first = true;
    for (const OutlineShape& shape : sheet_.surface.outline)
        if (shape.role == OutlineShape::Role::edge)
            for (const glm::dvec2& point : shape.points) {
                frame.u0 = is_first ? point.x : std::min(frame.u0, point.x);
                frame.u1 = is_first ? point.x : std::max(frame.u1, point.x);
                frame.v1 = is_first ? point.y : std::max(frame.v1, point.y);
                is_first = false;
            }
    return frame;
}

std::optional<double> WallPanel::lux_at(const glm::dvec2& uv) const {
    return light_.lux_at(uv);
}

std::vector<glm::dvec2> WallPanel::spots() const {
    return list_spots(sheet_.surface.grid);
}

void WallPanel::paint(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at) const {
    std::vector<Polygon> clip;
    for (const Polygon& ring : light_.rings())
        clip.push_back(frame.at(ring));
    const Box box = frame.box();
    const Raster raster = shade_frame(frame, sample, colour_at);
    if (!clip.empty())
        canvas.image(Raster{1, 1, {unlit_ink.colour}, {1}}, box, clip, false); // what no sensor speaks for
    canvas.image(raster, box, clip, true);
}

void WallPanel::paint_photo(Canvas& canvas, const PlateFrame& frame) const {
    std::vector<Polygon> clip;
    for (const Polygon& ring : light_.rings())
        clip.push_back(frame.at(ring));
    const Box box = frame.box();
    Raster raster{
        static_cast<int>(std::ceil(box.width())), static_cast<int>(std::ceil(box.height())), {}, {}};
    const auto width = static_cast<std::size_t>(raster.width),
               height = static_cast<std::size_t>(raster.height);
    raster.colour.assign(width * height, Colour{0, 0, 0});
    raster.opacity.assign(width * height, 0.0);
    parallel_for(height, [&](std::size_t row) {
        for (std::size_t column = 0; column < width; ++column) {
            const glm::dvec2 uv(
                frame.u0 + (static_cast<double>(column) + 0.5) / static_cast<double>(width) * frame.width(),
                frame.v1 - (static_cast<double>(row) + 0.5) / static_cast<double>(height) * frame.height());
            if (const auto linear = sheet_.photo->linear_at(uv, 1 / frame.scale)) {
                raster.colour[row * width + column] = dim_daylight(*linear);
                raster.opacity[row * width + column] = 1;
            }
        }
    });
    canvas.image(raster, box, clip, true);
}

void WallPanel::draw_outlines(Canvas& canvas, const PlateFrame& frame) const {
    LabelSpace space;
    draw_parts(canvas, sheet_, frame, PanelDetail::tiny, space);
    draw_ground(canvas, frame, 8);
}

std::vector<LevelLines> WallPanel::find_level_lines(const PlateFrame& frame) const {
    return place_lines(sheet_.text.levels_lx, frame, [&](double level) { return light_.contours(level); });
}

std::vector<LevelLines> WallPanel::find_lines(const PlateFrame& frame, const ValueAt& value_at,
                                              const std::vector<double>& levels) const {
    const WallLight field(sheet_.surface, sample_values(sheet_.surface.grid, sheet_.lux.size(), value_at),
                          least_value);
    return place_lines(levels, frame, [&](double level) { return field.contours(level); });
}

void WallPanel::draw_face(Canvas& canvas, const PlateFrame& frame, const Box& room) const {
    paint(canvas, frame, colour_by_lux(*this));
    if (sheet_.photo)
        paint_photo(canvas, frame);
    LabelSpace space;
    draw_parts(canvas, sheet_, frame, PanelDetail::small, space);
    const std::vector<Card> cards = draw_reaches(canvas, sheet_, frame, room, space);
    draw_level_lines(canvas, find_level_lines(frame), sheet_.text.light, frame.box(), space,
                     sheet_.photo ? LinesOn::photo : LinesOn::colours);
    for (const Card& card : cards)
        canvas.card(card.text, card.box, card_style);
    draw_ground(canvas, frame, 8);
}

void WallPanel::draw_marks(Canvas& canvas, const PlateFrame& frame, double stem_end) const {
    for (const WallFixture& fixture : sheet_.fixtures) {
        // What stands in the ground is drawn below the wall's foot, what hangs on the wall in its place.
        const glm::dvec2 foot_of = frame.at({fixture.along, 0});
        glm::dvec2 at = foot_of + glm::dvec2(0, 17);
        if (fixture.height > hung_height) {
            at = frame.at({fixture.along, fixture.height});
            canvas.line({at, foot_of}, false, 1.1, {{1, 1, 1}, 0.55}, {1, 4});
            canvas.line({foot_of, {foot_of.x, stem_end}}, false, 1, hairline_ink);
        }
        draw_fixture_mark(canvas, at, {fixture.stem.x, -fixture.stem.y});
    }
}

void WallPanel::draw(Canvas& canvas, const PlateFrame& frame, PanelDetail detail) const {
    const Box box = frame.box();
    if (detail == PanelDetail::small) {
        draw_face(canvas, frame, {box.left - 4, box.top - 22, box.right + 4, box.bottom});
        draw_marks(canvas, frame, box.bottom + 24);
        return;
    }
    paint(canvas, frame, colour_by_lux(*this));
    LabelSpace space;
    draw_parts(canvas, sheet_, frame, detail, space);
    draw_bare_lines(canvas, find_level_lines(frame));
    draw_ground(canvas, frame, 0);
}

bool WallPanel::has_reaches() const {
    return std::any_of(sheet_.fixtures.begin(), sheet_.fixtures.end(),
                       [](const WallFixture& fixture) { return fixture.reach.has_value(); });
}

std::vector<PlatePanel::FootMark> WallPanel::foot_marks(const PlateFrame& frame) const {
    std::vector<FootMark> marks;
    for (const WallFixture& fixture : sheet_.fixtures)
        marks.push_back({frame.at({fixture.along, 0}).x, fixture.text.id});
    return marks;
}

} // namespace duskcast
