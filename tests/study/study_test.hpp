#pragma once
// Small sites to study.

#include <memory>

#include "../measure/measure_test.hpp"
#include "duskcast/light/bounce.hpp"
#include "duskcast/study/workbench.hpp"

namespace duskcast::test {

inline constexpr double beam_deg = 24, candela = 1500, level = 20;

/// A bare wall with uplights of a cosine-power beam before it; lenses are points.
inline Site make_wall(double length, double height, double spacing, std::vector<double> along,
                      double setback) {
    Site site = make_wall_site(length, height, spacing);
    site.lamps.push_back(
        {.id = "beam",
         .figures = {.centre_candela = candela, .beam_angle = radians_from_degrees(beam_deg)},
         .watts = 5});
    for (const double at : along) {
        Fixture fixture{.id = "U" + std::to_string(site.fixtures.size() + 1), .lamp = "beam", .wall = "wall"};
        fixture.along = at;
        fixture.setback = setback;
        fixture.lens_height = 0.15;
        fixture.lens_diameter = 0.002;
        site.fixtures.push_back(fixture);
    }
    site.targets.push_back({.id = "all", .on = "wall", .level = level, .share = 0});
    return site;
}

/// Three uplights along a wall, a target on all of it and one on its right third.
inline Site make_row() {
    Site site = make_wall_site(6, 3, 0.2);
    site.lamps.push_back({.id = "beam",
                          .figures = {.centre_candela = 900, .beam_angle = radians_from_degrees(40)},
                          .watts = 4});
    for (const double along : {1.0, 2.5, 4.5}) {
        Fixture fixture{.id = "U" + std::to_string(site.fixtures.size() + 1), .lamp = "beam", .wall = "wall"};
        fixture.along = along;
        fixture.setback = 0.5;
        fixture.tilt = 0.2;
        site.fixtures.push_back(fixture);
    }
    site.targets.push_back({.id = "all", .on = "wall", .level = 20, .share = 0.3});
    site.targets.push_back(
        {.id = "right", .on = "wall", .along = std::array{4.0, 6.0}, .level = 20, .share = 0.3});
    return site;
}

/// A gabled front with two uplights, a tree with one, a target on each.
inline Site make_garden() {
    Site site =
        read_site(R"({ "duskcast": 1, "as_new": true, "units": "m", "light": "lx", "sensor_spacing": 0.25, "ambient": 0.1,
        "leaf_sensors": 300, "ground_spacing": 0.5, "ground": { "margin": 3 },
        "walls": [{ "id": "front", "path": [[0, 0], [8, 0]], "height": 3, "finish": "brick red common",
                    "gables": [{ "id": "peak", "from": 2, "width": 4, "peak": 6 }], "eave": { "depth": 0.4 } }],
        "trees": [{ "id": "oak", "at": [4, -8], "height": 6, "base": 2, "width": 4, "leaf_area_density": 0.8,
                    "leaf_size": 0.2 }],
        "lamps": [{ "id": "a", "watts": 4, "lumens": 280, "beam": 36 }, { "id": "b", "watts": 5, "lumens": 400, "beam": 24 },
                  { "id": "c", "watts": 3, "lumens": 200, "beam": [60, 30], "field": [90, 50] }],
        "fixtures": [
          { "id": "U1", "kind": "uplight", "lamp": "a", "wall": "front", "along": 4, "setback": 0.4, "tilt": 8 },
          { "id": "U2", "kind": "uplight", "lamp": "c", "wall": "front", "along": 6.5, "setback": 0.4, "tilt": 20 },
          { "id": "T1", "kind": "uplight", "lamp": "b", "tree": "oak", "bearing": 180, "setback": 1, "tilt": 15 }],
        "targets": [{ "id": "gable", "on": "front", "gable": "peak", "level": "10 lx", "share": 0.5 },
                    { "id": "crown", "on": "oak", "level": "2 lx", "share": 0.3 },
                    { "id": "lawn", "on": "ground", "level": "1 lx", "share": 0.1 }] })",
                  "garden.site.json")
            .site;
    return site;
}

/// As `light` does it.
inline Figures run_singly(const Site& site, bool is_direct_only) {
    const std::unique_ptr<Stage> stage = build_stage(site, ".");
    Lighting lighting = trace_lighting(*stage, make_fixtures(site, "."));
    if (!is_direct_only)
        add_bounce(set_up_bounce(*stage, lighting.fixtures, site.ambient), lighting);
    return figures_of(site, measure_report(site, *stage, lighting), lighting);
}

} // namespace duskcast::test
