#pragma once
// Whether a ray meets a facet: the one verdict that all ways of tracing agree on.

namespace duskcast {

/// Where a ray meets a facet.
struct FacetMeeting {
    double distance = 0; ///< in lengths of the direction
    double u = 0;        ///< barycentric weights of the second and third corner; 0 on leaves
    double v = 0;
};

/// Whether the ray meets the facet between its ends, both included; where it is edge-on, it does not.
/// `corners`: 3 of a triangle or 4 of a leaf, x, y, z each. In double precision from floats, so that a shared
/// edge or vertex belongs to every facet at it. Facets are widened by the rounding of doubles (1e-11 m at
/// most), which closes the gap at vertices as well.
bool meet_facet(const float* corners, int corner_count, const float* origin, const float* direction,
                double near_end, double far_end, FacetMeeting& meeting);

} // namespace duskcast
