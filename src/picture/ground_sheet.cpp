#include <algorithm>
#include <cmath>
#include <numeric>

#include "shading.hpp"
#include "sheets.hpp"

namespace duskcast {
namespace {

constexpr double most_height = 860;
constexpr double sample = 3; // pixels a colour sample

const Ink light_ink{{1, 0.99, 0.96}, 0.95};
const Ink shade_ink{{0.05, 0.04, 0.12}, 0.7};
const Ink wall_ink{{0.25, 0.25, 0.29}, 1};
const Ink house_ink{{0.80, 0.80, 0.80}, 1};

struct PlanFrame {
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    double scale = 1;
    double left = 0, bottom = 0;

    glm::dvec2 at(const glm::dvec2& plan) const {
        return {left + (plan.x - x0) * scale, bottom - (plan.y - y0) * scale};
    }
    std::vector<glm::dvec2> at(const std::vector<glm::dvec2>& points) const {
        std::vector<glm::dvec2> result;
        for (const glm::dvec2& point : points)
            result.push_back(at(point));
        return result;
    }
    Box box() const { return {left, bottom - (y1 - y0) * scale, left + (x1 - x0) * scale, bottom}; }
};

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
};

Box box_at(const glm::dvec2& middle, const glm::dvec2& size) {
    return {middle.x - size.x / 2, middle.y - size.y / 2, middle.x + size.x / 2, middle.y + size.y / 2};
}

/// Places names on the plan, each at the first free of its spots.
class NamePlacer {
public:
    NamePlacer(const Box& frame, LabelSpace& space) : frame_(frame), space_(space) {}

    /// On a point, or a little above or below it.
    void add_on(const std::string& name, const glm::dvec2& at, const TextStyle& style) {
        std::vector<Box> candidates;
        for (const double lift : {0.0, 18.0, -18.0, 36.0, -36.0})
            candidates.push_back(box_at(at + glm::dvec2(0, lift), size_of(name, style)));
        add_first(name, candidates, style);
    }

    /// Beside a mark, rather on the side that `stem` points away from.
    void add_beside(const std::string& name, const glm::dvec2& at, const glm::dvec2& stem,
                    const TextStyle& style) {
        std::vector<glm::dvec2> ways = {{1, 0},     {-1, 0},     {0, 1},      {0, -1},
                                        {0.8, 0.8}, {-0.8, 0.8}, {0.8, -0.8}, {-0.8, -0.8}};
        std::stable_sort(ways.begin(), ways.end(), [&](const glm::dvec2& a, const glm::dvec2& b) {
            return std::round(4 * glm::dot(a, stem)) < std::round(4 * glm::dot(b, stem));
        });
        std::vector<Box> candidates;
        for (const double away : {8.0, 18.0, 30.0})
            for (const glm::dvec2& way : ways)
                candidates.push_back(
                    box_at(at + way * (away + size_of(name, style) / 2.0), size_of(name, style)));
        add_first(name, candidates, style);
    }

    const std::vector<Name>& names() const { return names_; }

private:
    static glm::dvec2 size_of(const std::string& name, const TextStyle& style) {
        return measure_text(name, style) + glm::dvec2(4, 2);
    }
    void add_first(const std::string& name, std::vector<Box>& candidates, const TextStyle& style) {
        std::erase_if(candidates, [&](const Box& box) { return !frame_.contains(box); });
        if (const std::optional<Box> box = space_.take_first_free(candidates))
            names_.push_back({name, box->middle(), style});
    }

    Box frame_;
    LabelSpace& space_;
    std::vector<Name> names_;
};

glm::dvec2 middle_of(const std::vector<glm::dvec2>& points) {
    return std::accumulate(points.begin(), points.end(), glm::dvec2(0)) /
           static_cast<double>(std::max<std::size_t>(points.size(), 1));
}

/// In the middle of a house; behind the middle of a wall that stands free.
glm::dvec2 name_spot(const PlanLine& wall, const PlanFrame& frame) {
    if (wall.is_closed || wall.points.size() < 2)
        return frame.at(middle_of(wall.points));
    const std::vector<glm::dvec2> points = frame.at(wall.points);
    const std::size_t i = (points.size() - 1) / 2;
    const glm::dvec2 way = glm::normalize(points[i + 1] - points[i]);
    return (points[i] + points[i + 1]) / 2.0 + 18.0 * glm::dvec2(way.y, -way.x);
}

void draw_wall(Canvas& canvas, const std::vector<glm::dvec2>& points, bool is_closed) {
    canvas.line(points, is_closed, 6.5, wall_ink);
    canvas.line(points, is_closed, 3.5, house_ink);
}

void draw_things(Canvas& canvas, const GroundSheet& sheet, const PlanFrame& frame) {
    for (const PlanLine& area : sheet.areas)
        draw_cased(canvas, frame.at(area.points), true, 1);
    for (const PlanLine& shrub : sheet.shrubs) {
        if (shrub.width > 0)
            canvas.line(frame.at(shrub.points), false, shrub.width * frame.scale, {light_ink.colour, 0.22});
        draw_cased(canvas, frame.at(shrub.points), shrub.is_closed, 1.2, {3, 3});
    }
    for (const PlanCircle& tree : sheet.trees) {
        const glm::dvec2 middle = frame.at(tree.middle);
        canvas.circle(middle, tree.radius * frame.scale, 3.4, shade_ink, {7, 5});
        canvas.circle(middle, tree.radius * frame.scale, 1.5, light_ink, {7, 5});
        canvas.fill_disk(middle, std::max(3.0, tree.trunk_radius * frame.scale), house_ink);
    }
    for (const PlanLine& mesh : sheet.meshes)
        draw_cased(canvas, frame.at(mesh.points), true, 2);
    for (const PlanLine& wall : sheet.walls) {
        const std::vector<glm::dvec2> points = frame.at(wall.points);
        if (wall.is_closed)
            canvas.fill(points, house_ink);
        draw_wall(canvas, points, wall.is_closed);
    }
}

std::vector<Name> place_names(const GroundSheet& sheet, const PlanFrame& frame, LabelSpace& space) {
    for (const PlanFixture& fixture : sheet.fixtures)
        space.take(box_at(frame.at(fixture.at), glm::dvec2(16)));
    NamePlacer placer(frame.box(), space);
    for (const PlanFixture& fixture : sheet.fixtures)
        placer.add_beside(fixture.id, frame.at(fixture.at), {fixture.stem.x, -fixture.stem.y},
                          name_style(13.5, true));
    for (const PlanCircle& tree : sheet.trees)
        placer.add_beside(tree.id, frame.at(tree.middle), {}, name_style(14, false));
    const TextStyle on_house{.size = 15, .is_bold = true, .ink = text_ink};
    for (const PlanLine& wall : sheet.walls)
        placer.add_on(wall.id, name_spot(wall, frame), wall.is_closed ? on_house : name_style(15, true));
    for (const std::vector<PlanLine>* lines : {&sheet.areas, &sheet.meshes, &sheet.shrubs})
        for (const PlanLine& line : *lines)
            placer.add_on(line.id, frame.at(middle_of(line.points)), name_style(13, false));
    return placer.names();
}

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
        draw_wall(canvas, {{x, at.y}, {x + 30, at.y}}, false);
        add_words("wall", 42);
    }
}

} // namespace

std::string draw_ground_sheet(const GroundSheet& sheet, PictureFormat format) {
    const SensorGrid grid = merge_grids(sheet.grounds);
    PlanFrame frame;
    frame.x0 = grid.u0;
    frame.y0 = grid.v0;
    frame.x1 = grid.u0 + std::max(1, grid.columns) * std::max(grid.step, 0.01);
    frame.y1 = grid.v0 + std::max(1, grid.rows) * std::max(grid.step, 0.01);
    const double room = page_width - 2 * page_margin;
    frame.scale = std::min(room / (frame.x1 - frame.x0), most_height / (frame.y1 - frame.y0));
    frame.left = page_margin + (room - (frame.x1 - frame.x0) * frame.scale) / 2;
    frame.bottom = heading_height + 10 + (frame.y1 - frame.y0) * frame.scale;
    const Box box = frame.box();
    const double bar = frame.bottom + 88;
    const Foot foot(sheet.text);
    const double foot_top = bar + 22;

    Canvas canvas(page_width, std::ceil(foot_top + foot.height()), format);
    draw_heading(canvas, sheet.text);
    LabelSpace space;
    std::vector<LevelLines> levels;
    if (grid.columns > 0) {
        const LightField field(grid, sheet.lux);
        canvas.image(shade_field(std::max(1, static_cast<int>(std::ceil(box.width() / sample))),
                                 std::max(1, static_cast<int>(std::ceil(box.height() / sample))),
                                 [&](double x, double y) {
                                     return field.lux_at(frame.x0 + x * (frame.x1 - frame.x0),
                                                         frame.y1 - y * (frame.y1 - frame.y0));
                                 }),
                     box, {}, true);
        for (const double level : sheet.text.levels_lx) {
            levels.push_back({level, {}});
            for (const std::vector<glm::dvec2>& line : field.contours(level))
                levels.back().lines.push_back(frame.at(line));
        }
    }
    draw_things(canvas, sheet, frame);
    canvas.line({{box.left, box.top}, {box.right, box.top}, {box.right, box.bottom}, {box.left, box.bottom}},
                true, 1.2, text_ink);
    for (const PlanFixture& fixture : sheet.fixtures)
        draw_fixture_mark(canvas, frame.at(fixture.at), {fixture.stem.x, -fixture.stem.y});
    const std::vector<Name> names = place_names(sheet, frame, space);
    draw_level_lines(canvas, levels, sheet.text.light, box, space);
    for (const Name& name : names)
        canvas.text(name.text, name.middle, Anchor::middle, name.style);
    draw_key(canvas, sheet, {page_margin, bar - 8});
    draw_north(canvas, {box.right - 20, bar});
    draw_scale_bar(canvas, {box.right - 64, bar}, frame.scale, sheet.text.length);
    foot.draw(canvas, foot_top);
    return canvas.finish();
}

} // namespace duskcast
