#pragma once
// What several tests of the room need: a small site lit by hand.

#include <cmath>
#include <memory>

#include "duskcast/sheets/plate.hpp"
#include "duskcast/site/layout.hpp"
#include "lamps.hpp"
#include "pixels.hpp"

namespace duskcast::test {

/// A stage of one plain wall, 4 m by 2 m, whose light is set by hand.
struct PlainWall {
    Site site{.is_as_new = true};
    std::unique_ptr<Stage> stage;
    Lighting lighting;
    Report report;

    PlateSource source() const { return {site, *stage, lighting, report}; }
    Surface& surface() { return stage->surfaces.front(); }
    void light(double lux) { report.total_lx.assign(surface().grid.sensor.size(), lux); }
};

inline PlainWall make_plain_wall(double step = 0.2) {
    PlainWall plain;
    plain.site.name = "Plain";
    plain.site.units = LengthUnit::foot;
    plain.site.light = LightUnit::footcandle;
    plain.stage = std::make_unique<Stage>();
    Surface wall;
    wall.id = wall.part_of = "front";
    wall.run = run_of({{0, 0}, {4, 0}}, false);
    wall.grid.step = step;
    wall.grid.columns = static_cast<int>(std::lround(4 / step));
    wall.grid.rows = static_cast<int>(std::lround(2 / step));
    for (std::int32_t i = 0; i < wall.grid.columns * wall.grid.rows; ++i)
        wall.grid.sensor.push_back(i);
    wall.outline = {{OutlineShape::Role::edge, "", {{0, 0}, {4, 0}, {4, 2}, {0, 2}}, true}};
    plain.stage->surfaces.push_back(std::move(wall));
    plain.report.levels_lx = {lux_per_footcandle};
    plain.light(10);
    return plain;
}

} // namespace duskcast::test
