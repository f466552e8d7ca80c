// Direct light against closed forms.

#include <cmath>

#include "make_stage.hpp"

using namespace duskcast;

namespace {

/// Lux at one sensor in the open from a point lens with the same candela every way.
double open_lux(const glm::vec3& sensor, const glm::vec3& normal, const glm::vec3& lens, double candela) {
    const auto stage = make_empty_stage();
    Sensors sensors;
    sensors.add(sensor, normal, 1);
    return light_sensors(*stage, sensors, {.centre = lens}, {}, IntensityTable(make_isotropic(), {}))[0] *
           candela / 1000;
}

} // namespace

TEST_CASE("inverse square and cosine, worked values") {
    // Inverse-square law, IES definition 9.1.1; numbers worked from E = I cos / d^2.
    const double cosine60 = 0.5;
    const glm::vec3 slanted(std::sqrt(1 - cosine60 * cosine60), 0, cosine60);
    CHECK(open_lux({0, 0, 0}, {0, 0, 1}, {0, 0, 4}, 5000) == doctest::Approx(312.5).epsilon(1e-5));
    CHECK(open_lux({0, 0, 0}, slanted, {0, 0, 4}, 5000) == doctest::Approx(156.25).epsilon(1e-5));
    // Trade-press tutorial: 600 fc at 5 ft is 150 fc at 10 ft.
    const double near_lux = open_lux({0, 0, 0}, {0, 0, 1}, {0, 0, 1.524f}, 1000);
    CHECK(open_lux({0, 0, 0}, {0, 0, 1}, {0, 0, 3.048f}, 1000) ==
          doctest::Approx(near_lux / 4).epsilon(1e-5));
    // Horizontal plane, E = I cos^3 g / h^2 with I = 1000 cd, h = 3 m, g = 30 degrees.
    CHECK(open_lux({3 * std::tan(pi / 6), 0, 0}, {0, 0, 1}, {0, 0, 3}, 1000) ==
          doctest::Approx(72.1688).epsilon(1e-5));
    // Wall, lamp 0.6 m out at grade, point 3 m up: E = I s / (s^2 + h^2)^1.5.
    CHECK(open_lux({0, 0, 3}, {0, -1, 0}, {0, -0.6f, 0}, 1000) == doctest::Approx(20.9526).epsilon(1e-5));
    CHECK(open_lux({0, 0, 0}, {0, 0, -1}, {0, 0, 4}, 5000) == 0); // behind
}

TEST_CASE("a round lens close by: disk source and the five-times rule") {
    // Lambert disk on axis: E = pi L r^2 / (r^2 + d^2), Howell's catalogue (element to disk);
    // the point law is too high by 1 / (4 k^2), k = d / diameter, IES definition 9.1.1 (rule of five).
    Distribution lambert{.c = {0}};
    for (int i = 0; i <= 900; ++i) {
        lambert.gamma.push_back(radians_from_degrees(0.1 * i));
        lambert.candela.push_back(100 * std::cos(lambert.gamma.back()));
    }
    lambert.candela.back() = 0;
    const auto stage = make_empty_stage();
    const double diameter = 0.1;
    for (const double k : {1.0, 2.0, 3.0, 5.0, 10.0}) {
        const double distance = k * diameter;
        Sensors sensors;
        sensors.add({0, 0, static_cast<float>(5 + distance)}, {0, 0, -1}, 1);
        const double lux =
            light_sensors(*stage, sensors, {.centre = {0, 0, 5}, .diameter = static_cast<float>(diameter)},
                          {}, IntensityTable(lambert, {}))[0];
        const double exact = 100 / (distance * distance + diameter * diameter / 4);
        const double point = 100 / (distance * distance);
        CAPTURE(k);
        CHECK(lux == doctest::Approx(exact).epsilon(2e-4)); // 1.5e-4 at k = 1, below 1e-5 from k = 2 on
        CHECK(point / exact - 1 == doctest::Approx(1 / (4 * k * k)).epsilon(1e-9));
    }
}

TEST_CASE("wall profiles at sensors, along and across, tilt 0 to 40 degrees") {
    // E = I0 cos^n(angle off axis) cos(incidence) / d^2, closed form in double, 12 to 18 in back.
    Site site = make_wall_site(8, 6, 0.1524);
    const auto stage = build_stage(site, {});
    const Surface& wall = stage->surfaces[stage->find_surface("wall")];
    const double beam = radians_from_degrees(36);
    const double n = std::log(0.5) / std::log(std::cos(beam / 2));
    const IntensityTable table(make_cosine(36, 800), {});
    double worst = 0, worst_of_largest = 0;
    int compared = 0;
    for (const double setback : {12 * metres_per_inch, 15 * metres_per_inch, 18 * metres_per_inch})
        for (const double tilt_deg : {0.0, 5.0, 10.0, 20.0, 30.0, 40.0}) {
            const glm::dvec3 lens(4.03, -setback, 0.15);
            const Aim aim{.tilt = radians_from_degrees(tilt_deg)};
            const Sight sight = trace_sight(*stage, {.centre = glm::vec3(lens)});
            std::vector<float> lux(stage->sensors.size());
            evaluate_layer(sight, stage->sensors, aim, table, 1, lux);
            const glm::dvec3 axis(0, std::sin(aim.tilt), std::cos(aim.tilt));
            double largest = 0;
            for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i)
                largest = std::max(largest, static_cast<double>(lux[i]));
            for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i) {
                const glm::dvec3 way = glm::dvec3(stage->sensors.position(i)) - glm::dvec3(glm::vec3(lens));
                const double d = glm::length(way);
                const double on_axis = glm::dot(way, axis) / d;
                const double exact = on_axis > 0 ? 800 * std::pow(on_axis, n) * (way.y / d) / (d * d) : 0;
                worst_of_largest = std::max(worst_of_largest, std::abs(lux[i] - exact) / largest);
                if (exact < 0.01 * largest)
                    continue;
                worst = std::max(worst, std::abs(lux[i] / exact - 1));
                ++compared;
            }
        }
    MESSAGE("largest error ", worst, " over ", compared, " sensors at 1 % of the hot spot or more; ",
            worst_of_largest, " of the hot spot anywhere");
    CHECK(compared > 5000);
    CHECK(worst < 0.001);
    CHECK(worst_of_largest < 1e-4);
}

TEST_CASE("the light on a box round the lamp is the lamp's lumens") {
    // Definition of the lumen: flux is the integral of illuminance over any closed surface.
    const auto stage = make_empty_stage();
    const Sensors sensors = make_box_sensors({0, 0, 0}, 160);
    for (const Distribution& distribution : {make_cosine(24, 1000), make_cosine(60, 300), make_oval_beam()})
        for (const Aim& aim : {Aim{}, Aim{0.4, 1.1, 0.3}, Aim{2.0, 4.0, 0}}) {
            const IntensityTable table(distribution, {});
            const std::vector<float> lux =
                light_sensors(*stage, sensors, {.centre = {0.1f, -0.05f, 0.2f}}, aim, table);
            double flux = 0;
            for (std::size_t i = 0; i < lux.size(); ++i)
                flux += static_cast<double>(lux[i]) * sensors.area[i];
            CHECK(flux == doctest::Approx(measure_lumens(distribution)).epsilon(0.003));
        }
}

TEST_CASE("a soffit's shadow edge falls where similar triangles put it, and above it there is nothing") {
    // A slab from the wall out to `depth`; the wall goes on above it. A lamp `setback` out and beyond the
    // slab throws the shadow of the slab's outer edge on the wall at z = lens + edge * setback / (setback -
    // depth), the edge's height counted from the lens. A lamp under the slab lights nothing above.
    const double depth = 0.3, setback = 0.9, eave_height = 3, lens_height = 0.15, spacing = 0.1;
    Site site = make_wall_site(6, eave_height, spacing);
    site.walls[0].eave = Eave{.depth = depth, .thickness = 0.02};
    Wall upper = site.walls[0]; // a second wall above, in the same plane
    upper.id = "upper";
    upper.eave.reset();
    upper.foot = eave_height + 0.05;
    upper.height = 4;
    site.walls.push_back(upper);
    const auto stage = build_stage(site, {});
    const Surface& wall = stage->surfaces[stage->find_surface("upper")];
    const Sight sight =
        trace_sight(*stage, {.centre = {3, static_cast<float>(-setback), static_cast<float>(lens_height)}});
    const double upper_rim = eave_height + 0.02 - lens_height; // the outer face's upper edge is the last cut
    const double edge = lens_height + upper_rim * setback / (setback - depth);
    int dark = 0, lit = 0;
    for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i) {
        const double x = stage->sensors.x[i], z = stage->sensors.z[i];
        if (std::abs(x - 3) > 2) // keep clear of the slab's ends
            continue;
        CAPTURE(z);
        if (z < edge - spacing) {
            CHECK(sight.transfer[i] == 0); // in the slab's shadow: nothing at all
            ++dark;
        } else if (z > edge + spacing) {
            CHECK(sight.transfer[i] > 0);
            ++lit;
        }
    }
    CHECK(dark > 100);
    CHECK(lit > 100);
    const Sight close = trace_sight(*stage, {.centre = {3, -0.2f, 0.15f}, .diameter = 0.05f});
    for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i)
        if (std::abs(stage->sensors.x[i] - 3) < 2)
            CHECK(close.transfer[i] == 0);
}

TEST_CASE("penumbra: the visible share of the lens is that of a circle's segment") {
    // Area of a circular segment: (acos h - h sqrt(1 - h^2)) / pi of the circle. An opaque half-plane stands
    // half way between sensor and lens; its edge runs in every direction in turn.
    const float diameter = 0.06f;
    const Lens lens{.centre = {0, 0, 0}, .diameter = diameter};
    const glm::vec3 seat(0.8f, 0, 1.8f);
    const glm::vec3 axis = glm::normalize(seat);
    for (const Shadows shadows : {Shadows::usual, Shadows::fine}) { // fine as on leaves
        double worst = 0, squares = 0;
        int partly = 0;
        for (int turned = 0; turned < 24; ++turned) {
            const double angle = 2 * pi * turned / 24;
            const glm::vec3 along(std::sin(angle) * axis.z, std::cos(angle), -std::sin(angle) * axis.x);
            const glm::vec3 away = glm::cross(axis, along);
            auto stage = std::make_unique<Stage>();
            const glm::vec3 middle = 0.5f * seat;
            stage->opaque.vertices = {middle - 50.0f * along, middle - 50.0f * along + 50.0f * away,
                                      middle + 50.0f * along + 50.0f * away, middle + 50.0f * along};
            stage->opaque.add({0, 1, 2}, 0, 0, false);
            stage->opaque.add({0, 2, 3}, 0, 0, false);
            stage->kernel = std::make_unique<RayKernel>(stage->opaque, stage->cutouts, stage->leaves,
                                                        stage->materials, stage->textures);
            Sensors sensors;
            std::vector<double> shift;
            for (int i = -40; i <= 40; ++i) {
                shift.push_back(i * 0.001 + 0.0003);
                sensors.add(seat + static_cast<float>(shift.back()) * away, -axis, 1);
            }
            const auto leaves_from =
                static_cast<std::uint32_t>(shadows == Shadows::fine ? 0 : sensors.size());
            const Sight sight = trace_sight(*stage, sensors, leaves_from, lens, shadows);
            for (std::size_t i = 0; i < sensors.size(); ++i) {
                const double distance = glm::length(glm::dvec3(sensors.position(i)));
                const double open = glm::length(glm::dvec3(seat)) / std::pow(distance, 3);
                // The line from the sensor over the edge, half way down, meets the lens plane mirrored.
                const double h = std::clamp(shift[i] / (diameter / 2), -1.0, 1.0);
                const double share = (std::acos(h) - h * std::sqrt(1 - h * h)) / pi;
                const double error = sight.transfer[i] / open - share;
                worst = std::max(worst, std::abs(error));
                if (share > 0 && share < 1) {
                    squares += error * error;
                    ++partly;
                } else {
                    CAPTURE(shift[i]);
                    CHECK(error == doctest::Approx(0).epsilon(1e-5)); // full light and full shadow are exact
                }
            }
        }
        MESSAGE("largest error ", worst, ", rms ", std::sqrt(squares / partly), " over ", partly,
                " penumbras");
        CHECK(partly > 1000);
        CHECK(worst < (shadows == Shadows::fine ? 0.06 : 0.14));
        CHECK(std::sqrt(squares / partly) < (shadows == Shadows::fine ? 0.02 : 0.04));
    }
}

TEST_CASE("close to the lens each spot has its own shadow") {
    // Half a disk stays: by symmetry half of E = pi L r^2 / (r^2 + d^2) (Howell's catalogue, element to
    // disk).
    Distribution lambert{.c = {0}};
    for (int i = 0; i <= 90; ++i) {
        lambert.gamma.push_back(radians_from_degrees(i));
        lambert.candela.push_back(100 * std::cos(lambert.gamma.back()));
    }
    lambert.candela.back() = 0;
    auto stage = std::make_unique<Stage>();
    const float cover = 0.01f;         // above the lens
    const glm::vec3 along(0.3f, 1, 0); // aslant, so that no spot lies on the edge itself
    const glm::vec3 across(1, -0.3f, 0);
    const glm::vec3 middle(0, 0, cover);
    stage->opaque.vertices = {middle - along, middle - along + across, middle + along + across,
                              middle + along};
    stage->opaque.add({0, 1, 2}, 0, 0, false);
    stage->opaque.add({0, 2, 3}, 0, 0, false);
    stage->kernel = std::make_unique<RayKernel>(stage->opaque, stage->cutouts, stage->leaves,
                                                stage->materials, stage->textures);
    Sensors sensors;
    sensors.add({0, 0, 0.3f}, {0, 0, -1}, 1);
    const double lux = light_sensors(*stage, sensors, {.diameter = 0.1f}, {}, IntensityTable(lambert, {}))[0];
    CHECK(lux == doctest::Approx(0.5 * 100 / (0.09 + 0.0025)).epsilon(0.01));
}

TEST_CASE("nothing of a lens above ground dips into the ground, and a flush lens lies level") {
    const Lens low{.centre = {0, 0, 0.01f}, .diameter = 0.05f};
    const Lens flush{.centre = {0, 0, 0.0f}, .diameter = 0.05f, .is_flush = true};
    for (int spot = 0; spot < Sight::lens_samples; ++spot) {
        CHECK(lens_spot(low, {5, 0, 0.5f}, spot).z > 0);
        CHECK(lens_spot(flush, {5, 0, 0.5f}, spot).z == 0);
        CHECK(glm::length(lens_spot(flush, {5, 0, 0.5f}, spot)) <= 0.025f * 1.0001f);
    }
}

TEST_CASE("a flush lens lights a wall's foot and what is far away") {
    // Its spots lie in the ground's own plane, which must not shadow them. The wall at 30 m sees it
    // unhindered: E = I cos / d^2.
    Site site = make_wall_site(60, 2, 0.25);
    const auto stage = build_stage(site, {});
    const Lens flush{.centre = {30, -29, 0}, .diameter = 0.1f, .is_flush = true};
    const Sight sight = trace_sight(*stage, flush);
    const Surface& wall = stage->surfaces[stage->find_surface("wall")];
    for (std::uint32_t i = wall.first; i < wall.first + wall.count; ++i) {
        const glm::dvec3 way = glm::dvec3(flush.centre) - glm::dvec3(stage->sensors.position(i));
        CHECK(sight.transfer[i] == doctest::Approx(29 / std::pow(glm::length(way), 3)).epsilon(1e-4));
    }
}

TEST_CASE("sixteen diameters away the sum over spots goes over into the single value") {
    // Their difference is what the disk's formula says: 1 / (4 k^2) = 0.1 % at k = 16.
    const auto stage = make_empty_stage();
    Sensors sensors;
    sensors.add({0, 0, 1.599f}, {0, 0, -1}, 1);
    sensors.add({0, 0, 1.601f}, {0, 0, -1}, 1);
    const Sight sight = trace_sight(*stage, sensors, 2, {.diameter = 0.1f});
    REQUIRE(sight.near_sensor == std::vector<std::uint32_t>{0});
    CHECK(sight.transfer[0] == 0);
    CHECK(sight.near_transfer.size() == Sight::lens_samples);
    const auto lux =
        light_sensors(*stage, sensors, {.diameter = 0.1f}, {}, IntensityTable(make_isotropic(), {}));
    CHECK(lux[1] / lux[0] == doctest::Approx(std::pow(1.599 / 1.601, 2)).epsilon(1.1e-3));
}

TEST_CASE("rays are counted, and none is traced to what faces away") {
    // In the open all four spots of a disk agree, and a point takes one ray; none is near.
    const auto stage = make_empty_stage();
    Sensors sensors;
    for (int i = 0; i < 300; ++i)
        sensors.add({0.01f * static_cast<float>(i), 3, 1}, {0, -1, 0}, 1);
    const Lens disk{.centre = {2, -1, 0.3f}, .diameter = 0.05f}, point{.centre = {2, -1, 0.3f}};
    CHECK(trace_sight(*stage, sensors, 300, disk).rays == 4 * 300);
    CHECK(trace_sight(*stage, sensors, 300, point).rays == 300);
    Sensors turned_away;
    turned_away.add({2, -3, 1}, {0, -1, 0}, 1);
    CHECK(trace_sight(*stage, turned_away, 1, point).rays == 0);
}

TEST_CASE("a lamp without a distribution gives no light") {
    const auto stage = make_empty_stage();
    Sensors sensors;
    sensors.add({0, 0, 1}, {0, 0, -1}, 1);
    sensors.add({0, 0, 0.01f}, {0, 0, -1}, 1);
    CHECK(light_sensors(*stage, sensors, {.diameter = 0.05f}, {}, IntensityTable()) ==
          std::vector<float>{0, 0});
}
