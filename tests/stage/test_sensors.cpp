// Where sensors are, which way they look, what area they stand for. Areas are checked against closed forms.

#include "stage_test.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

/// An open front with everything on it; no measure is a multiple of the spacing.
Site make_front() {
    Site site = make_wall_site({{1.2, 3.4}, {13.3, 3.4}}, false, 3.05);
    Wall& wall = site.walls[0];
    wall.gables = {{"left", 0.31, 4.2, 5.9}, {"right", 6.13, 4.9, 6.7}};
    wall.openings = {make_opening("window", 1.13, 1.07, 0.93, 1.41), make_opening("door", 4.91, 0.9, 0, 2.1),
                     make_opening("peak", 8.01, 0.71, 3.97, 0.83)};
    Projection bay = make_projection("bay", 6.71, 2.33, 0.61, 0, 2.47);
    bay.openings = {make_opening("bay-window", 0.9, 1.5, 0.8, 1.2)};
    Projection chimney = make_projection("chimney", 11.17, 0.63, 0.37, 0, 5.1); // higher than the wall
    wall.projections = {bay, chimney};
    Eave eave;
    eave.depth = 0.45;
    eave.rake_depth = 0.25;
    wall.eave = eave;
    site.sensor_spacing = 0.1524;
    return site;
}

double front_area() {
    const double wall = 12.1 * 3.05 + 4.2 * (5.9 - 3.05) / 2 + 4.9 * (6.7 - 3.05) / 2;
    const double openings = 1.07 * 1.41 + 0.9 * 2.1 + 0.71 * 0.83;
    const double hidden = 2.33 * 2.47 + 0.63 * 3.05; // of the chimney, what is below the wall's top
    return wall - openings - hidden;
}

/// Every sensor is in its cell, by unfold(), and every cell names its own sensor.
void check_cells(const Stage& stage, const Surface& surface) {
    std::uint32_t in_cells = 0;
    for (int row = 0; row < surface.grid.rows; ++row)
        for (int column = 0; column < surface.grid.columns; ++column) {
            const std::int32_t sensor = surface.grid.at(column, row);
            if (sensor < 0)
                continue;
            ++in_cells;
            const glm::dvec2 spot = surface.unfold(glm::dvec3(stage.sensors.position(sensor)));
            CHECK(std::abs(spot.x - surface.grid.u_of(column)) <= surface.grid.step / 2 + 1e-5);
            CHECK(std::abs(spot.y - surface.grid.v_of(row)) <= surface.grid.step / 2 + 1e-5);
        }
    CHECK(in_cells == surface.count);
}

} // namespace

TEST_CASE("a wall's sensors stand for exactly its area, and are nowhere else") {
    const Site site = make_front();
    const Wall& wall = site.walls[0];
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const Surface& surface = surface_named(*stage, "house");
    CHECK(surface.area == doctest::Approx(front_area()).epsilon(1e-9));
    CHECK(sensor_area(*stage, surface) == doctest::Approx(front_area()).epsilon(1e-6)); // kept as floats
    check_cells(*stage, surface);
    int whole = 0;
    for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i) {
        const glm::vec3 at = stage->sensors.position(i);
        const double u = at.x - 1.2;
        const double v = at.z;
        CHECK(at.y == doctest::Approx(3.4));
        CHECK(stage->sensors.normal(i) == glm::vec3(0, -1, 0)); // outside is on the right hand
        CHECK(v > 0);
        CHECK(v < top_of(wall, u) + 1e-5);
        CHECK(u > 0);
        CHECK(u < 12.1);
        for (const Opening& opening : wall.openings)
            CHECK_FALSE((u > opening.from + 1e-5 && u < opening.from + opening.width - 1e-5 &&
                         v > opening.sill + 1e-5 && v < opening.sill + opening.height - 1e-5));
        for (const Projection& projection : wall.projections)
            CHECK_FALSE((u > projection.from + 1e-5 && u < projection.from + projection.width - 1e-5 &&
                         v < projection.height - 1e-5));
        // Whole cells have their sensor in the middle: a regular lattice.
        if (stage->sensors.area[i] == static_cast<float>(site.sensor_spacing * site.sensor_spacing)) {
            ++whole;
            const double column = u / site.sensor_spacing - 0.5;
            const double row = v / site.sensor_spacing - 0.5;
            CHECK(std::abs(column - std::round(column)) < 1e-4);
            CHECK(std::abs(row - std::round(row)) < 1e-4);
        }
    }
    CHECK(whole > static_cast<int>(surface.count) * 7 / 10);
    for (int column = 0; column < surface.grid.columns; ++column)
        CHECK(surface.grid.top[column] ==
              doctest::Approx(top_of(wall, std::min(surface.grid.u_of(column), 12.1))).epsilon(1e-9));
}

TEST_CASE("sensors on projections, soffits and round corners") {
    const std::unique_ptr<Stage> stage = build_stage(make_front(), {});
    SUBCASE("a bay: two flanks and a front") {
        const Surface& bay = surface_named(*stage, "house.bay");
        CHECK(bay.kind == SurfaceKind::projection);
        CHECK(bay.part_of == "house");
        CHECK(bay.area == doctest::Approx((2 * 0.61 + 2.33) * 2.47 - 1.5 * 1.2).epsilon(1e-9));
        check_cells(*stage, bay);
        for (std::uint32_t i = bay.first; i < bay.first + bay.count; ++i) {
            // Outward: away from the middle of the bay's plan.
            const glm::vec3 from_middle =
                stage->sensors.position(i) - glm::vec3(1.2 + 6.71 + 2.33 / 2, 3.4 - 0.305, 0);
            CHECK(glm::dot(from_middle, stage->sensors.normal(i)) > 0.1f);
        }
    }
    SUBCASE("the soffit: level stretches outside the gables, none within the chimney") {
        const Surface& soffit = surface_named(*stage, "house.soffit");
        double area = 0;
        for (std::uint32_t i = soffit.first; i < soffit.first + soffit.count; ++i) {
            const glm::vec3 at = stage->sensors.position(i);
            CHECK(stage->sensors.normal(i) == glm::vec3(0, 0, -1));
            CHECK(at.z == doctest::Approx(3.05));
            const double u = at.x - 1.2;
            CHECK_FALSE((u > 0.31 && u < 4.51));
            CHECK_FALSE((u > 6.13 && u < 11.03));
            CHECK_FALSE((u > 11.18 && u < 11.79 && at.y > 3.4 - 0.36));
            area += stage->sensors.area[i];
        }
        // 12.1 less the gables; the chimney's footprint comes off by whole cells.
        const double level = (12.1 - 4.2 - 4.9) * 0.45;
        CHECK(area < level - 0.63 * 0.37 + 0.1);
        CHECK(area > level - 0.63 * 0.37 - 0.1);
        CHECK(soffit.count > 30);
    }
    SUBCASE("soffits meet in an inner corner without lying over each other") {
        Site site = make_wall_site({{0, 0}, {4, 0}, {4, -3}, {7, -3}}, false, 3); // turns right, then left
        Eave eave;
        eave.depth = 0.5;
        site.walls[0].eave = eave;
        const std::unique_ptr<Stage> corner = build_stage(site, {});
        const Surface& soffit = surface_named(*corner, "house.soffit");
        // 10 m of run; each side of the inner corner loses a triangle of half a square, outer squares bare.
        CHECK(soffit.area == doctest::Approx(10 * 0.5 - 0.5 * 0.5).epsilon(1e-3));
    }
    SUBCASE("a closed house: all normals outward, whole area") {
        Site site = make_wall_site({{0.3, 0.2}, {9.1, 0.9}, {8.2, 7.7}, {-0.4, 6.1}}, true, 2.9);
        const std::unique_ptr<Stage> house = build_stage(site, {});
        const Surface& surface = surface_named(*house, "house");
        double length = 0;
        for (const RunSegment& segment : run_of(site.walls[0]))
            length += segment.length;
        CHECK(surface.area == doctest::Approx(length * 2.9).epsilon(1e-9));
        check_cells(*house, surface);
        for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i)
            CHECK_FALSE(is_inside(site.walls[0].path,
                                  glm::dvec2(house->sensors.position(i) + 0.01f * house->sensors.normal(i))));
    }
    SUBCASE("crossing gables: the valley is part of the wall, and no eave hides it") {
        Site site = make_wall_site({{0, 0}, {10, 0}}, false, 3);
        site.walls[0].gables = {{"a", 1, 6, 6}, {"b", 4, 6, 6}};
        Eave eave;
        eave.depth = 0.4;
        eave.rake_depth = 0.4;
        site.walls[0].eave = eave;
        const std::unique_ptr<Stage> crossing = build_stage(site, {});
        // Two triangles of 6 x 3 less what they share: 3 wide, 1.5 high.
        CHECK(surface_named(*crossing, "house").area ==
              doctest::Approx(10 * 3 + 2 * 6 * 3 / 2.0 - 3 * 1.5 / 2).epsilon(1e-9));
    }
}

TEST_CASE("ground sensors are on the ground, not under houses, bays and trunks") {
    Site site = make_wall_site({{0.13, 0.21}, {8.37, 0.21}, {8.37, 6.43}, {0.13, 6.43}}, true, 3);
    site.walls[0].projections = {make_projection("bay", 2.2, 2.6, 0.83, 0, 2.5),
                                 make_projection("oriel", 6, 1.5, 0.5, 1, 2)}; // hangs: ground below it
    Tree tree;
    tree.id = "tree";
    tree.at = {-3.1, -2.2};
    tree.height = 6;
    tree.base = 2;
    tree.width = 4;
    tree.trunk_diameter = 0.9;
    tree.foliage.leaf_area_density = 0.2;
    site.trees = {tree};
    GroundArea bed;
    bed.id = "bed";
    bed.kind = GroundKind::bed;
    bed.outline = {{-1.03, -2.11}, {6.17, -2.11}, {6.17, 1.5}, {-1.03, 1.5}}; // reaches under the house
    GroundArea path;
    path.id = "path";
    path.kind = GroundKind::paving;
    path.outline = {{4.1, -6.2}, {5.9, -6.2}, {5.4, -1}, {4.6, -1}}; // over the bed
    site.ground.areas = {bed, path};
    site.ground.margin = 4;
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const Surface& ground = surface_named(*stage, "ground");

    // Plan areas: a trapezium; the bed's rectangle in front of the house less bay and path; the rest.
    const double path_area = (1.8 + 0.8) / 2 * 5.2;
    const double width_at_bed = 1.8 - 1.0 * (6.2 - 2.11) / 5.2;
    // In front: 7.2 x 2.32; beside the house, the strip left of it: 1.16 x 1.29.
    const double bed_area = 7.2 * (2.11 + 0.21) + (1.03 + 0.13) * (1.5 - 0.21) - 2.6 * 0.83 -
                            (width_at_bed + 0.8) / 2 * (2.11 - 1);
    CHECK(surface_named(*stage, "path").area == doctest::Approx(path_area).epsilon(0.01));
    CHECK(surface_named(*stage, "bed").area == doctest::Approx(bed_area).epsilon(0.01));
    const double trunk = 3 * 0.45 * 0.45; // 12-sided
    const double all = ground.grid.columns * ground.grid.step * ground.grid.rows * ground.grid.step;
    CHECK(ground.area ==
          doctest::Approx(all - 8.24 * 6.22 - 2.6 * 0.83 - trunk - path_area - bed_area).epsilon(0.002));

    int below_oriel = 0;
    for (const char* id : {"ground", "bed", "path"}) {
        const Surface& surface = surface_named(*stage, id);
        CHECK(surface.kind == SurfaceKind::ground);
        CHECK(surface.count > 50);
        for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i) {
            const glm::dvec3 at(stage->sensors.position(i));
            CHECK(at.z == 0);
            CHECK(stage->sensors.normal(i) == glm::vec3(0, 0, 1));
            CHECK_FALSE((at.x > 0.13 && at.x < 8.37 && at.y > 0.21 && at.y < 6.43));
            CHECK_FALSE((at.x > 2.33 && at.x < 4.93 && at.y > 0.21 - 0.83 && at.y < 0.22));
            CHECK(glm::distance(glm::dvec2(at), tree.at) > 0.45 * std::cos(pi / 12) - 1e-6);
            below_oriel += at.x > 6.13 && at.x < 7.63 && at.y > -0.29 && at.y < 0.21 ? 1 : 0;
            // The map from plan to surface agrees.
            CHECK(stage->ground_surface_at(glm::dvec2(at)) == &surface - stage->surfaces.data());
        }
        for (int row = 0; row < surface.grid.rows; ++row)
            for (int column = 0; column < surface.grid.columns; ++column)
                if (const std::int32_t sensor = surface.grid.at(column, row); sensor >= 0) {
                    CHECK(std::abs(stage->sensors.x[sensor] - surface.grid.u_of(column)) <=
                          surface.grid.step / 2 + 1e-5);
                    CHECK(std::abs(stage->sensors.y[sensor] - surface.grid.v_of(row)) <=
                          surface.grid.step / 2 + 1e-5);
                }
    }
    CHECK(below_oriel >= 4);
    SUBCASE("a courtyard, walked clockwise, keeps its ground") {
        Site court = make_wall_site({{0, 0}, {0, 6}, {6, 6}, {6, 0}}, true, 3);
        const std::unique_ptr<Stage> inner = build_stage(court, {});
        CHECK(inner->ground_surface_at({3, 3}) == inner->find_surface("ground"));
        const Surface& floor = surface_named(*inner, "ground");
        int inside = 0;
        for (std::uint32_t i = floor.first; i < floor.first + floor.count; ++i)
            inside += is_inside(court.walls[0].path, glm::dvec2(inner->sensors.position(i))) ? 1 : 0;
        CHECK(inside > 300);
    }
}

TEST_CASE("leaf sensors come in pairs, one for each side of a leaf") {
    Site site;
    Tree tree;
    tree.id = "tree";
    tree.height = 5;
    tree.base = 1;
    tree.width = 4;
    Shrub shrub;
    shrub.id = "shrub";
    shrub.outline = {{5, 5}, {7, 5}, {7, 6}, {5, 6}};
    shrub.height = 0.5;
    tree.foliage.leaf_area_density = 1;
    shrub.foliage.leaf_area_density = 0.3; // fewer leaves than sensors asked for
    site.trees = {tree};
    site.shrubs = {shrub};
    site.leaf_sensors = 500;
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    const Surface& crown = surface_named(*stage, "tree");
    const Surface& bed = surface_named(*stage, "shrub");
    CHECK(crown.count == 1000);
    CHECK(bed.count == 2 * 120); // 0.3 x 1 m3 / 0.0025 m2
    CHECK(crown.first == stage->first_leaf_sensor);
    CHECK(stage->leaf_of_sensor.size() == stage->sensors.size() - stage->first_leaf_sensor);
    // Both sides of density x volume, a ball 4 m across.
    CHECK(crown.area == doctest::Approx(2 * 4.0 / 3 * pi * 8).epsilon(1e-3));
    CHECK(sensor_area(*stage, crown) == doctest::Approx(crown.area).epsilon(1e-4));
    for (const Surface* surface : {&crown, &bed})
        for (std::uint32_t i = surface->first; i < surface->first + surface->count; i += 2) {
            const std::uint32_t leaf = stage->leaf_of_sensor[i - stage->first_leaf_sensor];
            CHECK(leaf == stage->leaf_of_sensor[i + 1 - stage->first_leaf_sensor]);
            CHECK(stage->leaves.surface[leaf] == surface - stage->surfaces.data());
            CHECK(stage->sensors.position(i) == stage->leaves.centre(leaf));
            CHECK(stage->sensors.position(i) == stage->sensors.position(i + 1));
            CHECK(stage->sensors.normal(i) == stage->leaves.normal(leaf));
            CHECK(stage->sensors.normal(i) == -stage->sensors.normal(i + 1));
            if (i > surface->first) // in the leaves' own order
                CHECK(leaf > stage->leaf_of_sensor[i - 2 - stage->first_leaf_sensor]);
        }
}

TEST_CASE("the same site gives the same stage to the bit") {
    const SiteFile file =
        read_site_file(std::filesystem::path(DUSKCAST_SOURCE_DIR) / "scenes/cottage/cottage.site.json");
    const std::unique_ptr<Stage> one = build_stage(file.site, file.folder());
    const std::unique_ptr<Stage> other = build_stage(file.site, file.folder());
    CHECK(one->sensors.size() > 1000);
    CHECK(one->sensors.x == other->sensors.x);
    CHECK(one->sensors.nz == other->sensors.nz);
    CHECK(one->sensors.area == other->sensors.area);
    CHECK(one->leaves.corners == other->leaves.corners);
    CHECK(one->opaque.vertices == other->opaque.vertices);
}

TEST_CASE("sites with too many sensors or surfaces are refused") {
    SUBCASE("ground") {
        const Site site =
            make_wall_site({{0, 0}, {900, 900}}, false, 3); // 912 m square, 2993 cells of a foot
        CHECK(problems_of([&] { build_stage(site, {}); }) ==
              "ground_spacing: error: the ground needs 9.0 million cells at this spacing; at most 6 million "
              "are "
              "handled; give a larger ground_spacing or a smaller ground margin");
    }
    SUBCASE("a wall") {
        Site site = make_wall_site({{0, 0}, {900, 0}}, false, 100);
        site.sensor_spacing = 0.1;
        CHECK(problems_of([&] { build_stage(site, {}); }) ==
              "sensor_spacing: error: a surface of 900.0 m by 100.0 m needs 9.0 million sensors at this "
              "spacing; at "
              "most 5 million are handled; give a larger sensor_spacing");
    }
    SUBCASE("leaves, by the site's check, before anything is built") {
        // A ball 20 m across has 4189 m3; a leaf of 5 cm 0.000625 m2: 6.7 million at 1 m2/m3.
        Site site;
        Tree tree;
        tree.id = "oak";
        tree.height = 21;
        tree.base = 1;
        tree.width = 20;
        tree.foliage.leaf_size = 0.05;
        tree.foliage.leaf_area_density = 1;
        site.trees = {tree};
        site.units = LengthUnit::metre;
        const std::vector<Problem> problems = check_site(site, {});
        REQUIRE(problems.size() == 1);
        CHECK(problems[0].severity == Severity::error);
        CHECK(problems[0].what ==
              "the leaves of this site come to about 6.7 million, more than the 6 million that "
              "can be traced");
    }
}
