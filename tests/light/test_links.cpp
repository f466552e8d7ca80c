// Bounced light at single sensors against quadrature, in closed rooms, and on grids of two sizes.

#include <cmath>
#include <string>

#include "duskcast/base/frame.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/light/form_factor.hpp"
#include "duskcast/light/reference.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "stage_maker.hpp"

using namespace duskcast;

namespace {

/// First-bounce lux on level black ground from a wall along x, its face to the south, of reflectance `rho`
/// and lit by a point of `candela`: the integral of rho I cos / (pi d^2) times cos cos / (pi r^2) over the
/// wall, by midpoints in cells of `cell` metres.
double light_from_wall(const glm::dvec2& wall_size, const glm::dvec3& source, double candela, double rho,
                       const glm::dvec3& point, double cell) {
    const int columns = static_cast<int>(wall_size.x / cell + 0.5),
              rows = static_cast<int>(wall_size.y / cell + 0.5);
    double sum = 0;
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            const glm::dvec3 at((column + 0.5) / columns * wall_size.x, 0, (row + 0.5) / rows * wall_size.y);
            const glm::dvec3 from_source = at - source, way = at - point;
            const double square = glm::dot(from_source, from_source), far = glm::dot(way, way);
            const double lux = candela * from_source.y / (square * std::sqrt(square));
            sum += rho * lux * way.y * way.z / (pi * far * far);
        }
    return sum * wall_size.x * wall_size.y / (static_cast<double>(columns) * rows);
}

/// A spot that light is sent on from.
struct VirtualLight {
    glm::vec3 at, facing;
    double lumens = 0; ///< sent off
};

/// Where the light of a bulb of 4 pi x `candela` lumens comes down and is sent on, one spot and side for each
/// meeting of `paths` paths with the stage (after Keller 1997, from memory).
std::vector<VirtualLight> send_light(const Stage& stage, const glm::vec3& bulb, double candela, int paths) {
    std::vector<VirtualLight> lights;
    PathRandom random(5);
    for (int path = 0; path < paths; ++path) {
        const double up = 1 - 2 * random.uniform(), turn = 2 * pi * random.uniform(),
                     flat = std::sqrt(1 - up * up);
        glm::vec3 origin = bulb, direction(flat * std::cos(turn), flat * std::sin(turn), up);
        double lumens = 4 * pi * candela / paths;
        while (lumens > 0) {
            const Hit hit = stage.kernel->find_hit(origin, direction, 0, 1e5f);
            if (!hit)
                break;
            const glm::vec3 at = origin + hit.distance * direction;
            const glm::vec3 facing = glm::dot(hit.normal, direction) > 0 ? -hit.normal : hit.normal;
            double back = 0, through = 0;
            if (hit.kind == FacetKind::leaf) {
                const Material& leaf = stage.materials[stage.leaves.material[hit.facet]];
                back = luminance_of(glm::dvec3(leaf.reflectance));
                through = luminance_of(glm::dvec3(leaf.transmittance));
            } else if (facing == hit.normal || stage.is_two_sided(hit.kind, hit.facet)) {
                back = luminance_of(glm::dvec3(stage.reflectance_at(hit, at)));
            }
            lights.push_back({at, facing, lumens * back});
            if (through > 0)
                lights.push_back({at, -facing, lumens * through});
            // On with as many paths as light is left, so that each keeps its lumens.
            const double choice = random.uniform();
            if (choice >= back + through)
                break;
            const glm::vec3 side = choice < back ? facing : -facing;
            const TangentFrame<double> frame{glm::dvec3(side)};
            const glm::dvec2 disk = random.on_disk();
            origin = step_off(at, side);
            direction = glm::vec3(disk.x * frame.first + disk.y * frame.second +
                                  std::sqrt(std::max(0.0, 1 - glm::dot(disk, disk))) * glm::dvec3(side));
        }
    }
    return lights;
}

/// Lux from the lights, with a shadow ray to each: sum of lumens / pi cos cos / d^2.
double receive_light(const Stage& stage, const std::vector<VirtualLight>& lights, std::uint32_t sensor) {
    const glm::vec3 position = stage.sensors.position(sensor), normal = stage.sensors.normal(sensor);
    std::vector<Ray> rays;
    std::vector<double> lux;
    for (const VirtualLight& light : lights) {
        const glm::dvec3 way(light.at - position);
        const double here = glm::dot(way, glm::dvec3(normal)),
                     there = -glm::dot(way, glm::dvec3(light.facing));
        const double square = glm::dot(way, way);
        if (!(here > 0) || !(there > 0) || !(light.lumens > 0) || square < 1e-4)
            continue;
        rays.push_back(make_ray(step_off(position, normal), step_off(light.at, light.facing), 1));
        lux.push_back(light.lumens / pi * here * there / (square * square));
    }
    stage.kernel->find_occluded(rays, Coherence::incoherent);
    double sum = 0;
    for (std::size_t i = 0; i < rays.size(); ++i)
        sum += rays[i].is_occluded() ? 0 : lux[i];
    return sum;
}

/// A wall that is seen from the ground past a trunk and through a crown.
Site make_wall_behind_tree(int leaf_sensors) {
    Site site = make_wall_site(4, 2, 0.25);
    site.walls[0].finish.reflectance = glm::dvec3(0.5);
    Tree tree;
    tree.id = "tree";
    tree.at = {2.4, -1.3};
    tree.height = 2.6;
    tree.base = 0.9;
    tree.width = 1.6;
    tree.trunk_diameter = 0.16;
    tree.foliage.leaf_area_density = 1;
    tree.foliage.leaf_size = 0.1;
    site.trees = {tree};
    site.ground.margin = 2;
    site.ground_spacing = 0.3;
    site.leaf_sensors = leaf_sensors;
    return site;
}

} // namespace

TEST_CASE("links: ground before a wall that a near lamp lights") {
    constexpr double rho = 0.5, candela = 100;
    const glm::dvec3 source(2.5, -0.4, 0.15);
    StageMaker maker;
    StageMaker::add_quad(maker.stage->opaque, {glm::vec3(0), {6, 0, 0}, {6, 0, 3}, {0, 0, 3}},
                         maker.material(glm::vec3(static_cast<float>(rho))), true);
    StageMaker::add_quad(maker.stage->opaque, StageMaker::level(9, 0), maker.material(glm::vec3(0)), true);
    for (int row = 0; row < 6; ++row) // close to the wall, and past its ends, where it is seen edge-on
        for (int column = 0; column < 12; ++column)
            maker.add_sensor({-1.35f + 0.8f * static_cast<float>(column),
                              -0.1f - 0.3f * static_cast<float>(row * row) / 2, 0},
                             {0, 0, 1});
    const Stage& stage = maker.finish();
    const Lighting lighting = bounce_light(stage, make_bulb(glm::vec3(source), candela));
    double square = 0, worst = 0, count = 0, sum = 0, exact_sum = 0;
    for (std::uint32_t i = 0; i < stage.sensors.size(); ++i) {
        const double exact = light_from_wall({6, 3}, source, candela, rho, stage.sensors.position(i), 0.005);
        if (exact < 0.1)
            continue;
        const double off = lighting.bounced_lx[i] / exact - 1;
        square += off * off;
        worst = std::max(worst, std::abs(off));
        sum += lighting.bounced_lx[i];
        exact_sum += exact;
        ++count;
    }
    const double rms = std::sqrt(square / count);
    MESSAGE(count, " sensors: rms ", 100 * rms, " %, worst ", 100 * worst, " %, sum ",
            100 * (sum / exact_sum - 1), " %");
    REQUIRE(count > 40);
    CHECK(rms < 0.015);
    CHECK(worst < 0.06);
    CHECK(std::abs(sum / exact_sum - 1) < 0.02); // next to the lamp the patches blur its light
}

TEST_CASE("links: ground that sees the lit foot of a wall edge-on") {
    // From afar the foot is a few rectangles, of which the ground hides a part. The wall goes on below it.
    constexpr double rho = 0.5, candela = 600;
    const glm::dvec3 source(1.2, -0.4, 0.15);
    Site site = make_wall_site(4, 2, 0.25);
    site.walls[0].finish.reflectance = glm::dvec3(rho);
    site.ground.areas = {{.id = "yard",
                          .kind = GroundKind::paving,
                          .outline = {{-20, -20}, {20, -20}, {20, 20}, {-20, 20}},
                          .finish = Finish{.reflectance = glm::dvec3(0)}}};
    site.ground_spacing = 0.3;
    const auto stage = build_stage(site, {});
    const Lighting lighting = bounce_light(*stage, make_bulb(glm::vec3(source), candela));
    const Surface& ground = stage->surfaces[stage->find_surface("yard")];
    double square = 0, sum = 0, exact_sum = 0, count = 0;
    for (std::uint32_t i = ground.first; i < ground.first + ground.count; i += 5) {
        const glm::dvec3 point(stage->sensors.position(i));
        if (point.y > -1.5 || point.y < -8)
            continue;
        const double exact = light_from_wall({4, 2}, source, candela, rho, point, 0.02);
        if (exact < 0.1)
            continue;
        const double off = lighting.bounced_lx[i] / exact - 1;
        square += off * off;
        sum += lighting.bounced_lx[i];
        exact_sum += exact;
        ++count;
    }
    MESSAGE(count, " sensors: rms ", 100 * std::sqrt(square / count), " %, sum ", 100 * (sum / exact_sum - 1),
            " %");
    REQUIRE(count > 40);
    CHECK(std::sqrt(square / count) < 0.03);
    CHECK(std::abs(sum / exact_sum - 1) < 0.015);
}

TEST_CASE("links: closed rooms keep their light at every size") {
    // Evenly lit inside, every spot gets E rho / (1 - rho) more, though the walls stand on a wider ground.
    constexpr double rho = 0.8, lux = 100;
    for (const float side : {0.5f, 1.0f, 10.0f}) {
        StageMaker maker;
        const std::uint16_t white = maker.material(glm::vec3(static_cast<float>(rho)));
        const float a = side, far = a + 1.37f;
        StageMaker::add_quad(
            maker.stage->opaque,
            {glm::vec3(-1.37f, -1.37f, 0), {far, -1.37f, 0}, {far, far, 0}, {-1.37f, far, 0}}, white, true);
        // Facing inwards.
        const std::array<std::array<glm::vec3, 4>, 5> faces{
            {{glm::vec3(0), {0, 0, a}, {a, 0, a}, {a, 0, 0}},
             {glm::vec3(a, a, 0), {a, a, a}, {0, a, a}, {0, a, 0}},
             {glm::vec3(0, a, 0), {0, a, a}, {0, 0, a}, {0, 0, 0}},
             {glm::vec3(a, 0, 0), {a, 0, a}, {a, a, a}, {a, a, 0}},
             {glm::vec3(0, 0, a), {0, a, a}, {a, a, a}, {a, 0, a}}}};
        for (const auto& face : faces)
            StageMaker::add_quad(maker.stage->opaque, face, white, true);
        constexpr int sensors = 12;
        maker.add_sensors(sensors, {0, 0, 0}, {a, 0, 0}, {0, a, 0}, {0, 0, 1});
        maker.add_sensors(sensors, {0, 0, a}, {a, 0, 0}, {0, a, 0}, {0, 0, -1});
        maker.add_sensors(sensors, {0, 0, 0}, {a, 0, 0}, {0, 0, a}, {0, 1, 0});
        maker.add_sensors(sensors, {0, a, 0}, {a, 0, 0}, {0, 0, a}, {0, -1, 0});
        maker.add_sensors(sensors, {0, 0, 0}, {0, a, 0}, {0, 0, a}, {1, 0, 0});
        maker.add_sensors(sensors, {a, 0, 0}, {0, a, 0}, {0, 0, a}, {-1, 0, 0});
        const auto bounce = trace_bounce(maker.finish());
        std::vector<PatchLight> direct(bounce->patches.size());
        for (std::uint32_t i = 0; i < direct.size(); ++i)
            if (bounce->sky[i] + bounce->lost[i] < 0.5f) // the ground outside is in the open
                direct[i] = {lux, lux, lux, 0};
        const BouncedState state = solve_bounce(*bounce, direct, 0);
        const std::vector<double> bounced = bounced_on_sensors(*bounce, state);
        double mean = 0, worst = 0;
        for (const double one : bounced) {
            const double off = one / (lux * rho / (1 - rho)) - 1;
            mean += off / static_cast<double>(bounced.size());
            worst = std::max(worst, std::abs(off));
        }
        MESSAGE(side, " m: mean off by ", 100 * mean, " %, worst ", 100 * worst, " %; lost ",
                state.energy.lost, " lm");
        CHECK(std::abs(mean) < 1e-3);
        CHECK(worst < 5e-3);
        CHECK(state.energy.lost + state.energy.sky < 1e-3 * state.energy.emitted);
    }
}

TEST_CASE("links: a room whose faces are turned the wrong way stays dark and finite") {
    // Behind the faces of something solid is no light, so that all that falls on them is lost.
    StageMaker maker;
    maker.add_box(glm::vec3(1), maker.material(glm::vec3(0.8f)), true);
    maker.add_sensors(8, {-1, -1, -1}, {2, 0, 0}, {0, 2, 0}, {0, 0, 1});
    const Lighting lighting = bounce_light(maker.finish(), make_bulb(glm::vec3(0), 100), 0.1);
    for (const double lux : lighting.bounced_lx)
        CHECK(lux == doctest::Approx(0).epsilon(1e-6));
    CHECK(lighting.energy.lost > 0.99 * 4 * pi * 100);
}

TEST_CASE("links: a wall about a window is lit the same on a finer grid") {
    std::vector<double> means;
    for (const double spacing : {0.15, 0.05}) {
        Site site = make_wall_site(4, 2.5, spacing);
        site.walls[0].finish.reflectance = glm::dvec3(0.5);
        Opening window;
        window.id = "window";
        window.from = 1.4;
        window.width = 1.2;
        window.sill = 0.6;
        window.height = 1.2;
        window.reveal = 0.15;
        site.walls[0].openings = {window};
        site.ground_spacing = 0.5;
        const auto stage = build_stage(site, {});
        const Lighting lighting = bounce_light(*stage, make_bulb({1.7f, -0.5f, 0.15f}, 300));
        const Surface& wall = stage->surfaces[stage->find_surface("wall")];
        std::vector<std::uint32_t> sensors;
        double mean = 0, count = 0;
        for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i) {
            if (std::abs(stage->sensors.x[i] - 2) > 0.9f || std::abs(stage->sensors.z[i] - 1.2f) > 0.9f)
                continue;
            mean += lighting.bounced_lx[i];
            if (++count; i % (spacing < 0.1 ? 10 : 1) == 0)
                sensors.push_back(i);
        }
        REQUIRE(sensors.size() > 20);
        mean /= count;
        const auto reference = trace_reference(*stage, lighting.fixtures, {.paths = 3000}, sensors);
        double ours = 0, theirs = 0, square = 0;
        for (const ReferenceLight& light : reference) {
            ours += lighting.bounced_lx[light.sensor];
            theirs += light.bounced_lx;
            square += light.bounced_error_lx * light.bounced_error_lx;
        }
        MESSAGE(spacing, " m: mean ", mean, " lx; of ", sensors.size(), " sensors off by ",
                100 * (ours / theirs - 1), " +- ", 100 * std::sqrt(square) / theirs, " %");
        CHECK(std::abs(ours - theirs) < std::hypot(0.01 * theirs, 3 * std::sqrt(square)));
        means.push_back(mean);
    }
    CHECK(means[1] == doctest::Approx(means[0]).epsilon(0.015));
}

TEST_CASE("links: a low wall before lit ground, up to its free edges") {
    // The ground's first bounce onto an upright black wall: rho I cos / (pi d^2) times cos cos / (pi r^2),
    // integrated over the half plane before the wall by midpoints in squares of the coordinates.
    constexpr double rho = 0.4, candela = 50;
    const glm::dvec3 source(1.2, -0.8, 1.5);
    Site site = make_wall_site(3, 1, 0.1);
    site.walls[0].finish.reflectance = glm::dvec3(0);
    site.ground.areas = {{.id = "yard",
                          .kind = GroundKind::paving,
                          .outline = {{-20, -20}, {20, -20}, {20, 20}, {-20, 20}},
                          .finish = Finish{.reflectance = glm::dvec3(rho)}}};
    site.ground_spacing = 1;
    const auto stage = build_stage(site, {});
    const Lighting lighting = bounce_light(*stage, make_bulb(glm::vec3(source), candela));
    const auto light_from_ground = [&](const glm::dvec3& point) {
        constexpr int steps = 400;
        double sum = 0;
        for (int i = -steps; i < steps; ++i)
            for (int j = 0; j < steps; ++j) {
                const double s = (i + 0.5) / steps, t = (j + 0.5) / steps;
                const glm::dvec3 at(source.x + 18 * s * std::abs(s), -18 * t * t, 0);
                const glm::dvec3 from_source = at - source, way = at - point;
                const double square = glm::dot(from_source, from_source), far = glm::dot(way, way);
                const double lux = candela * source.z / (square * std::sqrt(square));
                sum += 36 * std::abs(s) * 36 * t * rho * lux * -way.y * -way.z / (pi * far * far);
            }
        return sum / (steps * steps);
    };
    const Surface& wall = stage->surfaces[stage->find_surface("wall")];
    double square = 0, worst = 0, count = 0, sum = 0, exact_sum = 0;
    for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i) {
        const glm::dvec3 point(stage->sensors.position(i));
        if (point.z < 0.3 || (point.z < 0.9 && std::abs(point.x - 1.5) < 1.4 && i % 7 != 0))
            continue; // all at the edges, some elsewhere
        const double exact = light_from_ground(point), off = lighting.bounced_lx[i] / exact - 1;
        square += off * off;
        worst = std::max(worst, std::abs(off));
        sum += lighting.bounced_lx[i];
        exact_sum += exact;
        ++count;
    }
    MESSAGE(count, " sensors: rms ", 100 * std::sqrt(square / count), " %, worst ", 100 * worst, " %, sum ",
            100 * (sum / exact_sum - 1), " %");
    REQUIRE(count > 40);
    CHECK(std::sqrt(square / count) < 0.01);
    CHECK(worst < 0.03);
    CHECK(std::abs(sum / exact_sum - 1) < 0.01);
}

TEST_CASE("links: no light is read across a wall that stands on the ground") {
    // What lies behind the plane of the only thing that is lit sees none of it.
    Site site = make_wall_site(2, 1.5, 0.5);
    site.ground.margin = 0.5;
    site.ground_spacing = 0.07; // neighbours on both sides are nearer to each other than patches are wide
    const auto stage = build_stage(site, {});
    const Lighting lighting = bounce_light(*stage, make_bulb({1, -0.3f, 0.3f}, 100));
    const Surface& ground = stage->surfaces[stage->find_surface("ground")];
    double before = 0, behind = 0;
    for (std::uint32_t i = ground.first; i < ground.first + ground.count; ++i) {
        if (stage->sensors.x[i] < 0.1f || stage->sensors.x[i] > 1.9f || std::abs(stage->sensors.y[i]) > 0.3f)
            continue;
        double& most = stage->sensors.y[i] > 0 ? behind : before;
        most = std::max(most, lighting.bounced_lx[i]);
    }
    CHECK(before > 1);
    CHECK(behind < 1e-4 * before);
}

TEST_CASE("links: behind a trunk and among leaves, against paths") {
    const Site site = make_wall_behind_tree(400);
    const auto stage = build_stage(site, {});
    const Lighting lighting = bounce_light(*stage, make_bulb({1.2f, -0.4f, 0.15f}, 60));
    const auto compare = [&](const std::vector<std::uint32_t>& sensors, int paths, double& rms, double& sum) {
        double theirs = 0, ours = 0, square = 0, noise = 0, count = 0;
        for (const ReferenceLight& light :
             trace_reference(*stage, lighting.fixtures, {.paths = paths}, sensors)) {
            if (!(light.bounced_lx > 0.1))
                continue;
            const double off = lighting.bounced_lx[light.sensor] / light.bounced_lx - 1;
            const double error = light.bounced_error_lx / light.bounced_lx;
            square += off * off;
            noise += error * error;
            ours += lighting.bounced_lx[light.sensor];
            theirs += light.bounced_lx;
            ++count;
        }
        REQUIRE(count > 10);
        rms = std::sqrt(std::max(0.0, square - noise) / count);
        sum = ours / theirs - 1;
        MESSAGE(count, " sensors: rms ", 100 * rms, " % beyond the paths' own ",
                100 * std::sqrt(noise / count), " %, sum ", 100 * sum, " %");
    };
    double rms = 0, sum = 0;
    const Surface& ground = stage->surfaces[stage->find_surface("ground")];
    std::vector<std::uint32_t> shadow; // the trunk stands between these and the bright spot
    for (std::uint32_t i = ground.first; i < ground.first + ground.count; ++i)
        if (stage->sensors.y[i] < -1.4f && stage->sensors.y[i] > -2.8f && stage->sensors.x[i] > 2.2f &&
            stage->sensors.x[i] < 3.8f)
            shadow.push_back(i);
    compare(shadow, 10000, rms, sum);
    CHECK(rms < 0.06);
    CHECK(std::abs(sum) < 0.03);
    // Leaves by bands of a third of the crown.
    for (int band = 0; band < 3; ++band) {
        std::vector<std::uint32_t> leaves;
        for (std::uint32_t i = stage->first_leaf_sensor; i < stage->sensors.size(); ++i)
            if (std::abs(stage->sensors.z[i] - (1.18f + 0.57f * static_cast<float>(band))) < 0.28f)
                leaves.push_back(i);
        compare(leaves, 1000, rms, sum);
        CHECK(std::abs(sum) < 0.05);
    }
}

TEST_CASE("links: configuration factors of rectangles") {
    // Lambert's formula (Howell, A Catalog of Radiation Heat Transfer Configuration Factors, B-4 and B-3,
    // values from memory): a level spot below one corner of a square as far away as it is wide, and a spot
    // that faces it edge-on before its corner.
    const PlaneReceiver below{.height = 1, .normal_up = -1};
    CHECK(measure_factor(below, {0, 1, 0, 1}) == doctest::Approx(0.138532).epsilon(1e-5));
    CHECK(measure_factor(below, {-1, 1, -1, 1}) == doctest::Approx(0.554126).epsilon(1e-5));
    const PlaneReceiver upright{.height = 1, .normal_u = 1};
    CHECK(measure_factor(upright, {0, 1, 0, 1}) == doctest::Approx(0.055734).epsilon(1e-4));
    // What lies under the horizon adds nothing.
    CHECK(measure_factor(upright, {-5, 1, 0, 1}) == doctest::Approx(0.055734).epsilon(1e-4));
    // From afar a spot weighs as it stands above the horizon, here 0 to 1 from the middle on: on a straight
    // line by least squares 1 + 2 u times the mean. All of it above, the trend is that of the points of
    // Gauss.
    const PlaneReceiver far{.height = 100, .normal_u = 1};
    const FactorTrend cut = measure_cut_factor(far, {-1, 1, -1, 1});
    CHECK(cut.factor == doctest::Approx(1 / (pi * 1e6)).epsilon(1e-3));
    CHECK(cut.trend_u == doctest::Approx(2).epsilon(0.02));
    CHECK(std::abs(cut.trend_v) < 1e-3);
    CHECK(measure_cut_factor(far, {1, 3, -1, 1}).trend_u ==
          doctest::Approx(sample_factor(far, {1, 3, -1, 1}).trend_u).epsilon(1e-3));
    // Four points: within a thousandth at twice the side, halves add up with the trend.
    const PlaneReceiver slanted{.u = 0.2, .v = -0.1, .height = 2, .normal_u = 0.6, .normal_up = -0.8};
    const FactorTrend whole = sample_factor(slanted, {0, 1, 0, 1});
    CHECK(whole.factor == doctest::Approx(measure_factor(slanted, {0, 1, 0, 1})).epsilon(1e-3));
    const double left = measure_factor(slanted, {0, 0.5, 0, 1}),
                 right = measure_factor(slanted, {0.5, 1, 0, 1});
    CHECK(whole.trend_u == doctest::Approx(2 * (right - left) / (right + left)).epsilon(0.05));
}

TEST_CASE("links: wall and ground about a tree, against lights along paths from the lamp") {
    // The wall is lit and seen through and past the tree. Eight sets of lights say how far they can be
    // trusted.
    const Site site = make_wall_behind_tree(100);
    const auto stage = build_stage(site, {});
    const glm::vec3 bulb(1.2f, -0.4f, 0.15f);
    const Lighting lighting = bounce_light(*stage, make_bulb(bulb, 60));
    constexpr int sets = 8;
    const std::vector<VirtualLight> all = send_light(*stage, bulb, 60, 40'000);
    for (const std::string name : {"wall", "ground"}) {
        const Surface& surface = stage->surfaces[stage->find_surface(name)];
        std::vector<std::uint32_t> sensors;
        for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i)
            if (lighting.bounced_lx[i] > 0.1 && i % 3 == 0 &&
                glm::distance(stage->sensors.position(i), bulb) > 0.8f) // the patches blur what is nearer
                sensors.push_back(i);
        REQUIRE(sensors.size() > 20);
        std::vector<double> off(sensors.size()), noise(sensors.size());
        parallel_for(sensors.size(), [&](std::size_t k) {
            double sum = 0, squares = 0;
            for (int set = 0; set < sets; ++set) {
                const std::size_t first = all.size() * set / sets, last = all.size() * (set + 1) / sets;
                const double lux =
                    sets * receive_light(*stage, {all.begin() + first, all.begin() + last}, sensors[k]);
                sum += lux / sets;
                squares += lux * lux / sets;
            }
            off[k] = lighting.bounced_lx[sensors[k]] / sum - 1;
            noise[k] = std::sqrt(std::max(0.0, squares - sum * sum) / (sets - 1)) / sum;
        });
        double square = 0;
        for (std::size_t k = 0; k < off.size(); ++k)
            square += off[k] * off[k] - noise[k] * noise[k];
        const double rms = std::sqrt(std::max(0.0, square / static_cast<double>(off.size())));
        MESSAGE(name, ": ", off.size(), " sensors, rms ", 100 * rms, " % beyond the lights' own");
        CHECK(rms < (surface.kind == SurfaceKind::wall ? 0.02 : 0.04)); // far ground sees the spot edge-on
    }
}
