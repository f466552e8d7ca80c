#include "trench_grid.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <queue>
#include <utility>

#include "duskcast/site/layout.hpp"
#include "duskcast/site/steps_plan.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {
namespace {

constexpr int most_cells = 12000;
constexpr double finest_step = 0.3;                    ///< metres
constexpr double room = 4;                             ///< metres round everything, to go round a house
constexpr double pool_distance = 10 * metres_per_foot; ///< from water, as customary for low voltage

// What a metre of trench costs beside one in lawn (common practice, no source): beds are dug easily, paving
// has to be crossed in a sleeve.
constexpr double bed_cost = 0.7;
constexpr double edge_cost = 0.8;
constexpr double paving_cost = 5;
constexpr double near_water_cost = 4; ///< from the customary distance on
constexpr double at_water_cost = 12;  ///< at its edge, beyond that
constexpr double edge_reach = 0.6;    ///< metres
constexpr double wall_distance = 0.1; ///< metres; nearer no trench can be dug
constexpr double digging_room = 1;    ///< metres over the ground; under what hangs lower none can be dug

constexpr std::array<std::pair<int, int>, 8> neighbours{
    {{1, 0}, {0, 1}, {-1, 0}, {0, -1}, {1, 1}, {-1, 1}, {-1, -1}, {1, -1}}};

double cross(const glm::dvec2& a, const glm::dvec2& b) {
    return a.x * b.y - a.y * b.x;
}

bool do_cross(const glm::dvec2& a, const glm::dvec2& b, const glm::dvec2& c, const glm::dvec2& d) {
    const double abc = cross(b - a, c - a), abd = cross(b - a, d - a);
    const double cda = cross(d - c, a - c), cdb = cross(d - c, b - c);
    return abc * abd < 0 && cda * cdb < 0;
}

} // namespace

std::vector<GroundBody> list_ground_bodies(const Site& site) {
    std::vector<GroundBody> bodies;
    const auto add = [&](const std::string& id, std::vector<std::vector<glm::dvec2>> outlines,
                         double bottom) {
        const glm::dvec2 middle = (outlines[0][0] + outlines[0][2]) / 2.0;
        if (bottom < ground_height_at(site.ground, middle) + digging_room)
            bodies.push_back({id, std::move(outlines)});
    };
    for (const Wall& wall : site.walls)
        for (const Projection& projection : wall.projections)
            add(wall.id + "." + projection.id, {outline_of(wall, projection)}, wall.foot + projection.bottom);
    for (const Steps& steps : site.steps) {
        std::vector<std::vector<glm::dvec2>> outlines;
        for (const Tread& tread : plan_steps(site, steps).treads)
            outlines.push_back(tread.outline);
        add(steps.id, std::move(outlines), steps.foot);
    }
    return bodies;
}

TrenchGrid::TrenchGrid(const Site& site, const std::vector<glm::dvec2>& places)
    : bodies_(list_ground_bodies(site)), site_(site), waters_(list_waters(site)) {
    glm::dvec2 low = places.front(), high = places.front();
    const auto include = [&](const glm::dvec2& point) {
        low = glm::min(low, point);
        high = glm::max(high, point);
    };
    for (const glm::dvec2& place : places)
        include(place);
    for (const Wall& wall : site.walls) {
        std::size_t count = wall.path.size();
        for (std::size_t i = 0; i < count; ++i) {
            include(wall.path[i]);
            if (i + 1 < count || wall.closed)
                walls_.push_back({wall.path[i], wall.path[(i + 1) % count]});
        }
    }
    low -= room;
    high += room;
    const glm::dvec2 size = high - low;
    step_ = std::max(finest_step, std::sqrt(size.x * size.y / most_cells));
    columns_ = std::max(1, static_cast<int>(std::ceil(size.x / step_)));
    rows_ = std::max(1, static_cast<int>(std::ceil(size.y / step_)));
    corner_ = low;
    for (int cell = 0; cell < columns_ * rows_; ++cell)
        cost_.push_back(cost_at(middle_of(cell)));
    for (int cell = 0; cell < columns_ * rows_; ++cell) {
        int bits = 0;
        for (std::size_t i = 0; i < neighbours.size(); ++i) {
            const auto [dx, dy] = neighbours[i];
            const int x = column(cell) + dx, y = row(cell) + dy;
            if (x >= 0 && y >= 0 && x < columns_ && y < rows_ &&
                std::isfinite(cost_[static_cast<std::size_t>(y) * static_cast<std::size_t>(columns_) +
                                    static_cast<std::size_t>(x)]) &&
                !is_walled(middle_of(cell), middle_of(y * columns_ + x)))
                bits |= 1 << i;
        }
        is_open_.push_back(static_cast<std::uint8_t>(bits));
    }
}

double TrenchGrid::cost_at(const glm::dvec2& point) const {
    for (const Wall& wall : site_.walls)
        if (wall.closed && is_inside(wall.path, point))
            return HUGE_VAL;
    for (const GroundBody& body : bodies_)
        for (const std::vector<glm::dvec2>& outline : body.outlines)
            if (is_inside(outline, point) || distance_to_line(point, outline, true) < wall_distance)
                return HUGE_VAL;
    const GroundKind kind = ground_kind_at(site_.ground, point);
    bool is_at_edge = false;
    double to_water = pool_distance;
    for (const GroundArea& area : site_.ground.areas) {
        const double away = distance_to_line(point, area.outline, true);
        is_at_edge = is_at_edge || away < edge_reach;
    }
    for (const Water& water : waters_)
        to_water = std::min(to_water, distance_to_line(point, water.outline, true));
    // A pond ends where paving lies over it; a fountain does not.
    if (kind == GroundKind::water ||
        std::any_of(site_.fountains.begin(), site_.fountains.end(), [&](const Fountain& fountain) {
            return glm::distance(point, fountain.at) < fountain.width / 2;
        }))
        return HUGE_VAL;
    for (const Wall& wall : site_.walls) {
        const double away = distance_to_line(point, wall.path, wall.closed);
        if (away < wall_distance)
            return HUGE_VAL;
        is_at_edge = is_at_edge || away < edge_reach;
    }
    double cost = kind == GroundKind::paving                             ? paving_cost
                  : kind == GroundKind::bed || kind == GroundKind::mulch ? bed_cost
                  : is_at_edge                                           ? edge_cost
                                                                         : 1;
    for (const Tree& tree : site_.trees) // roots and trunk
        if (glm::distance(point, tree.at) < trunk_diameter(tree))
            cost = paving_cost;
    // The nearer to water, the dearer: a cable that has to come near keeps as far off as it can.
    const double nearness = 1 - to_water / pool_distance;
    return nearness > 0 ? cost * (near_water_cost + at_water_cost * nearness) : cost;
}

bool TrenchGrid::is_walled(const glm::dvec2& from, const glm::dvec2& to) const {
    return std::any_of(walls_.begin(), walls_.end(),
                       [&](const Segment& wall) { return do_cross(from, to, wall.from, wall.to); });
}

glm::dvec2 TrenchGrid::middle_of(int cell) const {
    return corner_ + step_ * glm::dvec2(column(cell) + 0.5, row(cell) + 0.5);
}

int TrenchGrid::cell_near(const glm::dvec2& place) const {
    int best = 0;
    double least = HUGE_VAL;
    for (int cell = 0; cell < columns_ * rows_; ++cell) {
        const auto i = static_cast<std::size_t>(cell);
        const double away = glm::distance(place, middle_of(cell));
        if (std::isfinite(cost_[i]) && away < least && !is_walled(place, middle_of(cell))) {
            least = away;
            best = cell;
        }
    }
    return best;
}

Ways TrenchGrid::find_ways(int start) const {
    const std::size_t count = cost_.size();
    Ways ways{std::vector<double>(count, HUGE_VAL), std::vector<int>(count, -1)};
    using Entry = std::pair<double, int>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
    ways.cost[static_cast<std::size_t>(start)] = 0;
    queue.emplace(0, start);
    while (!queue.empty()) {
        const auto [cost, cell] = queue.top();
        queue.pop();
        if (cost > ways.cost[static_cast<std::size_t>(cell)])
            continue;
        for (std::size_t n = 0; n < neighbours.size(); ++n) {
            if ((is_open_[static_cast<std::size_t>(cell)] >> n & 1) == 0)
                continue;
            const auto [dx, dy] = neighbours[n];
            const int next = cell + dy * columns_ + dx;
            const auto i = static_cast<std::size_t>(next);
            const double metres = step_ * (dx != 0 && dy != 0 ? std::sqrt(2.0) : 1);
            const double sum = cost + metres * (cost_[static_cast<std::size_t>(cell)] + cost_[i]) / 2;
            if (!(sum < ways.cost[i]))
                continue;
            ways.cost[i] = sum;
            ways.before[i] = cell;
            queue.emplace(sum, next);
        }
    }
    return ways;
}

std::vector<TrenchStep> TrenchGrid::list_steps(const Ways& ways, int cell) const {
    std::vector<TrenchStep> steps;
    const auto cost_to = [&](int one) { return ways.cost[static_cast<std::size_t>(one)]; };
    for (int here = cell; ways.before[static_cast<std::size_t>(here)] >= 0;) {
        const int before = ways.before[static_cast<std::size_t>(here)];
        steps.push_back({.cell = here,
                         .cost = cost_to(here) - cost_to(before),
                         .metres = glm::distance(middle_of(here), middle_of(before))});
        here = before;
    }
    std::reverse(steps.begin(), steps.end());
    return steps;
}

double TrenchGrid::line_cost(const glm::dvec2& from, const glm::dvec2& to) const {
    if (is_walled(from, to))
        return HUGE_VAL;
    const double length = glm::distance(from, to);
    const int samples = std::max(1, static_cast<int>(std::ceil(length / (step_ / 2))));
    double sum = 0;
    for (int i = 0; i < samples; ++i) {
        const glm::dvec2 point = glm::mix(from, to, (i + 0.5) / samples);
        const glm::dvec2 cell = glm::floor((point - corner_) / step_);
        const int x = std::clamp(static_cast<int>(cell.x), 0, columns_ - 1);
        const int y = std::clamp(static_cast<int>(cell.y), 0, rows_ - 1);
        sum += cost_[static_cast<std::size_t>(y) * static_cast<std::size_t>(columns_) +
                     static_cast<std::size_t>(x)] *
               length / samples;
    }
    return sum;
}

std::vector<glm::dvec2> TrenchGrid::draw_way(const Ways& ways, int cell) const {
    std::vector<int> cells;
    for (int here = cell; here >= 0; here = ways.before[static_cast<std::size_t>(here)])
        cells.push_back(here);
    std::reverse(cells.begin(), cells.end());
    // From each corner straight on, as far as that costs no more than the way along the cells.
    const double tolerance = 1.02;
    const auto cost_to = [&](std::size_t i) { return ways.cost[static_cast<std::size_t>(cells[i])]; };
    std::vector<glm::dvec2> drawn{middle_of(cells.front())};
    for (std::size_t here = 0; here + 1 < cells.size();) {
        std::size_t best = here + 1;
        for (std::size_t next = here + 2; next < cells.size(); ++next)
            if (line_cost(middle_of(cells[here]), middle_of(cells[next])) <=
                (cost_to(next) - cost_to(here)) * tolerance)
                best = next;
        here = best;
        drawn.push_back(middle_of(cells[here]));
    }
    return drawn;
}

} // namespace duskcast
