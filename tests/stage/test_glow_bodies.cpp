// What gives light of its own: sizes of its faces in closed form, and that its lumens are those that were
// asked for.

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/stage/glow_source.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

Site make_bare() {
    Site site;
    site.sensor_spacing = site.ground_spacing = 2;
    site.ground.margin = 1;
    return site;
}

Lantern make_lantern(LanternForm form, double width) {
    Lantern lantern;
    lantern.id = "lantern";
    lantern.form = form;
    lantern.at = glm::dvec3(1, 2, 3);
    lantern.width = width;
    lantern.glow.lumens = 400;
    return lantern;
}

std::unique_ptr<Stage> light(const Lantern& lantern) {
    Site site = make_bare();
    site.lanterns = {lantern};
    return build_stage(site, {});
}

} // namespace

TEST_CASE("a glowing face has the area and the middle of its polygon, whichever plane it lies in") {
    Dice dice(3);
    for (int trial = 0; trial < 60; ++trial) {
        // A star-shaped outline, which need not be convex, by polar coordinates round a point within.
        const int count = 3 + trial % 7;
        std::vector<glm::dvec2> plane;
        for (int i = 0; i < count; ++i) {
            const double angle = 2 * pi * (i + dice.uniform(0.1, 0.9)) / count, radius = dice.uniform(0.3, 2);
            plane.emplace_back(radius * std::cos(angle), radius * std::sin(angle));
        }
        double area = 0; // the shoelace formula, and the centroid that goes with it
        glm::dvec2 middle(0);
        for (std::size_t i = 0; i < plane.size(); ++i) {
            const glm::dvec2 &a = plane[i], &b = plane[(i + 1) % plane.size()];
            const double cross = a.x * b.y - b.x * a.y;
            area += cross / 2;
            middle += (a + b) * cross / 6.0;
        }
        middle /= area;
        const glm::dvec3 normal = dice.direction();
        const glm::dvec3 across = glm::normalize(
            glm::cross(normal, std::abs(normal.z) < 0.9 ? glm::dvec3(0, 0, 1) : glm::dvec3(1, 0, 0)));
        const glm::dvec3 up = glm::cross(normal, across), origin = 5.0 * dice.direction();
        std::vector<glm::dvec3> corners;
        double reach = 0;
        for (const glm::dvec2& point : plane) {
            corners.push_back(origin + point.x * across + point.y * up);
            reach = std::max(reach, glm::distance(point, middle));
        }
        const GlowFace face(corners);
        CHECK(face.area == doctest::Approx(area));
        CHECK(glm::distance(face.centre, origin + middle.x * across + middle.y * up) < 1e-9);
        CHECK(glm::distance(face.normal, normal) < 1e-9);
        CHECK(face.reach == doctest::Approx(reach));
        CHECK(GlowFace({corners.rbegin(), corners.rend()}).area == doctest::Approx(area));
        CHECK(glm::dot(GlowFace({corners.rbegin(), corners.rend()}).normal, normal) < -0.999);
    }
    CHECK(GlowFace({{0, 0, 0}, {1, 0, 0}, {2, 0, 0}}).area == 0); // no plane
}

TEST_CASE("a lantern's body is closed, looks outwards, and is as large as its form says") {
    struct Row {
        LanternForm form;
        double width;
        std::optional<double> height, depth;
        double area, volume, slack;
    };
    const double sides = 24, turn = pi / sides;
    // A regular prism of 24 sides in the cylinder: side 2 r sin(pi / n), ends n r^2 sin(2 pi / n) / 2 each.
    const double r = 0.15, h = 0.4;
    const double end = sides * r * r * std::sin(2 * turn) / 2;
    const std::vector<Row> rows{
        {LanternForm::box, 0.2, 0.5, 0.3, 2 * (0.2 * 0.3 + 0.2 * 0.5 + 0.3 * 0.5), 0.2 * 0.3 * 0.5, 1e-5},
        {LanternForm::box, 0.2, std::nullopt, std::nullopt, 6 * 0.04, 0.008,
         1e-5}, // a cube unless said otherwise
        {LanternForm::cylinder, 2 * r, h, std::nullopt, sides * 2 * r * std::sin(turn) * h + 2 * end, end * h,
         1e-5},
        {LanternForm::sphere, 0.3, std::nullopt, std::nullopt, 4 * pi * 0.15 * 0.15,
         4 * pi / 3 * 0.15 * 0.15 * 0.15,
         0.06}}; // as large in area; a polyhedron of that area holds a little less
    for (const Row& row : rows) {
        CAPTURE(static_cast<int>(row.form));
        Lantern lantern = make_lantern(row.form, row.width);
        lantern.height = row.height;
        lantern.depth = row.depth;
        lantern.turn = 0.4;
        const std::unique_ptr<Stage> stage = light(lantern);
        const Surface& surface = surface_named(*stage, "lantern");
        CHECK(surface.kind == SurfaceKind::lantern);
        CHECK(surface.area == doctest::Approx(row.area).epsilon(1e-9));
        const std::vector<Facet> facets = facets_of(*stage, "lantern");
        CHECK(sum_solid(facets).area == doctest::Approx(row.area).epsilon(1e-4));
        CHECK(sum_solid(facets).volume == doctest::Approx(row.volume).epsilon(std::max(row.slack, 1e-3)));
        CHECK(count_open_edges(facets) == 0);
        REQUIRE(stage->glow_sources.size() == 1);
        const GlowSource& source = stage->glow_sources[0];
        CHECK(source.area == doctest::Approx(row.area).epsilon(1e-9));
        CHECK(source.ball.has_value() == (row.form == LanternForm::sphere));
        // Lambert: the lumens of a matt body are pi L A.
        CHECK(source.lumens() == doctest::Approx(400).epsilon(1e-5));
        CHECK(pi * row.area * luminance_of(source.luminance) == doctest::Approx(400).epsilon(1e-5));
        glm::dvec3 middle(0);
        for (const GlowFace& face : source.faces) {
            middle += face.area * face.centre / source.area;
            CHECK(glm::dot(face.normal, face.centre - *lantern.at) > 0);
        }
        CHECK(glm::distance(middle, *lantern.at) < 1e-9);
    }
}

TEST_CASE("a glow's luminance is its own, whatever its size, and its colour is its kelvin's") {
    for (const double width : {0.1, 0.4}) {
        Lantern lantern = make_lantern(LanternForm::box, width);
        lantern.glow = {.luminance = 1500, .lumens = std::nullopt, .cct = 4000};
        const std::unique_ptr<Stage> stage = light(lantern);
        REQUIRE(stage->glow_sources.size() == 1);
        const glm::dvec3 luminance = stage->glow_sources[0].luminance;
        CHECK(luminance_of(luminance) == doctest::Approx(1500).epsilon(1e-5));
        CHECK(luminance.b / luminance.r ==
              doctest::Approx(light_colour(4000).b / light_colour(4000).r).epsilon(1e-5));
        CHECK(stage->glow_sources[0].lumens() ==
              doctest::Approx(1500 * pi * 6 * width * width).epsilon(1e-5));
        // What an eye ray meets there has that luminance from outside.
        const glm::vec3 eye(1, -3, 3), way(0, 1, 0);
        const Hit hit = stage->kernel->find_hit(eye, way, 0, 100);
        REQUIRE(hit);
        CHECK(luminance_of(glm::dvec3(stage->luminance_at(hit, eye + hit.distance * way, way))) ==
              doctest::Approx(1500).epsilon(1e-5));
    }
}

TEST_CASE("a lit pane glows to the outside by its own area, and through its opening alone") {
    Site site = make_wall_site({{0, 0}, {6, 0}}, false, 3);
    site.sensor_spacing = site.ground_spacing = 2;
    Opening window = make_opening("window", 2, 1.5, 1, 1.2);
    window.reveal = 0.25;
    window.glow = Glow{.luminance = std::nullopt, .lumens = 300};
    site.walls[0].openings = {window, make_opening("dark", 4, 1, 1, 1)};
    const std::unique_ptr<Stage> stage = build_stage(site, {});
    REQUIRE(stage->glow_sources.size() == 1);
    const GlowSource& source = stage->glow_sources[0];
    CHECK(stage->surfaces[static_cast<std::size_t>(source.surface)].id == "house.window");
    CHECK(source.area == doctest::Approx(1.5 * 1.2));
    CHECK(source.lumens() == doctest::Approx(300).epsilon(1e-5));
    for (const GlowFace& face : source.faces) {
        CHECK(glm::distance(face.normal, glm::dvec3(0, -1, 0)) < 1e-9);
        CHECK(face.centre.y == doctest::Approx(0.25)); // behind the face of the wall by the reveal
    }
    const GlowFace hole(source.aperture);
    CHECK(hole.area == doctest::Approx(1.5 * 1.2));
    CHECK(std::abs(hole.centre.y) < 1e-9);
    CHECK(hole.centre.x == doctest::Approx(2.75));
    CHECK(hole.centre.z == doctest::Approx(1.6));
    // From inside the house the pane is dark.
    const glm::vec3 inside(2.75f, 3, 1.6f), out(0, -1, 0);
    const Hit hit = stage->kernel->find_hit(inside, out, 0, 10);
    REQUIRE(hit);
    CHECK(stage->luminance_at(hit, inside + hit.distance * out, out) == glm::vec3(0));
}

TEST_CASE("a lit pool glows upwards by its outline's area, whichever way round it is drawn") {
    const std::vector<glm::dvec2> outline{
        {0, 0}, {4, 0}, {4, 3}, {2, 1}, {0, 3}}; // 12 less a notch of 4 x 2 / 2
    for (const bool is_turned : {false, true}) {
        Site site = make_bare();
        GroundArea pool{.id = "pool", .kind = GroundKind::water, .outline = outline};
        if (is_turned)
            std::reverse(pool.outline.begin(), pool.outline.end());
        pool.glow = Glow{.luminance = 20, .lumens = std::nullopt};
        site.ground.areas = {pool};
        const std::unique_ptr<Stage> stage = build_stage(site, {});
        REQUIRE(stage->glow_sources.size() == 1);
        const GlowSource& source = stage->glow_sources[0];
        CHECK(source.area == doctest::Approx(8));
        CHECK(source.lumens() == doctest::Approx(20 * pi * 8).epsilon(1e-5));
        CHECK(source.faces[0].normal.z == doctest::Approx(1));
        // Grass beside it, and grass in its notch, is dark.
        const auto luminance_at = [&](float x, float y) {
            const glm::vec3 eye(x, y, 2), down(0, 0, -1);
            const Hit hit = stage->kernel->find_hit(eye, down, 0, 10);
            REQUIRE(hit);
            return luminance_of(glm::dvec3(stage->luminance_at(hit, eye + hit.distance * down, down)));
        };
        CHECK(luminance_at(1, 0.5f) == doctest::Approx(20).epsilon(1e-5));
        CHECK(luminance_at(2, 2) == 0);
        CHECK(luminance_at(-0.5f, 1) == 0);
    }
}

TEST_CASE("a texture gives the nearest texel, repeats itself, and decodes sRGB") {
    // 2 by 2, first row at the bottom: black, white; mid grey, red that is see-through.
    const Texture texture{.width = 2,
                          .height = 2,
                          .rgba = {0, 0, 0, 255, 255, 255, 255, 255, 128, 128, 128, 255, 255, 0, 0, 100}};
    const auto grey = static_cast<float>(std::pow((128 / 255.0 + 0.055) / 1.055, 2.4)); // IEC 61966-2-1
    for (const float shift : {0.0f, 1.0f, -1.0f, 7.0f, -3.0f}) {
        CAPTURE(shift);
        CHECK(texture.albedo(0.25f + shift, 0.25f) == glm::vec3(0));
        CHECK(texture.albedo(0.75f, 0.25f + shift) == glm::vec3(1));
        CHECK(static_cast<double>(texture.albedo(0.25f, 0.75f + shift).g) ==
              doctest::Approx(static_cast<double>(grey)));
        CHECK(texture.albedo(0.75f + shift, 0.75f + shift) == glm::vec3(1, 0, 0));
    }
    CHECK(texture.albedo(0.49f, 0) == glm::vec3(0));
    CHECK(texture.albedo(0.51f, 0) == glm::vec3(1));
    CHECK(static_cast<double>(texture.alpha(0.75f, 0.75f)) == doctest::Approx(100 / 255.0));
    CHECK(texture.alpha(0.25f, 0.25f) == 1);
    CHECK(texture.has_cutouts());
    Texture opaque = texture;
    opaque.rgba[15] = 128; // half or more is there
    CHECK(!opaque.has_cutouts());
    opaque.rgba[15] = 127;
    CHECK(opaque.has_cutouts());
}

TEST_CASE("the sensors of walls, bays and chimneys stand for their faces, counted by hand") {
    Dice dice(44);
    for (int trial = 0; trial < 12; ++trial) {
        CAPTURE(trial);
        const double length = dice.uniform(9, 14), height = dice.uniform(2.6, 4);
        Site site = make_wall_site({{0, 0}, {length, 0}}, false, height);
        site.sensor_spacing = dice.uniform(0.2, 0.5);
        site.ground_spacing = 2;
        Wall& wall = site.walls[0];
        const double bay_width = dice.uniform(1, 2.5), bay_depth = dice.uniform(0.3, 1),
                     bay_height = dice.uniform(1.5, 2.4);
        const double hung_width = dice.uniform(0.5, 1.5), hung_depth = dice.uniform(0.2, 0.6),
                     hung_bottom = dice.uniform(0.4, 1), hung_top = dice.uniform(1.8, 2.5);
        wall.projections = {make_projection("bay", 1, bay_width, bay_depth, 0, bay_height),
                            make_projection("oriel", 4.5, hung_width, hung_depth, hung_bottom, hung_top)};
        // Of the bay's own run the front begins after its left flank.
        Opening pane = make_opening("pane", bay_depth + 0.1, bay_width - 0.3, 0.5, 0.7);
        wall.projections[0].openings = {pane};
        wall.openings = {make_opening("door", 7, 1, 0, 2)};
        wall.gables = {{"gable", 6.2, 2.6, height + dice.uniform(0.5, 2)}};
        const std::unique_ptr<Stage> stage = build_stage(site, {});
        const double gable = 2.6 * (wall.gables[0].peak - height) / 2;
        CHECK(sensor_area(*stage, surface_named(*stage, "house")) ==
              doctest::Approx(length * height + gable - 2 - bay_width * bay_height -
                              hung_width * (hung_top - hung_bottom))
                  .epsilon(1e-4));
        CHECK(sensor_area(*stage, surface_named(*stage, "house.bay")) ==
              doctest::Approx((bay_width + 2 * bay_depth) * bay_height - (bay_width - 0.3) * 0.7)
                  .epsilon(1e-4));
        CHECK(sensor_area(*stage, surface_named(*stage, "house.oriel")) ==
              doctest::Approx((hung_width + 2 * hung_depth) * (hung_top - hung_bottom)).epsilon(1e-4));
        // Bays are bodies: what lies on the ground before the wall is less by the bay's footprint alone.
        const Surface& ground = surface_named(*stage, "ground");
        for (std::uint32_t i = ground.first; i < ground.first + ground.count; ++i) {
            const double x = stage->sensors.x[i], y = stage->sensors.y[i];
            CHECK(!(x > 1 && x < 1 + bay_width && y < 0 && y > -bay_depth));
        }
    }
}

TEST_CASE("a hooded lantern gives its lumens from its underside alone") {
    Lantern lantern = make_lantern(LanternForm::box, 0.4);
    lantern.height = 0.1;
    lantern.depth = 0.25;
    lantern.is_hooded = true;
    const std::unique_ptr<Stage> stage = light(lantern);
    REQUIRE(stage->glow_sources.size() == 1);
    const GlowSource& source = stage->glow_sources[0];
    REQUIRE(source.faces.size() == 1);
    CHECK(source.faces[0].normal.z == doctest::Approx(-1));
    CHECK(source.faces[0].centre.z == doctest::Approx(2.95));
    CHECK(source.area == doctest::Approx(0.4 * 0.25));
    CHECK(source.lumens() == doctest::Approx(400).epsilon(1e-5)); // pi L A, Lambert
    CHECK(count_open_edges(facets_of(*stage, "lantern")) == 0);
    int glowing = 0;
    for (std::size_t i = 0; i < stage->opaque.size(); ++i)
        glowing += stage->materials[stage->opaque.material[i]].luminance != glm::vec3(0) ? 1 : 0;
    CHECK(glowing == 2);
}

TEST_CASE("a pole stands below its lantern, or beside it with an arm that reaches there") {
    Lantern lantern = make_lantern(LanternForm::box, 0.4);
    lantern.pole = Pole{.foot = 0.5, .diameter = 0.1};
    const std::unique_ptr<Stage> post = light(lantern);
    SolidSums sums = sum_solid(facets_of(*post, "lantern.pole"));
    CHECK(glm::length(sums.normals) < 1e-5);
    CHECK(sums.low.z == doctest::Approx(0.2));   // 0.3 m into what it stands on
    CHECK(sums.high.z == doctest::Approx(2.81)); // a centimetre into the lantern
    // A prism of 12 sides in the circle: 12 r^2 sin(pi / 6) / 2 on every metre.
    CHECK(sums.volume == doctest::Approx(12 * 0.05 * 0.05 * 0.5 / 2 * 2.61).epsilon(1e-4));
    lantern.pole->arm = 1.5;
    lantern.pole->arm_azimuth = pi / 2; // to the east, so that the pole stands west of the lantern
    const std::unique_ptr<Stage> street = light(lantern);
    sums = sum_solid(facets_of(*street, "lantern.pole"));
    CHECK(glm::length(sums.normals) < 1e-5);
    CHECK(sums.low.x == doctest::Approx(1 - 1.5 - 0.05));
    CHECK(sums.high.x == doctest::Approx(1));
    CHECK(sums.high.z > 3);
}
