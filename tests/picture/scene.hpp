#pragma once
// What several tests of the room need: a small lit site, a look at a PNG's pixels.

#include <cmath>
#include <memory>
#include <string>

#include "duskcast/picture/colour_scale.hpp"
#include "duskcast/picture/plate.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/stage/obj.hpp"
#include "folder.hpp"

namespace duskcast::test {

/// The pixels of a PNG, by way of the reader for textures.
inline Texture read_pixels(const std::string& png) {
    const Folder folder;
    folder.write("page.png", png);
    folder.write("page.mtl", "newmtl page\nmap_Kd page.png\n");
    folder.write("page.obj",
                 "mtllib page.mtl\nusemtl page\nv 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nf 1/1 2/1 3/1\n");
    return read_obj_file(folder / "page.obj").textures.at(0);
}

/// Mean place and number of the pixels near a colour; y upwards, as textures count.
struct Patch {
    double x = 0, y = 0;
    std::size_t count = 0;
};

inline Patch find_colour(const Texture& page, const Colour& colour, int tolerance = 2) {
    Patch patch;
    for (int y = 0; y < page.height; ++y)
        for (int x = 0; x < page.width; ++x) {
            const std::uint8_t* pixel = &page.rgba[4 * (static_cast<std::size_t>(y) * page.width + x)];
            bool is_near = true;
            for (std::size_t i = 0; i < 3; ++i)
                is_near = is_near && std::abs(pixel[i] - 255 * colour[i]) <= tolerance;
            if (is_near) {
                patch.x += x;
                patch.y += y;
                ++patch.count;
            }
        }
    if (patch.count > 0) {
        patch.x /= static_cast<double>(patch.count);
        patch.y /= static_cast<double>(patch.count);
    }
    return patch;
}

/// A fixture of 100 cd whatever the direction, with a lens that is a point.
inline LitFixture make_point(const std::string& id, const glm::vec3& at) {
    LitFixture fixture;
    fixture.id = id;
    fixture.lens.centre = at;
    fixture.table = IntensityTable(Distribution{{0}, {0, pi}, {100, 100}}, {});
    return fixture;
}

/// A stage of one plain wall, 4 m by 2 m, whose light is set by hand.
struct PlainWall {
    Site site;
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
