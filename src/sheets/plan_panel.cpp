#include <algorithm>
#include <cmath>

#include "duskcast/base/sort_stably.hpp"
#include "plan_cut.hpp"
#include "plan_panel.hpp"

namespace duskcast {
namespace {

constexpr double sample = 3;      // pixels a colour sample
constexpr double mark_radius = 5; // pixels

const Ink light_ink{{1, 0.99, 0.96}, 0.95};
const Ink shade_ink{{0.05, 0.04, 0.12}, 0.7};
const Ink wall_ink{{0.25, 0.25, 0.29}, 1};
const Ink house_ink{{0.80, 0.80, 0.80}, 1};

/// All grounds on the one lattice they share, each cell with the sensor of whatever lies on top there.
SensorGrid merge_grids(const std::vector<const Surface*>& grounds) {
    SensorGrid merged;
    for (const Surface* ground : grounds) {
        if (!ground->has_grid())
            continue;
        if (merged.columns == 0) {
            merged = ground->grid;
            continue;
        }
        for (std::size_t i = 0; i < merged.sensor.size() && i < ground->grid.sensor.size(); ++i)
            if (ground->grid.sensor[i] >= 0)
                merged.sensor[i] = ground->grid.sensor[i];
    }
    return merged;
}

/// A light line that shows on bright and dark ground.
void draw_cased(Canvas& canvas, const std::vector<glm::dvec2>& points, bool is_closed, double width,
                const std::vector<double>& dash = {}) {
    canvas.line(points, is_closed, width + 2, shade_ink, dash);
    canvas.line(points, is_closed, width, light_ink, dash);
}

TextStyle name_style(double size, bool is_bold) {
    return {.size = size,
            .is_bold = is_bold,
            .ink = light_ink,
            .halo = 2.5,
            .halo_ink = {shade_ink.colour, 0.85}};
}

/// A name and where it goes.
struct Name {
    std::string text;
    glm::dvec2 middle{0};
    TextStyle style;
    std::vector<glm::dvec2> leader; ///< empty: none
};

/// Places names on the plan, each at the first free of its spots.
class NamePlacer {
public:
    NamePlacer(const Box& frame, LabelSpace& space) : frame_(frame), space_(space) {}

    /// On a point, or a little above or below it. False: there is no room.
    bool add_on(const std::string& name, const glm::dvec2& at, const TextStyle& style) {
        std::vector<Box> candidates;
        for (const double lift : {0.0, 18.0, -18.0, 36.0, -36.0})
            candidates.push_back(Box::round(at + glm::dvec2(0, lift), size_of(name, style)));
        return add_first(name, candidates, style);
    }

    /// Beside a mark, rather on the side that `stem` points away from.
    void add_beside(const std::string& name, const glm::dvec2& at, const glm::dvec2& stem,
                    const TextStyle& style) {
        std::vector<glm::dvec2> ways = {{1, 0},     {-1, 0},     {0, 1},      {0, -1},
                                        {0.8, 0.8}, {-0.8, 0.8}, {0.8, -0.8}, {-0.8, -0.8}};
        sort_stably(ways, [&](const glm::dvec2& a, const glm::dvec2& b) {
            return std::round(4 * glm::dot(a, stem)) < std::round(4 * glm::dot(b, stem));
        });
        if (const auto label = label_mark(at, mark_radius, size_of(name, style), frame_, ways, space_))
            names_.push_back({name, label->box.middle(), style, label->leader});
    }

    const std::vector<Name>& names() const { return names_; }

private:
    static glm::dvec2 size_of(const std::string& name, const TextStyle& style) {
        return measure_text(name, style) + glm::dvec2(4, 2);
    }
    bool add_first(const std::string& name, std::vector<Box>& candidates, const TextStyle& style) {
        std::erase_if(candidates, [&](const Box& box) { return !frame_.contains(box); });
        const std::optional<Box> box = space_.take_first_free(candidates);
        if (box)
            names_.push_back({name, box->middle(), style, {}});
        return box.has_value();
    }

    Box frame_;
    LabelSpace& space_;
    std::vector<Name> names_;
};

/// In the middle of a house; behind the middle of a wall that stands free.
glm::dvec2 name_spot(const PlanLine& wall, const PlateFrame& frame) {
    if (wall.is_closed || wall.points.size() < 2)
        return frame.at(middle_of(wall.points));
    const std::vector<glm::dvec2> points = frame.at(wall.points);
    const std::size_t i = (points.size() - 1) / 2;
    const glm::dvec2 way = glm::normalize(points[i + 1] - points[i]);
    return (points[i] + points[i + 1]) / 2.0 + 18.0 * glm::dvec2(way.y, -way.x);
}

/// An arrow down the fall of the ground.
void draw_fall(Canvas& canvas, const glm::dvec2& high, const glm::dvec2& low,
               const std::optional<Box>& window) {
    constexpr double head_length = 13, head_width = 5; // pixels
    if (glm::distance(high, low) < 2 * head_length)
        return;
    const glm::dvec2 way = glm::normalize(low - high), aside(-way.y, way.x);
    for (const LinePiece& piece : cut_to_window({high, low - 0.7 * head_length * way}, false, window))
        draw_cased(canvas, piece.points, false, 1.4);
    const glm::dvec2 neck = low - head_length * way;
    const std::vector<glm::dvec2> head =
        cut_area({low, neck + head_width * aside, neck - head_width * aside}, window);
    if (head.size() < 3)
        return;
    canvas.line(head, true, 2, shade_ink);
    canvas.fill(head, light_ink);
}

void draw_things(Canvas& canvas, const GroundSheet& sheet, const PlateFrame& frame,
                 const std::optional<Box>& window) {
    const auto draw_outline = [&](const std::vector<glm::dvec2>& points, bool is_closed, double width,
                                  const std::vector<double>& dash = {}) {
        for (const LinePiece& piece : cut_to_window(points, is_closed, window))
            draw_cased(canvas, piece.points, piece.is_closed, width, dash);
    };
    for (const PlanLine& area : sheet.areas)
        draw_outline(frame.at(area.points), true, 1);
    for (const PlanFall& fall : sheet.falls)
        draw_fall(canvas, frame.at(fall.high), frame.at(fall.low), window);
    for (const PlanLine& shrub : sheet.shrubs) {
        if (shrub.width > 0)
            for (const LinePiece& piece : cut_to_window(frame.at(shrub.points), false, window))
                canvas.line(piece.points, false, shrub.width * frame.scale, {light_ink.colour, 0.22});
        draw_outline(frame.at(shrub.points), shrub.is_closed, 1.2, {3, 3});
    }
    for (const PlanCircle& tree : sheet.trees) {
        const glm::dvec2 middle = frame.at(tree.middle);
        const double radius = tree.radius * frame.scale;
        const double trunk = std::max(3.0, tree.trunk_radius * frame.scale);
        if (window) {
            for (const LinePiece& piece : cut_to_window(ring_of(middle, radius), true, window)) {
                canvas.line(piece.points, false, 3.4, shade_ink, {7, 5});
                canvas.line(piece.points, false, 1.5, light_ink, {7, 5});
            }
        } else {
            canvas.circle(middle, radius, 3.4, shade_ink, {7, 5});
            canvas.circle(middle, radius, 1.5, light_ink, {7, 5});
        }
        if (!window || window->contains(Box::round(middle, glm::dvec2(2 * trunk))))
            canvas.fill_disk(middle, trunk, house_ink);
    }
    for (const PlanLine& mesh : sheet.meshes)
        draw_outline(frame.at(mesh.points), true, 2);
    for (const PlanLine& line : sheet.steps)
        draw_outline(frame.at(line.points), line.is_closed, 1);
    const auto fill_house = [&](const std::vector<glm::dvec2>& points) {
        if (const std::vector<glm::dvec2> seen = cut_area(points, window); seen.size() >= 3)
            canvas.fill(seen, house_ink);
    };
    for (const std::vector<glm::dvec2>& house : sheet.houses)
        fill_house(frame.at(house));
    for (const PlanLine& wall : sheet.walls) {
        const std::vector<glm::dvec2> points = frame.at(wall.points);
        if (wall.is_closed)
            fill_house(points);
        for (const LinePiece& piece : cut_to_window(points, wall.is_closed, window))
            draw_plan_wall(canvas, piece.points, piece.is_closed);
    }
}

/// Names keep off the rims of insets' places, and off their letters.
void draw_inset_marks(Canvas& canvas, const std::vector<InsetMark>& insets, LabelSpace& space) {
    const Ink rim{{1, 0.82, 0.35}, 1};
    for (const auto& [box, name] : insets) {
        canvas.line(box.corners(), true, 1.4, rim);
        const std::vector<glm::dvec2> corners = box.corners();
        for (std::size_t i = 0; i < 4; ++i) {
            const glm::dvec2 &a = corners[i], &b = corners[(i + 1) % 4];
            space.take(Box::round((a + b) / 2.0, glm::abs(a - b) + glm::dvec2(3)));
        }
        space.take(canvas.text(
            name, {box.left + 8, box.top - 10}, Anchor::middle,
            {.size = 15, .is_bold = true, .ink = rim, .halo = 2.5, .halo_ink = {{0, 0, 0}, 0.7}}));
    }
}

/// Of the fixtures only those with a 1. In a part of the plan, only what has its middle there.
std::vector<Name> place_names(const GroundSheet& sheet, const PlateFrame& frame,
                              const std::vector<char>& is_named, bool is_part, LabelSpace& space) {
    for (const PlanFixture& fixture : sheet.fixtures)
        space.take(Box::round(frame.at(fixture.at), glm::dvec2(16)));
    for (const PlanFall& fall : sheet.falls)
        for (const glm::dvec2& point : walk_line({frame.at(fall.high), frame.at(fall.low)}, 4))
            space.take(Box::round(point, glm::dvec2(8)));
    NamePlacer placer(frame.box(), space);
    const auto is_here = [&](const glm::dvec2& spot) {
        return !is_part || frame.box().contains({spot.x, spot.y, spot.x, spot.y});
    };
    for (std::size_t i = 0; i < sheet.fixtures.size(); ++i)
        if (const PlanFixture& fixture = sheet.fixtures[i]; is_named[i] != 0)
            placer.add_beside(fixture.id, frame.at(fixture.at), {fixture.stem.x, -fixture.stem.y},
                              name_style(13.5, true));
    for (const PlanCircle& tree : sheet.trees)
        if (is_here(frame.at(tree.middle)))
            placer.add_beside(tree.id, frame.at(tree.middle), {}, name_style(14, false));
    const TextStyle on_house{.size = 15, .is_bold = true, .ink = text_ink};
    for (const PlanLine& wall : sheet.walls)
        if (is_here(name_spot(wall, frame)))
            placer.add_on(wall.id, name_spot(wall, frame), wall.is_closed ? on_house : name_style(15, true));
    for (const PlanFall& fall : sheet.falls)
        if (const glm::dvec2 middle = frame.at((fall.high + fall.low) / 2.0); is_here(middle))
            placer.add_beside(fall.words, middle, {}, name_style(13, false));
    for (const std::vector<PlanLine>* lines : {&sheet.areas, &sheet.meshes, &sheet.steps, &sheet.shrubs})
        for (const PlanLine& line : *lines)
            if (const glm::dvec2 middle = frame.at(middle_of(line.points));
                !line.id.empty() && is_here(middle)) {
                const bool has_arrow =
                    std::any_of(sheet.falls.begin(), sheet.falls.end(),
                                [&](const PlanFall& fall) { return fall.area == line.id; });
                if (!placer.add_on(line.id, middle, name_style(13, false)) && has_arrow)
                    placer.add_beside(line.id, middle, {}, name_style(13, false));
            }
    return placer.names();
}

} // namespace

void draw_plan_wall(Canvas& canvas, const std::vector<glm::dvec2>& points, bool is_closed) {
    canvas.line(points, is_closed, 6.5, wall_ink);
    canvas.line(points, is_closed, 3.5, house_ink);
}

PlanPanel::PlanPanel(const GroundSheet& sheet, double least_lx)
    : sheet_(sheet), grid_(merge_grids(sheet.grounds)) {
    if (grid_.columns > 0)
        field_.emplace(grid_, sheet.lux, least_lx);
}

PlateFrame PlanPanel::extent() const {
    PlateFrame frame;
    frame.u0 = grid_.u0;
    frame.v0 = grid_.v0;
    frame.u1 = grid_.u0 + std::max(1, grid_.columns) * std::max(grid_.step, 0.01);
    frame.v1 = grid_.v0 + std::max(1, grid_.rows) * std::max(grid_.step, 0.01);
    return frame;
}

std::optional<double> PlanPanel::lux_at(const glm::dvec2& uv) const {
    return field_ ? field_->value_at(uv.x, uv.y) : std::nullopt;
}

std::vector<glm::dvec2> PlanPanel::spots() const {
    return list_spots(grid_);
}

void PlanPanel::paint(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at) const {
    paint_in(canvas, frame, colour_at, {});
}

void PlanPanel::paint_in(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at,
                         const std::optional<Box>& window) const {
    const Box box = frame.box();
    if (field_)
        canvas.image(shade_frame(frame, sample, colour_at), box, {}, true);
    draw_things(canvas, sheet_, frame, window);
    canvas.line(box.corners(), true, 1.2, text_ink);
}

std::vector<LevelLines> PlanPanel::find_level_lines(const PlateFrame& frame) const {
    if (!field_)
        return {};
    return place_lines(sheet_.text.levels_lx, frame, [&](double level) { return field_->contours(level); });
}

std::vector<LevelLines> PlanPanel::find_lines(const PlateFrame& frame, const ValueAt& value_at,
                                              const std::vector<double>& levels) const {
    if (!field_)
        return {};
    const GridField field(grid_, sample_values(grid_, sheet_.lux.size(), value_at), least_value);
    return place_lines(levels, frame, [&](double level) { return field.contours(level); });
}

void PlanPanel::draw(Canvas& canvas, const PlateFrame& frame, PanelDetail detail) const {
    if (detail == PanelDetail::tiny) {
        paint(canvas, frame, colour_by_lux(*this));
        draw_bare_lines(canvas, find_level_lines(frame));
        return;
    }
    draw_all(canvas, frame, {}, {});
}

void PlanPanel::draw_with_insets(Canvas& canvas, const PlateFrame& frame,
                                 const std::vector<InsetMark>& insets) const {
    draw_all(canvas, frame, insets, {});
}

void PlanPanel::draw_part(Canvas& canvas, const PlateFrame& part) const {
    draw_all(canvas, part, {}, part.box());
}

void PlanPanel::draw_all(Canvas& canvas, const PlateFrame& frame, const std::vector<InsetMark>& insets,
                         const std::optional<Box>& window) const {
    paint_in(canvas, frame, colour_by_lux(*this), window);
    LabelSpace space;
    draw_inset_marks(canvas, insets, space);
    std::vector<char> is_named;
    for (const PlanFixture& fixture : sheet_.fixtures) {
        const glm::dvec2 at = frame.at(fixture.at);
        const bool is_here = !window || InsetMark{*window, {}}.holds(at);
        if (is_here)
            draw_fixture_mark(canvas, at, {fixture.stem.x, -fixture.stem.y});
        const bool is_elsewhere = std::any_of(insets.begin(), insets.end(),
                                              [&](const InsetMark& inset) { return inset.holds(at); });
        is_named.push_back(is_here && !is_elsewhere ? 1 : 0);
    }
    std::vector<LevelLines> levels = find_level_lines(frame);
    if (window)
        for (LevelLines& level : levels) {
            std::vector<std::vector<glm::dvec2>> kept;
            for (const std::vector<glm::dvec2>& line : level.lines)
                for (LinePiece& piece : cut_to_window(line, false, window))
                    kept.push_back(std::move(piece.points));
            level.lines = std::move(kept);
        }
    const std::vector<Name> names = place_names(sheet_, frame, is_named, window.has_value(), space);
    draw_level_lines(canvas, levels, sheet_.text.light, frame.box(), space);
    for (const Name& name : names)
        if (!name.leader.empty())
            draw_cased(canvas, name.leader, false, 1);
    for (const Name& name : names)
        canvas.text(name.text, name.middle, Anchor::middle, name.style);
}

} // namespace duskcast
