#pragma once
// Named surfaces of a stage and the sensors on them.

#include <cstdint>
#include <glm/glm.hpp>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/base/cell_grid.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {

/// Spots where light is known. Structure of arrays, metres; the sensors of a surface are neighbours.
struct Sensors {
    std::vector<float> x, y, z;
    std::vector<float> nx, ny, nz; ///< unit normal of the side that is lit
    std::vector<float> area;       ///< m2 the sensor stands for

    std::size_t size() const { return x.size(); }
    glm::vec3 position(std::size_t i) const { return {x[i], y[i], z[i]}; }
    glm::vec3 normal(std::size_t i) const { return {nx[i], ny[i], nz[i]}; }
    void add(const glm::vec3& position, const glm::vec3& normal, float area_m2);
};

enum class SurfaceKind {
    wall,
    projection,
    soffit,
    opening,
    ground,
    tree,
    shrub,
    mesh,
    lantern,
    roof,
    steps,
    railing,
    fountain,
    water ///< of a fountain
};

const char* name_of(SurfaceKind kind);

/// A surface unfolded to a plane: u along a wall's run (or x, or along a soffit), v up (or y, or outwards).
struct SensorGrid : CellGrid {
    std::vector<double> top; ///< upright surfaces: v of the upper edge at each column's centre
};

/// A line of a surface's drawing, in its (u, v).
struct OutlineShape {
    enum class Role { edge, gable, opening, projection, corner, area };
    Role role = Role::edge;
    std::string id; ///< of the gable, opening, projection or area; may be empty
    std::vector<glm::dvec2> points;
    bool is_closed = true;
};

/// (u, v) of a point in space by the nearest segment of an upright surface's run; v counts from `foot`.
glm::dvec2 unfold(const std::vector<RunSegment>& run, double foot, const glm::dvec3& point);

struct Surface {
    std::string id; ///< unique; parts of a wall are "wall.part"
    SurfaceKind kind = SurfaceKind::wall;
    std::string part_of; ///< id of the wall, tree... in the site that it belongs to; its own id when whole
    std::uint32_t first = 0; ///< its sensors
    std::uint32_t count = 0;
    double area = 0; ///< m2, lit side (leaves: both sides)

    /// Flat or unfolded surfaces only: columns > 0.
    SensorGrid grid;
    std::vector<OutlineShape> outline;

    /// Upright surfaces only (walls, projections, upright planes of meshes): the plan's run.
    std::vector<RunSegment> run;
    double foot = 0; ///< z that heights count from: of a wall its foot, of ground its lowest; of a mesh 0

    GroundPlane plane; ///< of ground

    bool has_grid() const { return grid.columns > 0; }
    bool is_upright() const { return !run.empty(); }

    /// Of an upright surface.
    glm::dvec2 unfold(const glm::dvec3& point) const { return duskcast::unfold(run, foot, point); }

    /// Upright surface with an outline: v of its upper edge at u; none beside it.
    std::optional<double> upper_edge(double u) const;
};

} // namespace duskcast
