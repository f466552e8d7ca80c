// Upright faces by themselves: lines, holes that nearly meet, triangles without gaps, grids.

#include "../../src/stage/builder.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

UprightFace make_face(std::vector<glm::dvec2> path, bool is_closed, double height) {
    UprightFace face;
    face.run = run_of(path, is_closed);
    face.closed = is_closed;
    face.low = -0.3;
    face.foot = 0.1;
    face.top = [height](double) { return height; };
    return face;
}

/// Holes that do not overlap, one in each of some slots along the run.
std::vector<FaceRectangle> draw_holes(Dice& dice, double length, double height) {
    std::vector<FaceRectangle> holes;
    for (double u = 0.2; u + 1.2 < length; u += 1.4) {
        const double from = u + dice.uniform(0, 0.3), low = dice.uniform(0.1, 1);
        holes.push_back({from, from + dice.uniform(0.2, 0.9), low, low + dice.uniform(0.3, height - 1.3)});
    }
    return holes;
}

double area_of(const std::vector<FaceRectangle>& holes) {
    double sum = 0;
    for (const FaceRectangle& hole : holes)
        sum += (hole.u1 - hole.u0) * (hole.v1 - hole.v0);
    return sum;
}

} // namespace

TEST_CASE("a face's triangles fill all but its holes, and only its rim and theirs are free edges") {
    // Without T-junctions every other edge is walked both ways, so that what is walked once is as long as the
    // rims are.
    Dice dice(51);
    for (int trial = 0; trial < 40; ++trial) {
        CAPTURE(trial);
        const bool is_closed = trial % 2 == 1;
        UprightFace face = make_face({{0, 0}, {6, 1}, {7, 7}, {1, 5}}, is_closed, 3);
        const RunSegment& last = face.run.back();
        const double length = last.along + last.length;
        face.holes.clear();
        for (const RunSegment& segment : face.run)
            for (FaceRectangle hole : draw_holes(dice, segment.length, 3)) {
                hole.u0 += segment.along;
                hole.u1 += segment.along;
                face.holes.push_back(hole);
            }
        snap_holes(face);
        Triangles triangles;
        build_upright(face, 4, 5, true, triangles);
        const std::vector<Facet> facets = list_facets(triangles);
        CHECK(sum_solid(facets).area ==
              doctest::Approx(length * 3.3 - area_of(face.holes)).epsilon(1e-5).scale(0));
        CHECK(triangles.material.front() == 4);
        CHECK(triangles.surface.front() == 5);
        CHECK(triangles.solid.front() == 1);
        double free = 0;
        const auto edges = count_edges(facets);
        for (const auto& [edge, count] : edges) {
            CHECK(count == 1);
            if (edges.contains({edge.second, edge.first}))
                continue;
            const auto point = [](const Key& key) {
                return glm::dvec3(std::get<0>(key), std::get<1>(key), std::get<2>(key));
            };
            free += glm::distance(point(edge.first), point(edge.second));
        }
        double rims = 2 * length + (is_closed ? 0 : 2 * 3.3);
        for (const FaceRectangle& hole : face.holes)
            rims += 2 * (hole.u1 - hole.u0 + hole.v1 - hole.v0);
        CHECK(free == doctest::Approx(rims).epsilon(1e-5).scale(0));
        for (const Facet& facet : facets) { // all look outwards
            const glm::dvec3 middle = glm::dvec3(facet[0] + facet[1] + facet[2]) / 3.0;
            const double u = unfold(face.run, face.foot, middle).x;
            CHECK(glm::dot(area_vector(facet), glm::dvec3(segment_at(face.run, u).outward, 0)) > 0);
        }
    }
}

TEST_CASE("holes that nearly meet a corner, a bend or each other do meet") {
    UprightFace face = make_face({{0, 0}, {4, 0}, {4, 3}}, false, 3);
    face.breaks = {1.5};
    constexpr double off = 4e-7; // less than a micrometre
    face.holes = {{1.5 + off, 2, 0.5, 1},
                  {2 - off, 3, 0.5 + off, 1 - off},
                  {4 - off, 5, -0.3 + off, 2},
                  {3.1, 3.2, 1.5, 2 + 3e-6}};
    snap_holes(face);
    CHECK(face.holes[0].u0 == 1.5);
    CHECK(face.holes[1].u0 == 2);
    CHECK(face.holes[1].v0 == 0.5);
    CHECK(face.holes[1].v1 == 1);
    CHECK(face.holes[2].u0 == 4);
    CHECK(face.holes[2].v0 == -0.3);
    CHECK(face.holes[3].u0 == 3.1); // the others stay
    CHECK(face.holes[3].v1 == 2 + 3e-6);
    // Lines lie at bends and at the holes' edges, each once, in order, corners included.
    CHECK(upright_lines(face, 0) == std::vector<double>{0, 1.5, 2, 3, 3.1, 3.2, 4});
    CHECK(upright_lines(face, 1) == std::vector<double>{4, 5, 7});
}

TEST_CASE("corners come out the same from both sides") {
    const UprightFace closed = make_face({{0.1, 0.2}, {5.3, 0.7}, {4.1, 6.2}}, true, 3);
    const RunSegment& last = closed.run.back();
    for (std::size_t i = 0; i < closed.run.size(); ++i) {
        const RunSegment& one = closed.run[i];
        const std::size_t next = (i + 1) % closed.run.size();
        CHECK(point_on(closed, i, one.along + one.length) == point_on(closed, next, closed.run[next].along));
        // Between them they run straight.
        const glm::dvec2 middle = point_on(closed, i, one.along + one.length / 2);
        CHECK(glm::distance(middle, 0.5 * (one.start + closed.run[next].start)) < 1e-9);
    }
    const UprightFace open = make_face({{0.1, 0.2}, {5.3, 0.7}, {4.1, 6.2}}, false, 3);
    CHECK(glm::distance(point_on(open, 1, open.run[1].along + open.run[1].length), glm::dvec2(4.1, 6.2)) <
          1e-12);
    CHECK(last.along > 0);
}

TEST_CASE("a grid has as many cells as cover its surface, and too many are refused") {
    Dice dice(52);
    for (int trial = 0; trial < 100; ++trial) {
        const double length = dice.uniform(0.01, 30), height = dice.uniform(0.01, 9),
                     step = dice.uniform(0.05, 1);
        const SensorGrid grid = make_grid(length, height, step);
        CHECK(grid.columns * step > length - 1e-5);
        CHECK((grid.columns == 1 || (grid.columns - 1) * step < length));
        CHECK(grid.rows * step > height - 1e-5);
        CHECK((grid.rows == 1 || (grid.rows - 1) * step < height));
        CHECK(grid.sensor ==
              std::vector<std::int32_t>(static_cast<std::size_t>(grid.columns) * grid.rows, -1));
    }
    CHECK(make_grid(3, 0.3, 0.1).rows == 3); // not four for the sake of rounding
    CHECK(problems_of([] { make_grid(500, 50, 0.02); }) ==
          "sensor_spacing: error: a surface of 500.0 m by 50.0 m needs 62.5 million sensors at this spacing; "
          "at most 5 "
          "million are handled; give a larger sensor_spacing");
}

TEST_CASE("the sensors of a face stand for what is seen of it") {
    Dice dice(53);
    for (int trial = 0; trial < 10; ++trial) {
        UprightFace face = make_face({{0, 0}, {6, 1}, {7, 7}}, false, 3);
        face.breaks = {2, 3.5, 5};
        face.top = [](double u) { return 3 + std::max(0.0, 1.2 - 0.8 * std::abs(u - 3.5)); };
        face.holes = draw_holes(dice, 6, 3);
        face.covered = {{8, 9.5, 0, 1}};
        const Stage nothing;
        SensorGrid grid;
        const double step = dice.uniform(0.1, 0.4);
        const std::vector<SensorSpot> spots = place_face_sensors(face, step, nothing, grid);
        const RunSegment& last = face.run.back();
        // Above the foot, with a gable of 3 x 1.2 / 2; what is underground carries none.
        const double wanted = (last.along + last.length) * 3 + 1.8 - area_of(face.holes) - 1.5;
        double area = 0;
        for (const SensorSpot& spot : spots) {
            area += spot.area;
            const glm::dvec2 at = unfold(face.run, face.foot, spot.position);
            CHECK(at.y > 0);
            CHECK(at.y < face.top(at.x));
            CHECK(std::none_of(face.holes.begin(), face.holes.end(),
                               [&](const FaceRectangle& hole) { return hole.contains(at.x, at.y); }));
            CHECK(!face.covered[0].contains(at.x, at.y));
            CHECK(glm::distance(glm::dvec2(spot.normal), segment_at(face.run, at.x).outward) < 1e-9);
            CHECK(spot.area <= step * step * (1 + 1e-9));
            CHECK(spot.column == static_cast<int>(std::floor(at.x / step)));
        }
        CHECK(area == doctest::Approx(wanted).epsilon(1e-6).scale(0));
        REQUIRE(grid.top.size() == static_cast<std::size_t>(grid.columns));
        for (int column = 0; column + 1 < grid.columns; ++column)
            CHECK(grid.top[static_cast<std::size_t>(column)] ==
                  doctest::Approx(face.top(grid.u_of(column))).scale(0));
    }
}
