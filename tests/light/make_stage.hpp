#pragma once
// Small stages for the tests.

#include <doctest/doctest.h>
#include <memory>

#include "duskcast/light/lighting.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {

/// An open façade along x, its outside to the south.
inline Site make_wall_site(double length, double height, double spacing) {
    Site site{.is_as_new = true};
    Wall wall;
    wall.id = "wall";
    wall.path = {{0, 0}, {length, 0}};
    wall.height = height;
    site.walls = {wall};
    site.sensor_spacing = spacing;
    site.ground_spacing = 1;
    return site;
}

/// Sensors all over the inside of a box of 2 m about `centre`, whose flux is that of all that leaves it.
inline Sensors make_box_sensors(const glm::dvec3& centre, int cells) {
    Sensors sensors;
    const double step = 2.0 / cells;
    for (const int face : {0, 1, 2})
        for (const double side : {-1.0, 1.0})
            for (int i = 0; i < cells; ++i)
                for (int j = 0; j < cells; ++j) {
                    glm::dvec3 spot(-1 + (i + 0.5) * step);
                    spot[(face + 1) % 3] = -1 + (j + 0.5) * step;
                    spot[face] = side;
                    glm::vec3 normal(0);
                    normal[face] = static_cast<float>(-side);
                    sensors.add(glm::vec3(centre + spot), normal, static_cast<float>(step * step));
                }
    return sensors;
}

/// A ray kernel over nothing at all, for light in the open.
inline std::unique_ptr<Stage> make_empty_stage() {
    auto stage = std::make_unique<Stage>();
    stage->kernel = std::make_unique<RayKernel>(stage->opaque, stage->cutouts, stage->leaves,
                                                stage->materials, stage->textures);
    return stage;
}

/// Takes a stage's ray kernel away as long as it lives: whoever traces a ray meanwhile crashes.
class WithoutRays {
public:
    explicit WithoutRays(Stage& stage) : stage_(stage), kernel_(std::move(stage.kernel)) {}
    ~WithoutRays() { stage_.kernel = std::move(kernel_); }
    WithoutRays(const WithoutRays&) = delete;
    WithoutRays& operator=(const WithoutRays&) = delete;

private:
    Stage& stage_;
    std::unique_ptr<RayKernel> kernel_;
};

inline Distribution make_cosine(double beam_deg, double candela) {
    return make_distribution({.centre_candela = candela, .beam_angle = radians_from_degrees(beam_deg)});
}

/// 1000 cd everywhere.
inline Distribution make_isotropic() {
    return {.c = {0}, .gamma = {0, pi}, .candela = {1000, 1000}};
}

/// Two perpendicular beams of different width: I0 exp(-ln 2 (g/h(C))^2), h between 15 and 30 degrees.
inline Distribution make_oval_beam() {
    Distribution oval;
    for (int i = 0; i <= 180; ++i)
        oval.gamma.push_back(radians_from_degrees(0.5 * i));
    for (int plane = 0; plane <= 72; ++plane) {
        const double c = 2 * pi * plane / 72;
        oval.c.push_back(c);
        const double half = radians_from_degrees(22.5 - 7.5 * std::cos(2 * c));
        for (const double gamma : oval.gamma)
            oval.candela.push_back(800 * std::exp(-std::log(2.0) * gamma * gamma / (half * half)));
    }
    oval.c.back() = 2 * pi;
    return oval;
}

inline std::vector<float> light_sensors(const Stage& stage, const Sensors& sensors, const Lens& lens,
                                        const Aim& aim, const IntensityTable& table) {
    const Sight sight = trace_sight(stage, sensors, static_cast<std::uint32_t>(sensors.size()), lens);
    std::vector<float> lux(sensors.size());
    evaluate_layer(sight, sensors, aim, table, 1, lux);
    return lux;
}

} // namespace duskcast
