// Geometry does not care where north is, which hand is which, how large a foot is or in which order things
// are written: what follows for whole stages.

#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// A bit of everything that is built of lengths: walls with holes, gables, a bay and an eave, a roof with a
/// chimney, a porch, beds, a plain tree, a hedge and a lantern. Lengths are powers of two of a metre where
/// they can be, so that scaling by two rounds nothing.
Site make_site() {
    Site site = make_wall_site({{0, 0}, {8, 0}, {8, 6}, {0, 6}}, true, 3);
    site.sensor_spacing = 0.25;
    site.ground_spacing = 0.5;
    site.ground.margin = 2;
    site.leaf_sensors = 50;
    Wall& wall = site.walls[0];
    wall.gables = {{"gable", 1, 3, 5}};
    wall.openings = {make_opening("window", 2, 1, 1, 1.25), make_opening("door", 8.5, 1, 0, 2)};
    wall.projections = {make_projection("bay", 5, 2, 0.5, 0, 0.75)};
    wall.eave = Eave{.depth = 0.5, .thickness = 0.25};
    site.roofs = {{.id = "roof",
                   .form = RoofForm::hip,
                   .wall = "house",
                   .rise_in_12 = 6,
                   .overhang = 0.5,
                   .thickness = 0.25,
                   .chimneys = {{.id = "flue", .at = {4, 4}, .width = 0.5, .depth = 0.5, .height = 7}}},
                  {.id = "porch",
                   .form = RoofForm::shed,
                   .outline = {{10, -2}, {14, -2}, {14, 0}, {10, 0}},
                   .height = 2.5,
                   .rise_in_12 = 3,
                   .overhang = 0.25,
                   .thickness = 0.25,
                   .columns = Columns{.count = 3, .diameter = 0.25}}};
    GroundArea bed{.id = "bed", .kind = GroundKind::bed, .outline = {{0, -3}, {4, -3}, {4, -1}, {1, -1}}};
    GroundArea path{.id = "path", .kind = GroundKind::paving, .outline = {{2, -4}, {3, -4}, {3, 0}, {2, 0}}};
    site.ground.areas = {bed, path};
    Tree tree;
    tree.id = "tree";
    tree.at = {-2, -2};
    tree.height = 4;
    tree.base = 1;
    tree.width = 2;
    tree.trunk_diameter = 0.25;
    tree.foliage.leaf_size = 0.125;
    tree.foliage.leaf_area_density = 1;
    site.trees = {tree};
    Shrub hedge;
    hedge.id = "hedge";
    hedge.path = {{-3, 4}, {-3, 7}};
    hedge.width = 0.5;
    hedge.height = 1;
    hedge.foliage.leaf_size = 0.125;
    hedge.foliage.leaf_area_density = 2;
    site.shrubs = {hedge};
    site.lanterns = {{.id = "lantern",
                      .form = LanternForm::box,
                      .at = glm::dvec3(6, -2, 1),
                      .width = 0.25,
                      .height = 0.5,
                      .depth = 0.25}};
    return site;
}

void scale(std::vector<glm::dvec2>& points, double factor) {
    for (glm::dvec2& point : points)
        point *= factor;
}

void scale(std::initializer_list<double*> lengths, double factor) {
    for (double* length : lengths)
        *length *= factor;
}

Site scale_site(Site site, double factor) {
    scale({&site.sensor_spacing, &site.ground_spacing, &site.ground.margin}, factor);
    for (Wall& wall : site.walls) {
        scale(wall.path, factor);
        scale({&wall.height, &wall.eave->depth, &wall.eave->thickness}, factor);
        for (Gable& one : wall.gables)
            scale({&one.from, &one.width, &one.peak}, factor);
        for (Opening& one : wall.openings)
            scale({&one.from, &one.width, &one.sill, &one.height, &one.reveal}, factor);
        for (Projection& one : wall.projections)
            scale({&one.from, &one.width, &one.depth, &one.bottom, &one.height}, factor);
    }
    for (GroundArea& area : site.ground.areas)
        scale(area.outline, factor);
    for (Tree& tree : site.trees) {
        tree.at *= factor;
        scale({&tree.height, &tree.base, &tree.width, &tree.trunk_diameter, &tree.foliage.leaf_size}, factor);
        *tree.foliage.leaf_area_density /= factor; // as many leaves
    }
    for (Shrub& shrub : site.shrubs) {
        scale(shrub.path, factor);
        scale({&shrub.height, &shrub.width, &shrub.foliage.leaf_size}, factor);
        *shrub.foliage.leaf_area_density /= factor;
    }
    for (Lantern& lantern : site.lanterns) {
        *lantern.at *= factor;
        scale({&lantern.width, &*lantern.height, &*lantern.depth}, factor);
    }
    site.roofs.clear(); // chimney caps, gutters and plinths have sizes of their own
    return site;
}

/// A place turned about the origin, clockwise by the angle, and moved.
struct Move {
    double angle;
    glm::dvec2 shift;

    glm::dvec2 operator()(const glm::dvec2& point) const {
        return shift + glm::dvec2(std::cos(angle) * point.x + std::sin(angle) * point.y,
                                  std::cos(angle) * point.y - std::sin(angle) * point.x);
    }
};

Site move_site(Site site, const Move& move) {
    const auto all = [&](std::vector<glm::dvec2>& points) {
        for (glm::dvec2& point : points)
            point = move(point);
    };
    for (Wall& wall : site.walls)
        all(wall.path);
    for (GroundArea& area : site.ground.areas)
        all(area.outline);
    for (Roof& roof : site.roofs) {
        all(roof.outline);
        for (Chimney& chimney : roof.chimneys)
            chimney.at = move(chimney.at);
    }
    for (Tree& tree : site.trees)
        tree.at = move(tree.at);
    for (Shrub& shrub : site.shrubs)
        all(shrub.path);
    for (Lantern& lantern : site.lanterns) {
        lantern.at = glm::dvec3(move(glm::dvec2(*lantern.at)), lantern.at->z);
        lantern.turn += move.angle;
    }
    return site;
}

struct SceneSums {
    double facets = 0, volume = 0, sensors = 0; ///< m2, m3, m2
    std::size_t triangles = 0;
};

/// By surfaces, all but the ground's own rectangle, which lies along the axes.
std::map<std::string, SceneSums> sum_surfaces(const Stage& stage) {
    std::map<std::string, SceneSums> sums;
    for (const Surface& surface : stage.surfaces) {
        SceneSums& own = sums[surface.id];
        own.sensors = surface.area;
        if (surface.kind == SurfaceKind::ground)
            continue;
        const std::vector<Facet> facets = facets_of(stage, surface.id);
        const SolidSums solid = sum_solid(facets);
        own.facets = solid.area;
        own.volume = glm::length(solid.normals) < 1e-3 ? solid.volume : 0; // closed: wherever it stands
        own.triangles = facets.size();
    }
    return sums;
}

} // namespace

TEST_CASE("a site twice as large has four times the area and eight times the volume") {
    Site site = make_site();
    site.roofs.clear();
    const auto small = build_stage(site, {}), large = build_stage(scale_site(site, 2), {});
    const auto before = sum_surfaces(*small), after = sum_surfaces(*large);
    REQUIRE(before.size() == after.size());
    for (const auto& [id, one] : before) {
        const std::string name = id; // clang 15 captures no part of a pair
        CAPTURE(name);
        const SceneSums& other = after.at(id);
        // Walls and trunks go 0.3 m into the ground, eaves as far into their wall, however large they are.
        if (id != "tree" && id != "house" && id != "house.bay" && id != "house.soffit")
            CHECK(other.facets == doctest::Approx(4 * one.facets).epsilon(1e-5));
        CHECK(other.sensors == doctest::Approx(4 * one.sensors).epsilon(1e-5));
        if (id == "lantern")
            CHECK(other.volume == doctest::Approx(8 * one.volume).epsilon(1e-5).scale(0));
    }
    CHECK(small->leaves.size() == large->leaves.size());
    CHECK(small->sensors.size() == large->sensors.size());
    // Every sensor stands twice as far away.
    double worst = 0;
    for (std::uint32_t i = 0; i < small->first_leaf_sensor; ++i)
        worst = std::max(worst, static_cast<double>(glm::distance(2.0f * small->sensors.position(i),
                                                                  large->sensors.position(i))));
    CHECK(worst < 2e-3);
}

TEST_CASE("a site turned and moved has the same areas, volumes and numbers") {
    const Site site = make_site();
    const auto still = build_stage(site, {});
    const auto before = sum_surfaces(*still);
    for (const Move& move : {Move{0.5 * pi, {0, 0}}, Move{0.4, {31, -17}}, Move{-2.2, {-5, 80}}}) {
        CAPTURE(move.angle);
        const auto turned = build_stage(move_site(site, move), {});
        const auto after = sum_surfaces(*turned);
        REQUIRE(before.size() == after.size());
        for (const auto& [id, one] : before) {
            const std::string name = id;
            CAPTURE(name);
            const SceneSums& other = after.at(id);
            if (id != "tree") // its branches are drawn with the plan's axes
                CHECK(other.facets == doctest::Approx(one.facets).epsilon(1e-4));
            CHECK(other.triangles == one.triangles);
            if (id != "ground") // the ground's grid lies along the axes and reaches as far as all the rest
                CHECK(other.sensors == doctest::Approx(one.sensors).epsilon(1e-4));
            if (one.volume > 0 && id != "tree")
                CHECK(other.volume == doctest::Approx(one.volume).epsilon(2e-3).scale(0));
        }
        CHECK(turned->leaves.size() == still->leaves.size());
    }
}

TEST_CASE("the order in which things are written changes nothing of what they are") {
    // A second of each kind, and both orders.
    Site site = make_site();
    Wall shed = make_wall_site({{-8, 0}, {-5, 0}, {-5, 2}, {-8, 2}}, true, 2).walls[0];
    shed.id = "shed";
    site.walls.push_back(shed);
    Tree other = site.trees[0];
    other.id = "other";
    other.at = {-5, -5};
    site.trees.push_back(other);
    Site turned = site;
    std::reverse(turned.walls.begin(), turned.walls.end());
    std::reverse(turned.roofs.begin(), turned.roofs.end());
    const auto one = build_stage(site, {}), two = build_stage(turned, {});
    REQUIRE(one->surfaces.size() == two->surfaces.size());
    for (const Surface& surface : one->surfaces) {
        CAPTURE(surface.id);
        const Surface& same = surface_named(*two, surface.id);
        REQUIRE(surface.count == same.count);
        CHECK(surface.area == doctest::Approx(same.area).epsilon(1e-9));
        CHECK(facets_of(*one, surface.id).size() == facets_of(*two, surface.id).size());
        int differing = 0;
        for (std::uint32_t i = 0; i < surface.count; ++i) {
            differing += one->sensors.position(surface.first + i) != two->sensors.position(same.first + i);
            differing += one->sensor_seed[surface.first + i] != two->sensor_seed[same.first + i];
        }
        CHECK(differing == 0);
    }
    // What is built is closed, together and by itself.
    for (const char* id : {"roof", "porch"}) {
        const std::vector<Facet> facets =
            pick_triangles(*one, [&](const Surface& surface) { return surface.part_of == id; });
        CHECK(check_bodies(facets, 40, 8) > 0);
    }
}

TEST_CASE("sensors stand on what they belong to, outside of everything solid") {
    const auto stage = build_stage(make_site(), {});
    std::vector<Facet> solids;
    for (std::size_t i = 0; i < stage->opaque.size(); ++i)
        if (stage->opaque.solid[i]) {
            const glm::uvec3& corner = stage->opaque.corners[i];
            solids.push_back({stage->opaque.vertices[corner.x], stage->opaque.vertices[corner.y],
                              stage->opaque.vertices[corner.z]});
        }
    REQUIRE(solids.size() > 500);
    int checked = 0;
    for (const Surface& surface : stage->surfaces) {
        CAPTURE(surface.id);
        if (surface.first >= stage->first_leaf_sensor)
            continue;
        for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i) {
            const glm::vec3 position = stage->sensors.position(i), normal = stage->sensors.normal(i);
            CHECK(glm::length(normal) == doctest::Approx(1).epsilon(1e-5));
            CHECK(stage->sensors.area[i] > 0);
            if (i % 7 != 0)
                continue;
            ++checked;
            const glm::vec3 origin = step_off(position, normal);
            CHECK(std::abs(count_bodies_round(solids, glm::dvec3(origin))) < 0.02);
            // Straight back it meets its own surface a millimetre below.
            const Hit hit = stage->kernel->find_hit(origin, -normal, 0, 1);
            REQUIRE(hit);
            CHECK(hit.distance == doctest::Approx(surface_offset).epsilon(0.05).scale(0));
            CHECK(stage->surface_of(hit, position) == stage->find_surface(surface.id));
        }
    }
    CHECK(checked > 300);
    // The cells of a grid name the sensors, each once.
    for (const Surface& surface : stage->surfaces) {
        std::vector<int> times(surface.count);
        for (const std::int32_t sensor : surface.grid.sensor)
            if (sensor >= 0)
                ++times.at(static_cast<std::size_t>(sensor) - surface.first);
        if (surface.has_grid())
            CHECK(std::all_of(times.begin(), times.end(), [](int one) { return one == 1; }));
    }
}

TEST_CASE("the ground is what houses, bays, trunks and later areas leave of it") {
    // 0.5 m cells from the plan's bounds out by the margin; a dodecagon of the trunk is taken out.
    const Site site = make_site();
    const auto stage = build_stage(site, {});
    const Surface& ground = surface_named(*stage, "ground");
    const Surface& bed = surface_named(*stage, "bed");
    const Surface& path = surface_named(*stage, "path");
    CHECK(path.area == doctest::Approx(4).epsilon(1e-6));
    // The bed is a trapezium of (4 + 3) / 2 x 2, of which the path covers 1 x 2.
    CHECK(bed.area == doctest::Approx(7 - 2).epsilon(1e-6).scale(0));
    const double all = ground.grid.columns * ground.grid.rows * 0.25;
    const double trunk = polygon_share(12) * 0.125 * 0.125;
    CHECK(ground.area == doctest::Approx(all - 8 * 6 - 2 * 0.5 - 7 - 4 + 2 - trunk).epsilon(2e-3).scale(0));
    // Under eaves, where slab and covering touch over the sensors, there is ground as well.
    int under_eaves = 0;
    const auto row = static_cast<int>((6.25 - ground.grid.v0) / ground.grid.step);
    for (int column = 0; column < ground.grid.columns; ++column) {
        const double x = ground.grid.u_of(column);
        under_eaves += x > 0 && x < 8 && ground.grid.at(column, row) >= 0 ? 1 : 0;
    }
    CHECK(under_eaves == 16);
    // Which area is asked for at a plan point: the last that holds it.
    CHECK(stage->ground_surface_at({2.5, -2}) == stage->find_surface("path"));
    CHECK(stage->ground_surface_at({1.5, -2}) == stage->find_surface("bed"));
    CHECK(stage->ground_surface_at({-1, -2}) == stage->find_surface("ground"));
    CHECK(stage->ground_cover_at({-1, -2}) == nullptr);
    REQUIRE(stage->ground_cover_at({2.5, -2}) != nullptr);
    CHECK(stage->ground_cover_at({2.5, -2})->kind == GroundKind::paving);
    // A courtyard is drawn clockwise: the ground within it is seen.
    Site court = make_wall_site({{0, 0}, {0, 4}, {4, 4}, {4, 0}}, true, 3);
    court.ground_spacing = 0.5;
    court.ground.margin = 1;
    const auto open = build_stage(court, {});
    CHECK(surface_named(*open, "ground").area == doctest::Approx(36).epsilon(1e-3).scale(0));
    std::reverse(court.walls[0].path.begin(), court.walls[0].path.end());
    const auto closed = build_stage(court, {});
    CHECK(surface_named(*closed, "ground").area == doctest::Approx(36 - 16).epsilon(1e-3).scale(0));
}

TEST_CASE("what a ray met is known by its kind: finish, leaf, area and lantern") {
    Site site = make_site();
    site.walls[0].finish.reflectance = {0.6, 0.5, 0.4};
    site.lanterns[0].glow = {.luminance = 700};
    const auto stage = build_stage(site, {});
    const auto look = [&](const glm::vec3& from, const glm::vec3& way) {
        const Hit hit = stage->kernel->find_hit(from, way, 0, 100);
        REQUIRE(hit);
        return std::pair(hit, from + hit.distance * way);
    };
    const auto [wall, on_wall] = look({4.5f, -6, 2.5f}, {0, 1, 0});
    CHECK(stage->reflectance_at(wall, on_wall) == glm::vec3(0.6f, 0.5f, 0.4f));
    CHECK(stage->luminance_at(wall, on_wall, {0, 1, 0}) == glm::vec3(0));
    CHECK(!stage->is_two_sided(wall.kind, wall.facet));
    const auto [path, on_path] = look({2.5f, -2, 1}, {0, 0, -1});
    CHECK(stage->reflectance_at(path, on_path) ==
          stage->materials[static_cast<std::size_t>(stage->ground_areas[1].material)].reflectance);
    CHECK(stage->surfaces[static_cast<std::size_t>(stage->surface_of(path, on_path))].id == "path");
    const glm::vec3 crown(-2, -2, 2.5f);
    const auto [leaf, on_leaf] = look(crown - glm::vec3(0, 5, 0), {0, 1, 0});
    if (leaf.kind == FacetKind::leaf) {
        CHECK(stage->is_two_sided(leaf.kind, leaf.facet));
        CHECK(stage->reflectance_at(leaf, on_leaf) ==
              stage->materials[stage->leaves.material[leaf.facet]].reflectance);
    }
    const auto [lantern, on_lantern] = look({6, -5, 1}, {0, 1, 0});
    CHECK(stage->surfaces[static_cast<std::size_t>(stage->surface_of(lantern, on_lantern))].id == "lantern");
    CHECK(glm::length(stage->luminance_at(lantern, on_lantern, {0, 1, 0})) > 100);
    CHECK(stage->luminance_at(lantern, on_lantern, {0, -1, 0}) == glm::vec3(0)); // from inside it is dark
    CHECK(stage->reflectance_at(Hit{}, {}) == glm::vec3(0));
    // Every kind has a name of its own.
    std::map<std::string, int> names;
    for (const SurfaceKind kind :
         {SurfaceKind::wall, SurfaceKind::projection, SurfaceKind::soffit, SurfaceKind::opening,
          SurfaceKind::ground, SurfaceKind::tree, SurfaceKind::shrub, SurfaceKind::mesh, SurfaceKind::lantern,
          SurfaceKind::roof})
        ++names[name_of(kind)];
    CHECK(names.size() == 10);
    CHECK(names.count("soffit") == 1);
}
