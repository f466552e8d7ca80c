#pragma once
// What the parts of build_stage share.

#include <array>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "cell_part.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// A rectangle of an unfolded surface.
struct FaceRectangle {
    double u0 = 0;
    double u1 = 0;
    double v0 = 0;
    double v1 = 0;

    bool contains(double u, double v) const { return u >= u0 && u <= u1 && v >= v0 && v <= v1; }
};

/// An upright face over a run: from `low`, or a lower edge that slopes, up to a piecewise linear upper edge,
/// with holes.
struct UprightFace {
    std::vector<RunSegment> run;
    bool closed = false;
    double foot = 0;
    double low = 0;                    ///< lowest end above the foot; below 0 where it goes into the ground
    std::function<double(double)> top; ///< upper edge above the foot at u
    std::function<double(double)> bottom; ///< lower edge above the foot at u; absent: `low`
    std::vector<double> breaks;           ///< u where an edge bends
    std::vector<FaceRectangle> holes;     ///< openings: no face there
    std::vector<FaceRectangle> covered;   ///< projections: a face, but hidden

    double bottom_at(double u) const { return bottom ? bottom(u) : low; }
};

/// The plan point at u on segment `index`; corners come out exactly equal from both sides.
glm::dvec2 point_on(const UprightFace& face, std::size_t index, double u);

/// The upright lines along which a segment's triangles meet, both ends included.
std::vector<double> upright_lines(const UprightFace& face, std::size_t index);

/// Makes edges of holes that nearly meet a break, a corner or each other do so exactly.
void snap_holes(UprightFace& face);

/// Adds the face's triangles, wound to the outside, without T-junctions between them.
void build_upright(const UprightFace& face, std::uint16_t material, std::uint16_t surface, bool is_solid,
                   Triangles& triangles);

/// A sensor to be, with its cell; on a surface without a grid, the side and a number that no other sensor of
/// that side has.
struct SensorSpot {
    int column = 0;
    int row = 0;
    glm::dvec3 position{0};
    glm::dvec3 normal{0};
    double area = 0;
    bool is_narrow = false; ///< too near to an edge: a neighbour takes its area
};

/// An empty grid over length x height. Throws InputError when it would have too many cells.
SensorGrid make_grid(double length, double height, double step);

/// A regular grid of spots over the face; cells cut by its edges keep what is left of their area, exactly,
/// and their sensor stands inside of that, off the facets of `stage` that meet the face.
std::vector<SensorSpot> place_face_sensors(const UprightFace& face, double spacing, const Stage& stage,
                                           SensorGrid& grid);

/// Upright to the axes, round the solid bodies of a thing.
struct SolidBox {
    glm::vec3 low{0}, high{0};
    std::vector<std::uint32_t> facets{}; ///< of the opaque ones
};

struct StageBuilder {
    const Site& site;
    std::filesystem::path folder;
    Stage& stage;

    /// Sensors are laid when the ray kernel stands, in this order.
    std::vector<std::function<void()>> sensor_jobs{};
    std::vector<std::function<void()>> leaf_sensor_jobs{}; ///< after all others
    std::vector<SolidBox> solids{};                        ///< one a thing; known when all triangles are
    std::map<std::pair<Cladding, std::array<double, 3>>, std::shared_ptr<const Relief>> claddings{};
    glm::dvec2 low{0}; ///< plan bounds of everything built
    glm::dvec2 high{0};

    std::uint16_t add_material(const Finish& finish);
    /// Of something that glows where `glow` is given, over faces that are `area` large together.
    std::uint16_t add_material(const Finish& finish, const std::optional<Glow>& glow, double area);
    std::uint16_t add_material(const Material& material);
    std::uint16_t add_surface(const std::string& id, SurfaceKind kind, const std::string& part_of);

    /// Adds the spots that are not inside a solid or glued to another face, filling the surface's range
    /// and grid. Narrow ones first give their area to a neighbour, where they have one.
    void add_sensors(Surface& surface, std::vector<SensorSpot> spots);

    /// What pictures show of a face beyond its facets. Claddings of one kind and colour are one relief.
    void add_cladding(std::uint16_t surface, const UprightFace& face, Cladding cladding, const Finish& finish,
                      std::vector<glm::dvec2> outline = {});
    /// Boards round openings, and those of a wall itself where it is one: after its claddings.
    void add_trim(std::uint16_t surface, const UprightFace& face, const std::vector<Opening>& openings,
                  const Wall* wall);
    /// `pane`: from the opening's lower left corner to its lower right one.
    void add_opening_relief(std::uint16_t surface, const Opening& opening, const RunSegment& pane,
                            double foot);

    /// A source of faces that triangles stand for already; none where the material is dark.
    void add_glow_source(std::uint16_t surface, std::uint16_t material, std::vector<GlowFace> faces,
                         const std::optional<GlowBall>& ball = {}, std::vector<glm::dvec3> aperture = {});

    void build_walls();
    void build_roofs();
    void build_steps(); ///< and railings
    void build_fountains();
    void build_lanterns();
    void build_ground();
    /// Raised ground and the wall round it; `surface` and `material` are the ground's.
    void build_terrace(const GroundArea& area, std::uint16_t surface, std::uint16_t material);
    void build_meshes();
    void build_plants();

    /// The sensors of what has none, and of trunks and limbs: after all others but those of leaves.
    void place_body_sensors();
};

/// One entry a triangle: 1 where the triangles connected with it close a body, every edge walked as often one
/// way as the other. Vertices in the same place are one.
std::vector<std::uint8_t> find_closed_bodies(const std::vector<glm::vec3>& vertices,
                                             const std::vector<glm::uvec3>& corners);

/// A hexahedron: corners 0-3 the lower face counter-clockwise seen from above, 4-7 above them.
void add_box(const std::array<glm::dvec3, 8>& corners, std::uint16_t material, std::uint16_t surface,
             Triangles& triangles);

} // namespace duskcast
