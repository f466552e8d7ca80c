// Sensors stand well inside of what they stand for, and their areas add up to closed forms, on sites shifted
// and turned.

#include <limits>

#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr double margin = 1e-5;

struct Turned {
    double angle;
    glm::dvec2 shift;

    glm::dvec2 to_site(const glm::dvec2& own) const {
        return shift + glm::dvec2(std::cos(angle) * own.x - std::sin(angle) * own.y,
                                  std::sin(angle) * own.x + std::cos(angle) * own.y);
    }
    glm::dvec2 to_own(const glm::dvec2& plan) const {
        const glm::dvec2 way = plan - shift;
        return {std::cos(angle) * way.x + std::sin(angle) * way.y,
                std::cos(angle) * way.y - std::sin(angle) * way.x};
    }
};

/// The first is the plain lattice, on which slopes, openings and walls run through the middles of cells.
const std::array<Turned, 4> turns{
    {{0, {0, 0}}, {0.3, {1.7, -2.9}}, {2.2, {31.3, 12.1}}, {-1.1, {0.05, 0.05}}}};

using Edge = std::array<glm::dvec2, 2>;

double distance_to(const Edge& edge, const glm::dvec2& point) {
    const glm::dvec2 way = edge[1] - edge[0];
    const double share = std::clamp(glm::dot(point - edge[0], way) / glm::dot(way, way), 0.0, 1.0);
    return glm::distance(point, edge[0] + share * way);
}

void add_rectangle(double u0, double v0, double u1, double v1, std::vector<Edge>& edges) {
    const std::array<glm::dvec2, 4> corner{{{u0, v0}, {u1, v0}, {u1, v1}, {u0, v1}}};
    for (std::size_t i = 0; i < 4; ++i)
        edges.push_back({corner[i], corner[(i + 1) % 4]});
}

double least_distance(const std::vector<Edge>& edges, const glm::dvec2& point) {
    double least = std::numeric_limits<double>::infinity();
    for (const Edge& edge : edges)
        least = std::min(least, distance_to(edge, point));
    return least;
}

/// Two walls that meet in a corner, 8 m and 4 m long and 3 m high, cells of 0.2 m. A gable of 45 degrees
/// whose slope runs through the middles of cells, openings whose edges do, and a garden wall that stands
/// against the front at u = 7.1, in the middle of a column, and on the ground.
Site make_lattice_site(const Turned& turned) {
    Site site = make_wall_site({turned.to_site({0, 0}), turned.to_site({8.1, 0}), turned.to_site({8.1, 4})},
                               false, 3);
    Wall& wall = site.walls[0];
    wall.gables = {{"gable", 1, 4, 5}};
    wall.openings = {make_opening("window", 1.1, 1, 0.9, 1.2), make_opening("door", 4.85, 0.95, 0, 2.1)};
    wall.projections = {make_projection("bay", 5.9, 1, 0.5, 0, 2.5)};
    Wall garden;
    garden.id = "garden";
    garden.path = {turned.to_site({7.1, 0}), turned.to_site({7.1, -3})};
    garden.height = 1.5;
    site.walls.push_back(garden);
    site.sensor_spacing = 0.2;
    site.ground_spacing = 0.2;
    GroundArea bed;
    bed.id = "bed";
    bed.kind = GroundKind::bed;
    bed.outline = {turned.to_site({0.3, -1.9}), turned.to_site({5.3, -1.9}), turned.to_site({5.3, -0.1}),
                   turned.to_site({1.1, -0.1})};
    site.ground.areas = {bed};
    site.ground.margin = 0.5;
    return site;
}

} // namespace

TEST_CASE("a wall's sensors keep off its edges, corners and what stands against it") {
    for (const Turned& turned : turns) {
        CAPTURE(turned.angle);
        const std::unique_ptr<Stage> stage = build_stage(make_lattice_site(turned), {});
        const Surface& surface = surface_named(*stage, "house");
        // 12.1 m of 3 m and the gable's triangle, less a window, a door and what the bay covers.
        const double area = 12.1 * 3 + 4 * 2 / 2.0 - 1 * 1.2 - 0.95 * 2.1 - 1 * 2.5;
        CHECK(surface.area == doctest::Approx(area).epsilon(1e-9));
        std::vector<Edge> edges{{{{0, 0}, {12.1, 0}}},    {{{0, 3}, {1, 3}}},     {{{1, 3}, {3, 5}}},
                                {{{3, 5}, {5, 3}}},       {{{5, 3}, {12.1, 3}}},  {{{0, 0}, {0, 3}}},
                                {{{12.1, 0}, {12.1, 3}}}, {{{8.1, 0}, {8.1, 3}}}, {{{7.1, 0}, {7.1, 1.5}}}};
        add_rectangle(1.1, 0.9, 2.1, 2.1, edges);
        add_rectangle(4.85, 0, 5.8, 2.1, edges);
        add_rectangle(5.9, 0, 6.9, 2.5, edges);
        double least = std::numeric_limits<double>::infinity();
        int outside = 0;
        for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i) {
            const glm::dvec2 own = turned.to_own(glm::dvec2(stage->sensors.position(i)));
            const bool is_on_flank = own.x > 8.1 - 1e-4;
            const double u = is_on_flank ? 8.1 + own.y : own.x;
            const double v = stage->sensors.z[i];
            least = std::min(least, least_distance(edges, {u, v}));
            const glm::dvec2 outward = turned.to_own(turned.shift + glm::dvec2(stage->sensors.normal(i)));
            outside += glm::distance(outward, is_on_flank ? glm::dvec2(1, 0) : glm::dvec2(0, -1)) > 1e-4;
            outside += v > 3 + std::max(0.0, 2 - std::abs(u - 3)) && u < 8;
        }
        CHECK(least > margin);
        CHECK(outside == 0);
        CHECK(surface.count > 800);
    }
}

TEST_CASE("ground sensors keep off outlines and off walls that stand on the ground") {
    for (const Turned& turned : turns) {
        CAPTURE(turned.angle);
        const std::unique_ptr<Stage> stage = build_stage(make_lattice_site(turned), {});
        const Surface& bed = surface_named(*stage, "bed");
        const Surface& ground = surface_named(*stage, "ground");
        // A trapezium; all of the grid less it and the bay.
        const double bed_area = (5.0 + 4.2) / 2 * 1.8;
        const double all = ground.grid.columns * ground.grid.rows * 0.2 * 0.2;
        CHECK(bed.area == doctest::Approx(bed_area).epsilon(1e-9));
        CHECK(ground.area == doctest::Approx(all - bed_area - 1 * 0.5).epsilon(1e-9));
        std::vector<Edge> edges{{{{0, 0}, {8.1, 0}}},         {{{8.1, 0}, {8.1, 4}}},
                                {{{7.1, 0}, {7.1, -3}}},      {{{0.3, -1.9}, {5.3, -1.9}}},
                                {{{5.3, -1.9}, {5.3, -0.1}}}, {{{5.3, -0.1}, {1.1, -0.1}}},
                                {{{1.1, -0.1}, {0.3, -1.9}}}};
        add_rectangle(5.9, -0.5, 6.9, 0, edges);
        double least = std::numeric_limits<double>::infinity();
        for (const Surface* surface : {&bed, &ground})
            for (std::uint32_t i = surface->first; i < surface->first + surface->count; ++i)
                least = std::min(
                    least, least_distance(edges, turned.to_own(glm::dvec2(stage->sensors.position(i)))));
        CHECK(least > margin);
    }
}

TEST_CASE("soffits that meet in an inner corner share it along its mitre") {
    Site site = make_wall_site({{0, 0}, {4.07, 0}, {4.07, -3.03}}, false, 3); // turns right
    Eave eave;
    eave.depth = 0.5;
    site.walls[0].eave = eave;
    site.sensor_spacing = 0.1;
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const Surface& soffit = surface_named(*stage, "house.soffit");
    // Two strips less the square of the corner, which both would cover.
    CHECK(soffit.area == doctest::Approx((4.07 + 3.03) * 0.5 - 0.25).epsilon(1e-9));
    double least = 1;
    for (std::uint32_t i = soffit.first; i < soffit.first + soffit.count; ++i) {
        const double x = 4.07 - stage->sensors.x[i], y = -stage->sensors.y[i]; // from the corner
        least = std::min(
            {least, std::abs(x - y) / std::sqrt(2.0), std::min(x, y), std::abs(0.5 - std::min(x, y))});
    }
    CHECK(least > margin);
}

TEST_CASE("a strip too narrow for a sensor belongs to the cells beside it") {
    Site site = make_wall_site({{0, 0}, {2.0004, 0}}, false, 1.0004);
    site.walls[0].openings = {make_opening("slot", 0.8002, 0.4, 0.2, 0.4)}; // leaves 0.2 mm of a column
    site.sensor_spacing = 0.2;
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const Surface& surface = surface_named(*stage, "house");
    CHECK(surface.area == doctest::Approx(2.0004 * 1.0004 - 0.4 * 0.4).epsilon(1e-9));
    CHECK(sensor_area(*stage, surface) == doctest::Approx(surface.area).epsilon(1e-6));
    CHECK(surface.grid.at(10, 2) == -1); // 0.4 mm of the wall's end
    CHECK(surface.grid.at(3, 5) == -1);  // and of its top
    CHECK(surface.grid.at(4, 1) == -1);
    CHECK(surface.count == 10 * 5 - 2 * 2);
    // The cell beside the end is 0.4 mm wider, that below the top as much higher.
    const auto area_at = [&](int column, int row) {
        return stage->sensors.area[surface.grid.at(column, row)];
    };
    CHECK(area_at(9, 2) == doctest::Approx(0.2 * 0.2004).epsilon(1e-6));
    CHECK(area_at(5, 4) == doctest::Approx(0.2 * 0.2004).epsilon(1e-6));
    CHECK(area_at(5, 0) == doctest::Approx(0.04).epsilon(1e-6));
}

TEST_CASE("sensors of a mesh keep off its edges and texels") {
    // An L-shaped wall of three triangles in a plane, a slope, and a card with a chequered cut-out.
    const Folder folder;
    folder.write("mesh.obj", "mtllib mesh.mtl\nv 0 0 0\nv 3 0 0\nv 3 1 0\nv 1 1 0\nv 0 3 0\n"
                             "v 0 0 -3\nv 3 2 -3\nv 0 2 -3\nv 6 0 0\nv 8 0 0\nv 8 2 0\nv 6 2 0\n"
                             "vt 0 0\nvt 1 0\nvt 1 1\nvt 0 1\n"
                             "o wall\nf 1 2 3\nf 1 3 4\nf 1 4 5\no slope\nf 1 2 7\nf 1 7 8\n"
                             "usemtl card\no card\nf 9/1 10/2 11/3\nf 9/1 11/3 12/4\n");
    for (const Turned& turned : turns) {
        CAPTURE(turned.angle);
        Site site;
        site.sensor_spacing = 0.2;
        Mesh mesh;
        mesh.id = "mesh";
        mesh.file = "mesh.obj";
        mesh.turn = turned.angle;
        mesh.at = {turned.shift, 0};
        site.meshes = {mesh};
        folder.write("mesh.mtl", "newmtl card\nKd 0.5 0.5 0.5\n");
        const std::unique_ptr<Stage> stage = build_stage(site, folder.path());
        REQUIRE(stage->sensors.size() > 100);
        double wall_area = 0;
        for (const Surface& surface : stage->surfaces)
            if (surface.part_of == "mesh" && surface.is_upright() &&
                surface.id.find("wall") != std::string::npos)
                wall_area += surface.area;
        // A triangle of 3 x 1, one of (3,1) (1,1) (0,0), one of (1,1) (0,3) (0,0).
        CHECK(wall_area == doctest::Approx(1.5 + 1 + 1.5).epsilon(1e-6));
        double least = 1;
        int beside = 0;
        for (const Surface& surface : stage->surfaces) {
            if (surface.part_of != "mesh")
                continue;
            const auto triangles = pick_triangles(*stage, [&](const Surface& s) { return &s == &surface; });
            for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i) {
                const glm::dvec3 at(stage->sensors.position(i));
                double inside = -1; // within one triangle: the least distance to its edges
                for (const auto& corner : triangles) {
                    const glm::dvec3 a(corner[0]), b(corner[1]), c(corner[2]);
                    const glm::dvec3 normal = glm::normalize(glm::cross(b - a, c - a));
                    if (std::abs(glm::dot(at - a, normal)) > 1e-4)
                        continue;
                    double edge = 1;
                    for (const auto& [from, to] : {std::pair(a, b), std::pair(b, c), std::pair(c, a)})
                        edge = std::min(edge,
                                        glm::dot(glm::cross(normal, glm::normalize(to - from)), at - from));
                    inside = std::max(inside, edge);
                }
                least = std::min(least, inside);
                beside += inside < 0;
            }
        }
        CHECK(beside == 0);
        CHECK(least > margin);
    }
}

TEST_CASE("the mean over a large slanted face of a mesh is that of its area") {
    // Light of a near lamp, E = I cos / d^2, over a face of two triangles 4 m by 3 m that leans back, by
    // midpoints of a fine grid and by the sensors. Spots by chance would be off by 3.2 % rms.
    Folder folder;
    folder.write("face.obj", "v 0 0 0\nv 4 0 0\nv 4 2 2.2\nv 0 2 2.2\nf 1 2 3 4\n");
    const glm::dvec3 lamp(1.3, -0.5, 1.6), across(4, 0, 0), upward(0, 2, 2.2);
    const glm::dvec3 normal = glm::normalize(glm::cross(across, upward));
    const auto light_at = [&](const glm::dvec3& spot) {
        const glm::dvec3 way = lamp - spot;
        const double square = glm::dot(way, way);
        return std::abs(glm::dot(way, normal)) / (square * std::sqrt(square));
    };
    constexpr int steps = 400;
    double exact = 0;
    for (int i = 0; i < steps; ++i)
        for (int j = 0; j < steps; ++j)
            exact += light_at((i + 0.5) / steps * across + (j + 0.5) / steps * upward) / (steps * steps);
    double squares = 0;
    const std::vector<std::string> ids = {"face", "hip", "slope", "dormer", "ramp", "bank"};
    for (const std::string& id : ids) { // the id seeds the spots
        Site site;
        site.meshes = {{.id = id, .file = "face.obj", .up = UpAxis::z}};
        site.sensor_spacing = std::sqrt(4 * std::hypot(2, 2.2) / 400);
        const auto stage = build_stage(site, folder.path());
        double mean = 0, area = 0;
        for (std::uint32_t i = 0; i < stage->first_leaf_sensor; ++i) {
            if (stage->sensors.normal(i).y > -0.1f)
                continue; // on the ground
            const auto share = static_cast<double>(stage->sensors.area[i]);
            mean += share * light_at(glm::dvec3(stage->sensors.position(i)));
            area += share;
        }
        REQUIRE(area == doctest::Approx(4 * std::hypot(2, 2.2)).epsilon(0.01));
        const double off = mean / area / exact - 1;
        MESSAGE(id, ": mean of the sensors ", mean / area, ", of the face ", exact);
        CHECK(std::abs(off) < 0.003);
        squares += off * off;
    }
    CHECK(std::sqrt(squares / static_cast<double>(ids.size())) < 0.002);
}
