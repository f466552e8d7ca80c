// Light on ground that slopes, and from it, against closed forms.

#include <algorithm>
#include <cmath>

#include "duskcast/site/terraces.hpp"
#include "stage_maker.hpp"

using namespace duskcast;

namespace {

/// Of a lawn: metres, and a bearing.
struct Fall {
    double high, low, towards_deg;
};

/// A wall, and before it a lawn of 6 m by 4 m that falls from it.
Site make_slope(const Fall& fall) {
    Site site = make_wall_site(6, 3, 0.25);
    site.walls[0].path = {{0, 0.5}, {6, 0.5}};
    site.ground.areas = {
        {.id = "lawn",
         .kind = GroundKind::bed, // of another finish than the ground round it
         .outline = {{0, -4}, {6, -4}, {6, 0}, {0, 0}},
         .height = fall.high,
         .fall = GroundFall{.to = fall.low, .towards = radians_from_degrees(fall.towards_deg)}}};
    site.ground.margin = 1;
    site.ground_spacing = 0.1;
    return site;
}

/// Solid angle of a triangle (van Oosterom and Strackee 1983), positive where it turns counter-clockwise.
double solid_angle(const glm::dvec3& a, const glm::dvec3& b, const glm::dvec3& c) {
    const double la = glm::length(a), lb = glm::length(b), lc = glm::length(c);
    return 2 * std::atan2(glm::dot(a, glm::cross(b, c)),
                          la * lb * lc + glm::dot(a, b) * lc + glm::dot(b, c) * la + glm::dot(c, a) * lb);
}

/// First-bounce lux from the lawn, lit by a point of `candela`: the integral of rho I cos / (pi d^2) times
/// cos cos / (pi r^2) over its plane, by midpoints.
double light_from_slope(const Site& site, const glm::dvec3& source, double candela, double rho,
                        const glm::dvec3& point, const glm::dvec3& facing) {
    constexpr int columns = 600, rows = 400;
    const GroundPlane plane = plane_of(site.ground, site.ground.areas[0]);
    const glm::dvec3 normal = plane.normal();
    double sum = 0;
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            const glm::dvec2 plan(6 * (column + 0.5) / columns, -4 * (row + 0.5) / rows);
            const glm::dvec3 at(plan, plane.height_at(plan)), to_source = source - at, way = point - at;
            const double square = glm::dot(to_source, to_source), far = glm::dot(way, way);
            const double lux = candela * glm::dot(to_source, normal) / (square * std::sqrt(square));
            sum += rho * lux * glm::dot(way, normal) * -glm::dot(way, facing) / (pi * far * far);
        }
    return sum * 24 / normal.z / (columns * rows);
}

} // namespace

TEST_CASE("slopes: a lamp above one, E = I cos / d^2 on every sensor, and I times the solid angle in all") {
    constexpr double candela = 700;
    for (const Fall& fall : {Fall{0.5, 0.0, 180.0}, {1.8, 0.2, 200.0}, {0.9, 0.8, 75.0}, {2.0, 0.0, 180.0}}) {
        const double high = fall.high, low = fall.low;
        CAPTURE(high);
        CAPTURE(fall.towards_deg);
        const Site site = make_slope(fall);
        const auto stage = build_stage(site, {});
        const Surface& lawn = stage->surfaces[static_cast<std::size_t>(stage->find_surface("lawn"))];
        const glm::dvec3 lamp(2.3, -1.7, 3.1);
        const Sight sight = trace_sight(*stage, {.centre = glm::vec3(lamp)});
        std::vector<float> lux(stage->sensors.size());
        const IntensityTable table(make_isotropic(), {});
        lux = light_sensors(*stage, stage->sensors, {.centre = glm::vec3(lamp)}, {}, table);
        // The plane by the heights of its corners: high and low at the ends of the fall, even between.
        const double turn = radians_from_degrees(fall.towards_deg);
        const glm::dvec2 way(std::sin(turn), std::cos(turn));
        double from = 1e9, to = -1e9;
        for (const glm::dvec2& corner : site.ground.areas[0].outline) {
            from = std::min(from, glm::dot(corner, way));
            to = std::max(to, glm::dot(corner, way));
        }
        const double slope = (high - low) / (to - from);
        const glm::dvec3 normal = glm::normalize(glm::dvec3(slope * way, 1));
        double worst = 0, lumens = 0, area = 0;
        for (std::uint32_t i = lawn.first; i < lawn.first + lawn.count; ++i) {
            const glm::dvec3 at(stage->sensors.position(i));
            CHECK(at.z ==
                  doctest::Approx(high - slope * (glm::dot(glm::dvec2(at), way) - from)).epsilon(1e-5));
            const glm::dvec3 to_lamp = lamp - at;
            const double square = glm::dot(to_lamp, to_lamp);
            const double exact = candela * glm::dot(to_lamp, normal) / (square * std::sqrt(square));
            const double got = lux[i] * candela / 1000;
            worst = std::max(worst, std::abs(got / exact - 1));
            lumens += got * static_cast<double>(stage->sensors.area[i]);
            area += static_cast<double>(stage->sensors.area[i]);
        }
        CHECK(worst < 2e-4);
        CHECK(area == doctest::Approx(24 * std::sqrt(1 + slope * slope)).epsilon(1e-5));
        std::vector<glm::dvec3> corners;
        for (const glm::dvec2& corner : site.ground.areas[0].outline)
            corners.push_back(glm::dvec3(corner, high - slope * (glm::dot(corner, way) - from)) - lamp);
        const double whole = candela * std::abs(solid_angle(corners[0], corners[1], corners[2]) +
                                                solid_angle(corners[0], corners[2], corners[3]));
        CHECK(lumens == doctest::Approx(whole).epsilon(5e-4)); // 0.1 m to a sensor
        CHECK(lumens / area == doctest::Approx(whole / (24 * std::sqrt(1 + slope * slope))).epsilon(5e-4));
    }
}

TEST_CASE("slopes: what a lit lawn sends back to a wall above it") {
    constexpr double candela = 200, rho = 0.5;
    // Steep, and so slight that the lawn's patches lie along the plan's axes.
    for (const Fall& fall : {Fall{1.3, 0.1, 180.0}, {0.3, 0.2, 110.0}}) {
        CAPTURE(fall.high);
        const Site site = make_slope(fall);
        const auto stage = build_stage(site, {});
        const int lawn = stage->ground_areas[0].material;
        for (std::size_t i = 0; i < stage->materials.size(); ++i)
            stage->materials[i].reflectance =
                glm::vec3(static_cast<int>(i) == lawn ? static_cast<float>(rho) : 0.0f);
        const glm::dvec3 lamp(3.2, -2, 2.5);
        const Lighting lighting = bounce_light(*stage, make_bulb(glm::vec3(lamp), candela));
        const Surface& wall = stage->surfaces[static_cast<std::size_t>(stage->find_surface("wall"))];
        double worst = 0, sum = 0, exact_sum = 0;
        for (std::uint32_t i = wall.first; i < wall.first + wall.count; i += 7) {
            const glm::dvec3 at(stage->sensors.position(i));
            if (at.z < 1.5) // of what is lower the terrace's own wall hides a part
                continue;
            const double exact = light_from_slope(site, lamp, candela, rho, at, {0, -1, 0});
            worst = std::max(worst, std::abs(lighting.bounced_lx[i] / exact - 1));
            sum += lighting.bounced_lx[i];
            exact_sum += exact;
        }
        REQUIRE(exact_sum > 10);
        MESSAGE("worst ", 100 * worst, " %, sum ", 100 * (sum / exact_sum - 1), " %");
        CHECK(worst < 0.03);
        CHECK(std::abs(sum / exact_sum - 1) < 0.005);
    }
}

TEST_CASE("slopes: an uplight on one stands plumb") {
    // The tilt counts from the vertical, whatever the ground does: the beam's middle meets a wall as high as
    // plane geometry has it.
    Site site = make_slope({1.2, 0, 180});
    site.lamps = {{.id = "spot", .figures = {.centre_candela = 1000, .beam_angle = 0.3}, .watts = 5}};
    Fixture up{.id = "up", .lamp = "spot", .at = glm::dvec2(3, -2), .lens_height = 0.15};
    up.azimuth = 0;
    up.tilt = radians_from_degrees(50);
    const PlacedFixture placed = place_fixture(site, up);
    CHECK(placed.position.z == doctest::Approx(0.6 + 0.15));
    const auto stage = build_stage(site, {});
    const glm::vec3 lens(placed.position), axis(beam_axis(placed.aim));
    const Hit hit = stage->kernel->find_hit(lens, axis, 0.01f, 50);
    REQUIRE(hit);
    const glm::dvec3 met(lens + hit.distance * axis);
    CHECK(met.y == doctest::Approx(0.5));
    CHECK(met.z == doctest::Approx(0.75 + 2.5 / std::tan(up.tilt)).epsilon(1e-5));
}
