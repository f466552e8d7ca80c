#pragma once
// What the innermost loops over rays and facets work on, as bare blocks of numbers, and the loops themselves,
// once for every instruction set that they are compiled for.

#include <cstddef>
#include <cstdint>

#include "facet_meeting.hpp"

namespace duskcast {

inline constexpr int facet_lanes = 8;

/// A node (its index) or a block of facets (block_bit, with leaf_bit for leaves).
using FacetRef = std::uint32_t;
inline constexpr FacetRef no_facets = 0xffffffffu;
inline constexpr FacetRef block_bit = 0x80000000u;
inline constexpr FacetRef leaf_bit = 0x40000000u; ///< also of a facet's number
inline constexpr FacetRef index_mask = 0x3fffffffu;

/// Boxes are a micrometre roomier than what is in them; missing children have empty ones.
struct alignas(64) TreeNode {
    float side[2][3][facet_lanes]; ///< low and high, x, y and z
    FacetRef child[facet_lanes];
};

/// Up to eight facets; lanes beyond `count` repeat the last.
template <int corners> struct alignas(32) FacetBlock {
    float corner[corners][3][facet_lanes];
    float size[facet_lanes]; ///< the longest edge or diagonal
    float skew[facet_lanes]; ///< how far the fourth corner is from a parallelogram's; 0 for triangles
    std::uint32_t facet[facet_lanes];
    std::uint32_t count;
};

struct TreeView {
    const TreeNode* nodes = nullptr;
    const FacetBlock<3>* triangles = nullptr;
    const FacetBlock<4>* leaves = nullptr;
    FacetRef root = no_facets;
    const float* triangle_corners = nullptr; ///< 9 a triangle: opaque ones, then cut-outs
    const float* leaf_corners = nullptr;     ///< 12 a leaf
    std::uint32_t first_cutout = 0;
    /// Whether light passes a cut-out at barycentric (u, v).
    bool (*is_see_through)(const void* stage, std::uint32_t cutout, double u, double v) = nullptr;
    const void* stage = nullptr;
};

struct NearestFacet {
    std::uint32_t facet = no_facets; ///< with leaf_bit
    FacetMeeting meeting;
};

/// Sensors (or directions) in the cells of a cube map. A face's grid lies over what is in it alone.
struct CellFace {
    std::uint32_t count = 0;
    std::uint32_t first = 0;              ///< cell
    int cells = 1;                        ///< along each side
    float far = 0;                        ///< the deepest sensor
    float a0 = 0, a1 = 0, b0 = 0, b1 = 0; ///< slopes that occur
    float a_scale = 0, b_scale = 0;
};

inline constexpr int face_tiles = 16; ///< along each side: coarse cells that know their deepest sensor

struct CellView {
    const CellFace* faces = nullptr;      ///< 6: +x, -x, +y, -y, +z, -z
    const std::uint32_t* start = nullptr; ///< where a cell's sensors begin; one more than there are cells
    const float* x = nullptr; ///< sensors less the centre, in the order of cells, eight more than there are
    const float* y = nullptr;
    const float* z = nullptr;
    const float (*tile_far)[face_tiles][face_tiles] = nullptr; ///< -1: no sensor
    float centre[3] = {0, 0, 0};
    float from_origin = 0; ///< how far the centre is from the site's origin, or more
    float radius = 0;      ///< of the ball that holds all spots, roomy enough for all rounding
    float below = 0;       ///< spots are at most so far below and above the centre, likewise
    float above = 0;
    float reach = 0;       ///< the farthest sensor
    float end_gap = 0;     ///< rays end at most so far before their spots
    bool is_level = false; ///< all spots at the centre's height, and all rays end before it
};

/// Directions in some rows of the cells of a cube map's face.
struct DirectionView {
    const CellFace* face = nullptr;
    int side = 0;                    ///< which: 0..5, as in CellView
    int first_row = 0, last_row = 0; ///< both included
    const std::uint32_t* start =
        nullptr;              ///< where a cell's directions begin, counted from `first_row`'s first
    const float* x = nullptr; ///< in the order of cells, eight more than there are
    const float* y = nullptr;
    const float* z = nullptr;
    float length = 0; ///< of the longest, or more
};

/// The nearest facet in each direction, and two distances between which it lies; `high` begins at the rays'
/// far end. Eight more of each than there are directions.
struct NearestFacets {
    std::uint32_t* facet = nullptr;
    float* low = nullptr;
    float* high = nullptr;
};

/// A facet that may hide part of the spots from a sensor.
struct Suspect {
    std::uint32_t next; ///< no_facets: the last
    std::uint32_t facet;
};

/// What a pass over facets found out about the sensors.
struct Ledger {
    std::uint8_t* dark = nullptr;  ///< a bit a sensor: nothing of the spots is seen
    std::uint32_t* head = nullptr; ///< a sensor's first suspect
    Suspect* suspects = nullptr;
    std::uint32_t count = 0;
    std::uint32_t capacity = 0;
    void (*grow)(Ledger&) = nullptr; ///< makes room for more suspects
    void* owner = nullptr;           ///< of the memory
};

/// The rays from one sensor to spots: directions, as many as `count` and eight more.
struct SpotRays {
    float origin[3];
    float far_end; ///< in lengths of each direction
    float length;  ///< of the longest, or more
    int count;
    const float* x;
    const float* y;
    const float* z;
};

struct LaneKernels {
    const char* name;
    /// `stopper`: the block to look at first, or no_facets; afterwards the one that stopped this ray.
    bool (*is_occluded)(const TreeView& tree, const float* origin, const float* direction, float near_end,
                        float far_end, FacetRef& stopper);
    NearestFacet (*find_nearest)(const TreeView& tree, const float* origin, const float* direction,
                                 float near_end, float far_end);
    /// Every facet over the directions it may stop a ray in that starts at the origin.
    void (*find_nearest_facets)(const TreeView& tree, const DirectionView& directions, const float* origin,
                                float near_end, float far_end, const NearestFacets& nearest);
    /// Every facet below `refs` over the sensors it can hide something from.
    void (*find_suspects)(const TreeView& tree, const CellView& cells, const FacetRef* refs,
                          std::size_t count, Ledger& ledger);
    /// Of the rays in `wanted` those that the facet stops.
    std::uint64_t (*find_stopped)(const TreeView& tree, std::uint32_t facet, const SpotRays& rays,
                                  std::uint64_t wanted);
};

/// For any processor of the kind, for AVX2, and one float after the other.
LaneKernels make_base_kernels();
LaneKernels make_avx2_kernels();
LaneKernels make_scalar_kernels();

} // namespace duskcast
