#pragma once
// What is kept of a plane cell, in convex parts, and where its sensor stands.

#include <array>
#include <glm/glm.hpp>
#include <span>
#include <vector>

#include "duskcast/site/terraces.hpp"
#include "duskcast/stage/convex_part.hpp"
#include "duskcast/stage/geometry.hpp"

namespace duskcast {

/// A sensor keeps at least so far from every edge of what it stands for, metres. Below that, rounding of its
/// position (3e-5 at 500 m) and of its rays could decide on which side of the edge it is.
inline constexpr double sensor_clearance = 5e-4;

/// A plane through `origin` with unit axes u and v at right angles; its normal is cross(u, v).
struct PlaneFrame {
    glm::dvec3 origin{0};
    glm::dvec3 u{1, 0, 0};
    glm::dvec3 v{0, 1, 0};

    glm::dvec3 normal() const { return glm::cross(u, v); }
    glm::dvec3 at(const glm::dvec2& point) const { return origin + point.x * u + point.y * v; }
};

/// The lines along which facets pass through the plane that sensors' rays start in, just above a face. A
/// sensor on such a line would see what is on either side of it, as the last bit of a ray decides.
class FacetLines {
public:
    FacetLines() = default; ///< none

    /// Those within `low`..`high` of the frame.
    FacetLines(const Triangles& opaque, const Triangles& cutouts, const PlaneFrame& frame,
               const glm::dvec2& low, const glm::dvec2& high);

    /// Those of ground that may fall, as the plan shows them, within `low`..`high` of the plan.
    FacetLines(const Triangles& opaque, const Triangles& cutouts, const GroundPlane& ground,
               const glm::dvec2& low, const glm::dvec2& high);

    /// The first within sensor_clearance of the point, or null.
    const PlaneLine* find_near(const glm::dvec2& point) const;

private:
    /// Where facets pass through the plane, read along two axes that need not lie in it.
    void gather(const Triangles& opaque, const Triangles& cutouts, const glm::dvec3& on_plane,
                const glm::dvec3& normal, const glm::dvec3& u, const glm::dvec3& v, const glm::dvec2& low,
                const glm::dvec2& high);
    int band_of(double v) const;

    double low_ = 0;
    double band_ = 1;
    std::vector<std::vector<PlaneLine>> bands_; ///< by v; a line stands in every band that it may be near to
};

struct KeptCell {
    double area = 0;
    glm::dvec2 spot{0};     ///< the sensor's place
    bool is_narrow = false; ///< there was no room for a sensor; the spot is the middle of the largest part
};

/// The parts must not overlap but may share edges. The spot is the point nearest to the middle of all that
/// is kept, sensor_clearance inside a single part and off all lines.
KeptCell find_kept(std::vector<ConvexPart> parts, const FacetLines& lines);

/// The parts into which edges cut the rectangle. Edges may cross and may end within it.
std::vector<ConvexPart> cut_rectangle(const glm::dvec2& low, const glm::dvec2& high,
                                      std::span<const PlaneLine> edges);

} // namespace duskcast
