#pragma once
// Small sites, and light that is known in advance: the sum per sensor is a function of place, or comes from
// fixtures given by hand.

#include <cmath>
#include <doctest/doctest.h>
#include <functional>
#include <memory>

#include "duskcast/measure/report.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast::test {

/// An open façade along x in metres, its outside to the south.
inline Site make_wall_site(double length, double height, double spacing) {
    Site site{.is_as_new = true};
    site.name = "test";
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    Wall wall;
    wall.id = "wall";
    wall.path = {{0, 0}, {length, 0}};
    wall.height = height;
    site.walls = {wall};
    site.sensor_spacing = spacing;
    return site;
}

inline Site make_tree_site() {
    Site site{.is_as_new = true};
    site.units = LengthUnit::metre;
    site.light = LightUnit::lux;
    Tree tree;
    tree.id = "oak";
    tree.form = CrownForm::round;
    tree.height = 9;
    tree.base = 2;
    tree.width = 6;
    tree.foliage.leaf_area_density = 2;
    tree.foliage.leaf_size = 0.2;
    site.trees = {tree};
    site.leaf_sensors = 4000;
    return site;
}

using LightAt = std::function<double(const glm::vec3& position, const glm::vec3& normal)>;

inline Lighting make_light(const Stage& stage, const LightAt& lux_at) {
    Lighting lighting{.stage = &stage};
    for (std::size_t i = 0; i < stage.sensors.size(); ++i)
        lighting.direct_lx.push_back(lux_at(stage.sensors.position(i), stage.sensors.normal(i)));
    return lighting;
}

/// Gives every fixture the same light, `lux_at` times its scale, by way of its Sight.
inline void light_evenly(Lighting& lighting, const Stage& stage, const LightAt& lux_at) {
    const IntensityTable one_candela({.c = {0}, .gamma = {0, pi}, .candela = {1, 1}}, {});
    for (LitFixture& fixture : lighting.fixtures) {
        fixture.table = one_candela;
        Sight sight{.lens = fixture.lens};
        for (std::size_t i = 0; i < stage.sensors.size(); ++i)
            sight.transfer.push_back(
                static_cast<float>(lux_at(stage.sensors.position(i), stage.sensors.normal(i))));
        lighting.sights.push_back(sight);
    }
}

inline Distribution make_cosine(double beam_deg, double candela) {
    return make_distribution({.centre_candela = candela, .beam_angle = radians_from_degrees(beam_deg)});
}

inline Distribution make_isotropic(double candela) {
    return {.c = {0}, .gamma = {0, pi}, .candela = {candela, candela}};
}

inline LitFixture make_fixture(const glm::vec3& at, const Aim& aim, const Distribution& distribution) {
    LitFixture fixture{
        .id = "U1", .lens = {.centre = at}, .aim = aim, .table = IntensityTable(distribution, {})};
    fixture.lumens = fixture.table.lumens();
    return fixture;
}

/// Lux on a wall in the plane y = 0 at (x, z) from a cosine-power lamp of I0 cd: I0 cos^n cos / d^2.
inline double wall_lux(const glm::dvec3& lens, const Aim& aim, double beam_deg, double candela, double x,
                       double z) {
    const double n = std::log(0.5) / std::log(std::cos(radians_from_degrees(beam_deg) / 2));
    const glm::dvec3 way = glm::dvec3(x, 0, z) - lens;
    const double d = glm::length(way);
    const double on_axis = glm::dot(way, beam_axis(aim)) / d;
    return on_axis > 0 ? candela * std::pow(on_axis, n) * (way.y / d) / (d * d) : 0;
}

/// z of the brightest spot of the line x = lens.x, and z above it where the light falls to `level`.
struct LineFacts {
    double hottest = 0;
    double reach = 0;
};
inline LineFacts solve_line(const glm::dvec3& lens, const Aim& aim, double beam_deg, double candela,
                            double level) {
    const auto lux = [&](double z) { return wall_lux(lens, aim, beam_deg, candela, lens.x, z); };
    LineFacts facts;
    for (double z = 0; z < 10; z += 1e-3)
        if (lux(z) > lux(facts.hottest))
            facts.hottest = z;
    double low = facts.hottest, high = 100;
    for (int i = 0; i < 80; ++i) {
        const double middle = (low + high) / 2;
        (lux(middle) >= level ? low : high) = middle;
    }
    facts.reach = low;
    return facts;
}

inline const SurfaceReport& surface_report(const Report& report, const Stage& stage, const std::string& id) {
    for (const SurfaceReport& surface : report.surfaces)
        if (stage.surfaces[surface.surface].id == id)
            return surface;
    FAIL("no report of " << id);
    return report.surfaces.front();
}

/// The text of the problems that the call throws; "" when it throws none.
template <class Call> std::string problems_of(Call call) {
    try {
        call();
    } catch (const InputError& error) {
        return error.what();
    }
    return "";
}

} // namespace duskcast::test
