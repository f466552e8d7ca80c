// Trenches over the grid against plane geometry. Prices of a metre: bed 0.7, lawn 1, an edge 0.8, paving 5,
// near water four times as much (common practice, no source).

#include "../../src/power/trench_grid.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "duskcast/site/layout.hpp"

using namespace duskcast;

namespace {

/// Eight neighbours: straight steps and diagonal ones.
double octile(const glm::dvec2& a, const glm::dvec2& b) {
    const glm::dvec2 way = glm::abs(a - b);
    return std::max(way.x, way.y) + (std::sqrt(2.0) - 1) * std::min(way.x, way.y);
}

double cost_between(const TrenchGrid& grid, const glm::dvec2& from, const glm::dvec2& to) {
    return grid.find_ways(grid.cell_near(from)).cost[static_cast<std::size_t>(grid.cell_near(to))];
}

GroundArea make_band(GroundKind kind, double west, double east) {
    return {.id = "band", .kind = kind, .outline = {{west, -30}, {east, -30}, {east, 30}, {west, 30}}};
}

} // namespace

TEST_CASE("over open lawn a way costs its length by eight neighbours") {
    const TrenchGrid grid(Site{}, {{0, 0}, {20, 10}});
    for (const glm::dvec2& to : {glm::dvec2(20, 0), glm::dvec2(8, 8), glm::dvec2(15, 4), glm::dvec2(0, 10)}) {
        const glm::dvec2 from = grid.middle_of(grid.cell_near({0, 0})),
                         end = grid.middle_of(grid.cell_near(to));
        CHECK(cost_between(grid, {0, 0}, to) == doctest::Approx(octile(from, end)).epsilon(1e-9));
        CHECK(grid.line_cost(from, end) == doctest::Approx(glm::distance(from, end)).epsilon(1e-9));
    }
}

TEST_CASE("the cell near a place is the nearest one, and not on the other side of a wall") {
    Site site;
    site.walls = {{.id = "fence", .path = {{5, -6}, {5, 6}}}};
    const TrenchGrid grid(site, {{0, 0}, {10, 0}});
    CHECK(glm::distance(grid.middle_of(grid.cell_near({2, 1})), glm::dvec2(2, 1)) <=
          0.3 * std::sqrt(0.5) + 1e-9);
    CHECK(grid.middle_of(grid.cell_near({4.98, 0})).x < 5);
    CHECK(grid.middle_of(grid.cell_near({5.02, 0})).x > 5);
}

TEST_CASE("straight lines cost what they cross") {
    const auto cost_over = [](GroundKind kind) {
        Site site;
        site.ground.areas = {make_band(kind, 5, 11)};
        // 10 m, of which 6 m in the band. Across its edges 0.6 m of lawn each are cheaper, by a fifth.
        return TrenchGrid(site, {{0, -3}, {20, 3}}).line_cost({3, 0}, {13, 0});
    };
    const double lawn = 4 - 2 * 0.6 * 0.2, a_cell = 0.31; // the band's edges fall within cells
    CHECK(std::abs(cost_over(GroundKind::bed) - (lawn + 6 * 0.7)) < a_cell * 0.3 * 2);
    CHECK(std::abs(cost_over(GroundKind::paving) - (lawn + 6 * 5)) < a_cell * 4.2 * 2);
    CHECK(std::isinf(cost_over(GroundKind::water)));
}

TEST_CASE("within ten feet of water digging costs four times as much, and more the nearer it comes") {
    Site site;
    site.ground.areas = {make_band(GroundKind::water, 20, 24)};
    const TrenchGrid grid(site, {{0, -3}, {19, 3}});
    CHECK(grid.line_cost({10, -2}, {10, 2}) == doctest::Approx(4).epsilon(1e-9));
    const double a_cell = 0.31;
    double before = 4;
    for (const double off : {2.8, 2.0, 1.2}) {
        const double cost = grid.line_cost({20 - off, -2}, {20 - off, 2});
        CHECK(cost > before);
        CHECK(std::abs(cost - 4 * (4 + 12 * (1 - off / 3.048))) < 4 * 12 * a_cell / 2 / 3.048);
        before = cost;
    }
}

TEST_CASE("a fountain is water to a trench") {
    Site site;
    site.fountains = {{.id = "fountain", .at = {22, 0}, .width = 4}};
    const TrenchGrid grid(site, {{0, -3}, {30, 3}});
    CHECK(std::isinf(grid.line_cost({15, 0}, {29, 0})));
    CHECK(std::isfinite(grid.line_cost({15, 2.5}, {29, 2.5})));
    CHECK(grid.line_cost({20 - 1.5, -0.3}, {20 - 1.5, 0.3}) > 0.6 * 4);
    CHECK(grid.line_cost({16, -2}, {16, 2}) == doctest::Approx(4).epsilon(1e-9)); // more than 10 ft off
}

TEST_CASE("no trench under a porch floor or steps, and one under a bay that hangs high") {
    // A front along y = 0, seen from the south: a floor 6 m wide and 2 m deep, and steps down from it.
    Site site;
    site.walls = {{.id = "front", .path = {{0, 0}, {20, 0}}, .height = 3}};
    site.walls[0].projections = {{.id = "porch", .from = 7, .width = 6, .depth = 2, .height = 0.5}};
    site.steps = {{.id = "steps", .wall = "front", .along = 10, .setback = 2, .width = 2, .height = 0.5}};
    const std::vector<glm::dvec2> places{{5, -1}, {15, -1}};
    const auto is_open = [&](const glm::dvec2& from, const glm::dvec2& to) {
        return std::isfinite(TrenchGrid(site, places).line_cost(from, to));
    };
    CHECK_FALSE(is_open({5, -1}, {15, -1}));
    CHECK_FALSE(is_open({5, -2.3}, {15, -2.3})); // three risers of 7 in: treads of 11 in out to y = -2.8
    CHECK(is_open({5, -4}, {15, -4}));
    site.steps.clear();
    CHECK(is_open({5, -2.6}, {15, -2.6}));
    site.walls[0].projections[0].bottom = 0.8; // too low to dig under
    CHECK_FALSE(is_open({5, -1}, {15, -1}));
    site.walls[0].projections[0].bottom = 1.2;
    CHECK(is_open({5, -1}, {15, -1}));
    // From beside it to beside it: round the floor, 2.1 m down and up more than straight along.
    site.walls[0].projections[0].bottom = 0;
    const TrenchGrid grid(site, places);
    const Ways ways = grid.find_ways(grid.cell_near(places[0]));
    for (const glm::dvec2& point : grid.draw_way(ways, grid.cell_near(places[1])))
        CHECK_FALSE(is_inside({{7, -2}, {13, -2}, {13, 0}, {7, 0}}, point));
}

TEST_CASE("a way goes around the end of a wall, hardly longer than a taut string") {
    Site site;
    site.walls = {{.id = "wall", .path = {{10, -20}, {10, 4}}}};
    const TrenchGrid grid(site, {{5, 0}, {15, 0}});
    const Ways ways = grid.find_ways(grid.cell_near({5, 0}));
    const int end = grid.cell_near({15, 0});
    const std::vector<glm::dvec2> drawn = grid.draw_way(ways, end);
    // A string around (10, 4) is 2 sqrt(5^2 + 4^2) = 12.81 m long. Eight neighbours lengthen it by 8.2 % at
    // most, and the way keeps a cell off the end.
    const double taut = 2 * std::hypot(5.0, 4.0);
    CHECK(line_length(drawn) >= taut * 0.97); // its ends are the middles of cells
    CHECK(line_length(drawn) <= taut * 1.082 + 0.6);
    for (std::size_t i = 0; i + 1 < drawn.size(); ++i)
        CHECK(std::isfinite(grid.line_cost(drawn[i], drawn[i + 1])));
    CHECK(drawn.front() == grid.middle_of(grid.cell_near({5, 0})));
    CHECK(drawn.back() == grid.middle_of(end));
    CHECK(std::isinf(grid.line_cost({5, 0}, {15, 0})));
}

TEST_CASE("no way leads into a closed house or across water all around") {
    Site site;
    site.walls = {{.id = "house", .path = {{4, -2}, {10, -2}, {10, 4}, {4, 4}}, .closed = true}};
    site.ground.areas = {
        {.id = "moat", .kind = GroundKind::water, .outline = {{14, -3}, {20, -3}, {20, 3}, {14, 3}}}};
    const TrenchGrid grid(site, {{0, 0}, {22, 0}});
    const glm::dvec2 beside = grid.middle_of(grid.cell_near({17, 0})); // in the water: the nearest bank
    CHECK_FALSE(is_inside(site.ground.areas[0].outline, beside));
    const Ways ways = grid.find_ways(grid.cell_near({0, 0}));
    for (std::size_t cell = 0; cell < ways.cost.size(); ++cell) {
        const glm::dvec2 middle = grid.middle_of(static_cast<int>(cell));
        if (is_inside(site.walls[0].path, middle) || is_inside(site.ground.areas[0].outline, middle))
            REQUIRE(std::isinf(ways.cost[cell]));
    }
    CHECK(std::isfinite(ways.cost[static_cast<std::size_t>(grid.cell_near({22, 0}))]));
}

TEST_CASE("a drawn way has few corners and costs no more than the cells it follows") {
    Site site;
    site.ground.areas = {make_band(GroundKind::paving, 8, 11)};
    const TrenchGrid grid(site, {{0, 0}, {20, 7}});
    const Ways ways = grid.find_ways(grid.cell_near({0, 0}));
    const int end = grid.cell_near({20, 7});
    const std::vector<glm::dvec2> drawn = grid.draw_way(ways, end);
    double cost = 0;
    for (std::size_t i = 0; i + 1 < drawn.size(); ++i)
        cost += grid.line_cost(drawn[i], drawn[i + 1]);
    CHECK(cost <= ways.cost[static_cast<std::size_t>(end)] * 1.02 + 1e-9);
    CHECK(drawn.size() <= 6);
    const std::vector<glm::dvec2> open =
        TrenchGrid(Site{}, {{0, 0}, {20, 7}}).draw_way(TrenchGrid(Site{}, {{0, 0}, {20, 7}}).find_ways(0), 0);
    CHECK(open.size() == 1); // from a cell to itself
}

TEST_CASE("trench grid: the steps of a way add up to its cost and lead from cell to cell") {
    Site site;
    site.ground.areas = {
        {.id = "drive", .kind = GroundKind::paving, .outline = {{3, -9}, {6, -9}, {6, 9}, {3, 9}}}};
    const std::vector<glm::dvec2> places = {{0, 0}, {9, 4}};
    const TrenchGrid grid(site, places);
    const int start = grid.cell_near(places[0]), end = grid.cell_near(places[1]);
    const Ways ways = grid.find_ways(start);
    const std::vector<TrenchStep> steps = grid.list_steps(ways, end);
    double cost = 0, metres = 0;
    int here = start;
    for (const TrenchStep& step : steps) {
        CHECK(step.metres == doctest::Approx(glm::distance(grid.middle_of(here), grid.middle_of(step.cell))));
        cost += step.cost;
        metres += step.metres;
        here = step.cell;
    }
    CHECK(here == end);
    CHECK(cost == doctest::Approx(ways.cost[static_cast<std::size_t>(end)]));
    CHECK(metres >= glm::distance(places[0], places[1]) - 0.6); // to the middles of cells
    CHECK(grid.list_steps(ways, start).empty());
}
