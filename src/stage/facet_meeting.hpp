#pragma once
// Whether a ray meets a facet: the one verdict that all ways of tracing agree on.

namespace duskcast {

/// Where a ray meets a facet.
struct FacetMeeting {
    double distance = 0; ///< in lengths of the direction
    double u = 0;        ///< barycentric weights of the second and third corner; 0 on leaves
    double v = 0;
};

/// A facet as all rays from one point see it.
struct SeenFacet {
    int corner_count = 0;
    double edge[4][3];  ///< normals of the planes through the point and each edge
    double edge_slack;  ///< by how much a ray may pass an edge, times its length
    double normal[3];   ///< of the facet
    double offset;      ///< of its plane from the point, in lengths of the normal
    double along_slack; ///< of a ray's way along the normal, times its length
};

/// `corners`: 3 of a triangle or 4 of a leaf, x, y, z each.
void see_facet(const float* corners, int corner_count, const float* origin, SeenFacet& seen);

/// Whether the ray meets the facet between its ends, both included; where it is edge-on, it does not.
/// In double precision from floats, so that a shared edge or vertex belongs to every facet at it. Facets are
/// widened by the rounding of doubles (1e-11 m at most), which closes the gap at vertices as well.
bool meet_facet(const SeenFacet& seen, const float* direction, double near_end, double far_end,
                FacetMeeting& meeting);

/// The same for a single ray.
bool meet_facet(const float* corners, int corner_count, const float* origin, const float* direction,
                double near_end, double far_end, FacetMeeting& meeting);

/// Where a ray meets a facet that is known to be met: the distance by itself, or the whole meeting as floats.
double find_distance(const SeenFacet& seen, const float* direction);
void find_meeting(const SeenFacet& seen, const float* direction, float& distance, float& u, float& v);

} // namespace duskcast
