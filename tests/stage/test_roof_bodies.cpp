// Roofs as solids: prisms between planes, shafts, coverings, and whole roofs whose volume is that under the
// planes of their plan.

#include "../../src/stage/roof_body.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/roof_plan.hpp"
#include "solids.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

constexpr double clearance = 1e-4; ///< from the plane that a roof lies on to its underside, metres

/// A convex outline, counter-clockwise, with corners on an ellipse.
std::vector<glm::dvec2> draw_outline(Dice& dice, int corners) {
    const glm::dvec2 half(dice.uniform(2, 6), dice.uniform(2, 5));
    std::vector<glm::dvec2> outline;
    for (int i = 0; i < corners; ++i) {
        const double angle = 2 * pi * (i + dice.uniform(0.15, 0.85)) / corners;
        outline.push_back(half * glm::dvec2(std::cos(angle), std::sin(angle)));
    }
    return outline;
}

/// Of a convex outline counter-clockwise.
double area_in_plan(const std::vector<glm::dvec2>& outline) {
    double sum = 0;
    for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++)
        sum += (outline[j].x * outline[i].y - outline[i].x * outline[j].y) / 2;
    return sum;
}

Site make_pavilion(std::vector<glm::dvec2> outline, RoofForm form) {
    Site site;
    site.units = LengthUnit::metre;
    site.sensor_spacing = site.ground_spacing = 2;
    site.ground.margin = 1;
    site.roofs = {{.id = "roof",
                   .form = form,
                   .outline = std::move(outline),
                   .height = 3.0,
                   .rise_in_12 = 8,
                   .overhang = 0,
                   .thickness = 0.2}};
    return site;
}

std::vector<Facet> roof_facets(const Stage& stage, const std::string& roof) {
    return pick_triangles(stage, [&](const Surface& surface) { return surface.part_of == roof; });
}

} // namespace

TEST_CASE("a body between two planes holds its plan times its mean height") {
    // The mean of a plane over a polygon is its height at the centroid.
    Dice dice(21);
    for (int trial = 0; trial < 60; ++trial) {
        const std::vector<glm::dvec2> plan = draw_outline(dice, 3 + trial % 5);
        const double area = area_in_plan(plan);
        glm::dvec2 middle(0);
        for (std::size_t i = 0, j = plan.size() - 1; i < plan.size(); j = i++)
            middle += (plan[j] + plan[i]) * (plan[j].x * plan[i].y - plan[i].x * plan[j].y) / (6 * area);
        const HeightPlane lower{{1, 2}, 2.0, {dice.uniform(-0.05, 0.05), dice.uniform(-0.05, 0.05)}};
        const HeightPlane upper{{-1, 0.5}, 9.0, {dice.uniform(-0.5, 0.5), dice.uniform(-0.5, 0.5)}};
        Triangles triangles;
        BodyMaker maker{triangles, 4, 5};
        const double turn = dice.uniform(0, 2 * pi);
        const glm::dvec2 across(std::cos(turn), std::sin(turn));
        add_body(maker, plan, lower, upper, {1, 2, 3, across, {0.5, 0.25}});
        const std::vector<Facet> facets = list_facets(triangles);
        const SolidSums sums = sum_solid(facets);
        CHECK(count_open_edges(facets) == 0);
        CHECK(sums.volume ==
              doctest::Approx(area * (upper.at(middle) - lower.at(middle))).epsilon(1e-5).scale(0));
        CHECK(maker.covered ==
              doctest::Approx(area * std::sqrt(1 + glm::dot(upper.gradient, upper.gradient))).scale(0));
        // Each side is of its own material, the covering of its own surface.
        double top = 0, bottom = 0;
        REQUIRE(triangles.uv.size() >= 3);
        for (std::size_t i = 0; i < facets.size(); ++i) {
            const glm::dvec3 vector = area_vector(facets[i]);
            const double up = glm::normalize(vector).z;
            CHECK(triangles.solid[i] == 1);
            CHECK(triangles.surface[i] == (triangles.material[i] == 1 ? 4 : 5));
            if (triangles.material[i] == 1) {
                CHECK(up > 0.5);
                top += vector.z;
                // Across the courses and up the slope, in repeats: lengths on the slope are kept.
                for (int k = 0; k < 3; ++k) {
                    const unsigned a = triangles.corners[i][k], b = triangles.corners[i][(k + 1) % 3];
                    const glm::dvec3 way(triangles.vertices[b] - triangles.vertices[a]);
                    const glm::dvec2 uv(triangles.uv[b] - triangles.uv[a]);
                    CHECK(uv.x * 0.5 ==
                          doctest::Approx(glm::dot(glm::dvec2(way), across)).epsilon(1e-4).scale(0));
                    const double slope = std::sqrt(1 + glm::dot(upper.gradient, upper.gradient));
                    CHECK(uv.y * 0.25 == doctest::Approx(slope * (-across.y * way.x + across.x * way.y))
                                             .epsilon(1e-4)
                                             .scale(0));
                }
            } else if (triangles.material[i] == 3) {
                CHECK(up < -0.5);
                bottom -= vector.z;
            } else {
                CHECK(std::abs(up) < 1e-4);
            }
        }
        CHECK(top == doctest::Approx(area).epsilon(1e-5).scale(0));
        CHECK(bottom == doctest::Approx(area).epsilon(1e-5).scale(0));
    }
}

TEST_CASE("a body ends where its planes meet, and there is none where there is no room") {
    Triangles triangles;
    BodyMaker maker{triangles, 0, 0};
    const std::vector<glm::dvec2> square{{0, 0}, {2, 0}, {2, 2}, {0, 2}};
    // On the left the upper plane lies below the lower one: nothing high there, half a metre on the right.
    add_body(maker, square, {{0, 0}, 1, {0, 0}}, {{0, 0}, 0.5, {0.5, 0}}, {});
    const std::vector<Facet> facets = list_facets(triangles);
    CHECK(count_open_edges(facets) == 0);
    CHECK(sum_solid(facets).volume == doctest::Approx(4 * 0.5 / 2).epsilon(1e-5).scale(0));
    const std::size_t before = triangles.size();
    add_body(maker, {{0, 0}, {2, 0}}, {}, {{0, 0}, 1, {0, 0}}, {});                  // a line
    add_body(maker, {{0, 0}, {0, 2}, {2, 2}, {2, 0}}, {}, {{0, 0}, 1, {0, 0}}, {});  // clockwise
    add_body(maker, {{0, 0}, {1e-3, 0}, {1e-3, 1e-3}}, {}, {{0, 0}, 1, {0, 0}}, {}); // next to nothing
    add_body(maker, {{1, 1}, {1, 1}, {1 + 1e-9, 1}}, {}, {{0, 0}, 1, {0, 0}}, {});   // a point
    CHECK(triangles.size() == before);
    // A corner given twice is one.
    add_body(maker, {{0, 0}, {0, 0}, {2, 0}, {2, 2}, {0, 2}, {0, 0}}, {}, {{0, 0}, 1, {0, 0}}, {});
    CHECK(triangles.size() == before + 12);
}

TEST_CASE("a shaft is a frustum of so many sides") {
    for (const int sides : {3, 4, 20}) {
        Triangles triangles;
        add_shaft(triangles, {1, 2, 0.5}, {1, 2, 3}, 0.4, 0.25, sides, 0.3, 6, 8);
        const std::vector<Facet> facets = list_facets(triangles);
        const double share = polygon_share(sides);
        CHECK(count_open_edges(facets) == 0);
        const SolidSums sums = sum_solid(facets);
        CHECK(sums.volume ==
              doctest::Approx(frustum_volume(2.5, share * 0.16, share * 0.0625)).epsilon(1e-5).scale(0));
        CHECK(sums.low.z == doctest::Approx(0.5).scale(0));
        CHECK(sums.high.z == doctest::Approx(3));
        CHECK(facets.size() == static_cast<std::size_t>(2 * sides + 2 * (sides - 2)));
        // Its first corner lies where it is turned to.
        const bool is_there = std::any_of(facets.begin(), facets.end(), [](const Facet& facet) {
            return glm::distance(facet[0], glm::vec3(1 + 0.4 * std::cos(0.3), 2 + 0.4 * std::sin(0.3), 0.5)) <
                   1e-5f;
        });
        CHECK(is_there);
    }
}

TEST_CASE("a hip roof over any outline is the volume under its planes, and its slopes are one") {
    // All planes rise alike, so the covering is the plan over the cosine of the slope, whatever the outline.
    Dice dice(22);
    for (int trial = 0; trial < 8; ++trial) {
        CAPTURE(trial);
        const std::vector<glm::dvec2> outline = draw_outline(dice, 4 + trial % 3);
        const Site site = make_pavilion(outline, RoofForm::hip);
        const auto stage = build_stage(site, {});
        const RoofPlan plan = plan_roof(site, site.roofs[0]);
        const std::vector<Facet> facets = roof_facets(*stage, "roof");
        const double slope = 8 / 12.0, area = area_in_plan(outline);
        CHECK(sum_solid(facets_of(*stage, "roof")).area ==
              doctest::Approx(area * std::sqrt(1 + slope * slope)).epsilon(1e-5).scale(0));
        // Brute force: the lowest of the planes through the sides, 0.2 m above the underside at the edge.
        constexpr int side = 300;
        glm::dvec2 low(1e9), high(-1e9);
        for (const glm::dvec2& point : outline)
            low = glm::min(low, point), high = glm::max(high, point);
        double volume = 0, highest = 0;
        for (int i = 0; i < side; ++i)
            for (int j = 0; j < side; ++j) {
                const glm::dvec2 point = low + (high - low) * glm::dvec2(i + 0.5, j + 0.5) / double(side);
                double least = 1e9;
                for (std::size_t k = 0; k < outline.size(); ++k) {
                    const glm::dvec2 a = outline[k], way = outline[(k + 1) % outline.size()] - a;
                    least = std::min(least,
                                     (way.x * (point.y - a.y) - way.y * (point.x - a.x)) / glm::length(way));
                }
                if (least < 0)
                    continue;
                volume += (0.2 + slope * least) * (high.x - low.x) * (high.y - low.y) / (side * side);
                highest = std::max(highest, 3.2 + slope * least);
                if ((i + 37 * j) % 97 == 0)
                    CHECK(plan.top_at(point) == doctest::Approx(3.2 + slope * least).scale(0));
            }
        CHECK(sum_solid(facets).volume == doctest::Approx(volume).epsilon(3e-3).scale(0));
        CHECK(plan.ridge() == doctest::Approx(highest).epsilon(5e-3).scale(0));
        CHECK(sum_solid(facets).high.z == doctest::Approx(plan.ridge()).epsilon(1e-5).scale(0));
        CHECK(check_bodies(facets, 40, 5) > 3);
    }
}

TEST_CASE("gable and shed roofs over a rectangle are prisms, whichever way the ridge runs") {
    // Gable: W x D x edge + slope x (half the span)^2 x length; shed: half of slope x D^2 x W.
    const std::vector<glm::dvec2> outline{{0, 0}, {9, 0}, {9, 6}, {0, 6}};
    const double slope = 8 / 12.0, rise = std::sqrt(1 + slope * slope);
    struct Row {
        RoofForm form;
        RidgeRun ridge;
        double volume, top, back; ///< how far it goes beyond the back: a shed's high end does not
    };
    for (const Row& row :
         {Row{RoofForm::gable, RidgeRun::along, slope * 3 * 3 * 9, 3.2 + slope * 3, 0.5},
          Row{RoofForm::gable, RidgeRun::back, slope * 4.5 * 4.5 * 6, 3.2 + slope * 4.5, 0.5},
          Row{RoofForm::shed, RidgeRun::along, slope * 6 * 6 * 9 / 2, 3.2 + slope * 6, 0}}) {
        CAPTURE(static_cast<int>(row.form));
        CAPTURE(static_cast<int>(row.ridge));
        Site site = make_pavilion(outline, row.form);
        site.roofs[0].ridge = row.ridge;
        const auto stage = build_stage(site, {});
        const std::vector<Facet> facets = roof_facets(*stage, "roof");
        const SolidSums sums = sum_solid(facets);
        CHECK(sums.volume == doctest::Approx(54 * (0.2 - clearance) + row.volume).epsilon(1e-5).scale(0));
        CHECK(sum_solid(facets_of(*stage, "roof")).area == doctest::Approx(54 * rise).epsilon(1e-5).scale(0));
        CHECK(sums.high.z == doctest::Approx(row.top).scale(0));
        CHECK(sums.low.z == doctest::Approx(3 + clearance));
        CHECK(glm::length(sums.normals) < 1e-3);
        // Overhangs make the covering as much larger, and hang below the edge's height.
        site.roofs[0].overhang = 0.5;
        const auto wide = build_stage(site, {});
        const SolidSums over = sum_solid(roof_facets(*wide, "roof"));
        CHECK(sum_solid(facets_of(*wide, "roof")).area ==
              doctest::Approx(10 * (6.5 + row.back) * rise).epsilon(1e-5).scale(0));
        CHECK(over.low.x == doctest::Approx(-0.5).scale(0));
        CHECK(over.high.y == doctest::Approx(6 + row.back).scale(0));
        CHECK(over.low.z >= 3 - slope * 0.5 - 0.2 - 1e-4);
        check_bodies(roof_facets(*wide, "roof"), 60, 6);
    }
}

TEST_CASE("each column and each chimney is a body of its size where it stands") {
    Site site = make_pavilion({{0, 0}, {6, 0}, {6, 4}, {0, 4}}, RoofForm::gable);
    const auto bare = build_stage(site, {});
    const double roof_volume = sum_solid(roof_facets(*bare, "roof")).volume;
    site.roofs[0].chimneys = {{.id = "flue", .at = {2, 2}, .width = 0.6, .depth = 0.5, .height = 7.0}};
    const auto chimney = build_stage(site, {});
    // From the underside at 3 m: a stack up to its cap of 0.12 m, which is 6 cm wider all round.
    CHECK(sum_solid(facets_of(*chimney, "roof.flue")).volume ==
          doctest::Approx(0.6 * 0.5 * (4 - 0.12) + 0.72 * 0.62 * 0.12).epsilon(1e-4).scale(0));
    CHECK(sum_solid(roof_facets(*chimney, "roof")).volume ==
          doctest::Approx(roof_volume + sum_solid(facets_of(*chimney, "roof.flue")).volume)
              .epsilon(1e-5)
              .scale(0));
    site.roofs[0].chimneys.clear();
    for (const int count : {2, 5})
        for (const ColumnForm form : {ColumnForm::round, ColumnForm::square}) {
            site.roofs[0].columns =
                Columns{.count = count, .form = form, .diameter = 0.3, .top_diameter = 0.2, .foot = 0.1};
            const auto stage = build_stage(site, {});
            const std::vector<Facet> facets = roof_facets(*stage, "roof");
            std::vector<Facet> columns;
            for (const Facet& facet : facets)
                if (std::min({facet[0].z, facet[1].z, facet[2].z}) < 2.99f)
                    columns.push_back(facet);
            // Each: a foot, a shaft and a head, as many for every column.
            CHECK(columns.size() % static_cast<std::size_t>(count) == 0);
            const double volume = sum_solid(facets).volume - roof_volume;
            const double share = form == ColumnForm::round ? polygon_share(20) / 4 : 1;
            const double slender = count * share * frustum_volume(2.9, 0.09, 0.04);
            CHECK(volume > slender);
            CHECK(volume < 1.15 * slender);
            // As many are met along their row, in even steps from end to end.
            std::vector<double> met;
            for (double x = -0.2; x < 6.2; x += 0.01) {
                const Hit hit = stage->kernel->find_hit({x, -2, 1.6f}, {0, 1, 0}, 0, 3);
                if (hit && (met.empty() || x - met.back() > 0.5))
                    met.push_back(x);
            }
            REQUIRE(met.size() == static_cast<std::size_t>(count));
            for (std::size_t i = 1; i < met.size(); ++i)
                CHECK(met[i] - met[i - 1] ==
                      doctest::Approx((met.back() - met.front()) / (count - 1)).epsilon(0.01).scale(0));
            CHECK(met.front() < 0.3);
            CHECK(met.back() > 5.5);
        }
}

TEST_CASE("a covering's courses repeat, and reflect in the mean what its finish does") {
    for (const RoofCover cover : {RoofCover::shingle, RoofCover::slate, RoofCover::tile, RoofCover::metal}) {
        CAPTURE(static_cast<int>(cover));
        Stage stage;
        Roof roof;
        roof.cover = cover;
        const Material material = cover_material(stage, roof);
        REQUIRE(stage.textures.size() == 1);
        REQUIRE(material.texture == 0);
        const Texture texture = stage.textures[0];
        const glm::dvec3 mean = glm::dvec3(material.reflectance) * mean_albedo(texture);
        const glm::dvec3 wanted = finish_of(cover).reflectance;
        for (int channel = 0; channel < 3; ++channel)
            CHECK(mean[channel] == doctest::Approx(wanted[channel]).epsilon(1e-5).scale(0));
        CHECK(!texture.has_cutouts());
        // Eight courses a repeat, or eight seams: the darkest lines.
        const bool has_courses = cover != RoofCover::metal;
        std::vector<double> lines(static_cast<std::size_t>(has_courses ? texture.height : texture.width));
        for (int row = 0; row < texture.height; ++row)
            for (int column = 0; column < texture.width; ++column)
                lines[static_cast<std::size_t>(has_courses ? row : column)] +=
                    static_cast<double>(texture
                                            .albedo((column + 0.5f) / static_cast<float>(texture.width),
                                                    (row + 0.5f) / static_cast<float>(texture.height))
                                            .g);
        const double most = *std::max_element(lines.begin(), lines.end());
        int dark = 0;
        for (std::size_t i = 0; i < lines.size(); ++i)
            dark += lines[i] < 0.75 * most && lines[(i + lines.size() - 1) % lines.size()] >= 0.75 * most;
        CHECK(dark == 8);
        // A course is as high as the trade's: shingles 5 in, slates 8, tiles 13; seams 16 in apart.
        const double inches =
            (has_courses ? course_size(cover).y : course_size(cover).x) / 8 / metres_per_inch;
        CHECK(inches == doctest::Approx(cover == RoofCover::shingle ? 5
                                        : cover == RoofCover::slate ? 8
                                        : cover == RoofCover::tile  ? 13
                                                                    : 16)
                            .scale(0));
        // A finish of its own has the same courses.
        roof.finish = Finish{.name = "own", .reflectance = {0.1, 0.2, 0.05}};
        const Material own = cover_material(stage, roof);
        CHECK(stage.textures[1].rgba == texture.rgba);
        CHECK(own.reflectance.g / own.reflectance.r == doctest::Approx(2).epsilon(1e-5));
    }
    CHECK(mean_albedo({.width = 2, .height = 1, .rgba = {0, 255, 255, 255, 255, 255, 0, 255}}) ==
          glm::dvec3(0.5, 1, 0.5));
}

TEST_CASE("a gable of the wall at a roof's upright end gets a roof that runs through to the other end") {
    // Where its planes, from the wall's top, are above the main roof's; slopes 6 in 12, and 3.5 over 2 m.
    Site site = make_wall_site({{0, 0}, {12, 0}, {12, 8}, {0, 8}}, true, 3);
    site.sensor_spacing = site.ground_spacing = 2;
    site.roofs = {{.id = "roof",
                   .wall = "house",
                   .rise_in_12 = 6,
                   .overhang = 0.3,
                   .thickness = 0.2,
                   .gable_finish = Finish{.name = "clay", .reflectance = {0.5, 0.3, 0.2}}}};
    const auto look = [](const Stage& stage, const glm::vec3& from, const glm::vec3& way) {
        const Hit hit = stage.kernel->find_hit(from, way, 0, 100);
        REQUIRE(hit);
        return std::pair(hit, from + hit.distance * way);
    };
    const auto plain = build_stage(site, {});
    const auto end = look(*plain, {20, 4, 4}, {-1, 0, 0});
    CHECK(end.second.x == doctest::Approx(12).scale(0));
    CHECK(glm::distance(plain->reflectance_at(end.first, end.second), glm::vec3(0.5f, 0.3f, 0.2f)) < 1e-6f);
    site.walls[0].gables = {{"high", 14, 4, 6.5}};
    const auto crossed = build_stage(site, {});
    Dice dice(24);
    for (int i = 0; i < 300; ++i) {
        const double x = dice.uniform(0.5, 11.5), y = dice.uniform(0.2, 7.8);
        const double main = 3.2 + 0.5 * (0.3 + std::min(y, 8 - y));
        const double cross = std::abs(y - 4) < 2 ? 3.2 + 1.75 * (2 - std::abs(y - 4)) : 0;
        const auto top = look(*crossed, {x, y, 40}, {0, 0, -1});
        CAPTURE(x);
        CAPTURE(y);
        CHECK(top.second.z == doctest::Approx(std::max(main, cross)).epsilon(1e-4).scale(0));
    }
    check_bodies(roof_facets(*crossed, "roof"), 40, 9);
}
