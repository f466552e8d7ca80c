// The innermost loops. Included once by each source that compiles them for an instruction set.
//
// Verdicts are meet_facet's. Floats only sort out what is certain; every bound below is on the difference
// between what floats give and what the facet as it is would give. u = 2^-24 is half a unit in the last
// place: a sum or product is off by at most u of itself.

#include "lane_kernels.hpp"

#include <cstring>

#include "duskcast/base/simd.hpp"

namespace duskcast {
namespace {

using namespace DUSKCAST_LANES;

static_assert(lanes == facet_lanes);

constexpr float unit = 0x1p-24f;
constexpr float infinite = 3e38f;
constexpr int stack_size = 1024; // the tree is at most 96 deep: 7 children wait a level

inline float pick_less(float a, float b) {
    return a < b ? a : b;
}
inline float pick_more(float a, float b) {
    return a > b ? a : b;
}
inline float size_of(float a) {
    return a < 0 ? -a : a;
}
inline float root_of(float a) {
    float made[lanes];
    store(made, square_root(Floats(a)));
    return made[0];
}
inline int lowest_bit(std::uint64_t of) {
#if defined(_MSC_VER) && !defined(__clang__)
    int place = 0;
    while (!(of >> place & 1))
        ++place;
    return place;
#else
    return __builtin_ctzll(of);
#endif
}

inline Points splat(const float* p) {
    return {Floats(p[0]), Floats(p[1]), Floats(p[2])};
}
inline Points load_points(const float (*p)[lanes]) {
    return {load(p[0]), load(p[1]), load(p[2])};
}
inline void store_points(float (*to)[lanes], const Points& p) {
    store(to[0], p.x), store(to[1], p.y), store(to[2], p.z);
}
inline Points splat_lane(const float (*p)[lanes], int lane) {
    return {Floats(p[0][lane]), Floats(p[1][lane]), Floats(p[2][lane])};
}
inline Floats axis_of(const Points& p, int axis) {
    return axis == 0 ? p.x : axis == 1 ? p.y : p.z;
}

/// Asks for a block's memory ahead of its use.
inline void fetch_block(const TreeView& tree, FacetRef ref) {
#if !defined(_MSC_VER)
    if ((ref & block_bit) == 0)
        return;
    const char* block = ref & leaf_bit ? reinterpret_cast<const char*>(tree.leaves + (ref & index_mask))
                                       : reinterpret_cast<const char*>(tree.triangles + (ref & index_mask));
    const int bytes = ref & leaf_bit ? sizeof(FacetBlock<4>) : sizeof(FacetBlock<3>);
    for (int at = 0; at < bytes; at += 64)
        __builtin_prefetch(block + at);
#else
    (void)tree, (void)ref;
#endif
}

/// The corners of a facet by its number.
inline const float* corners_of(const TreeView& tree, std::uint32_t facet) {
    return facet & leaf_bit ? tree.leaf_corners + 12 * static_cast<std::size_t>(facet & ~leaf_bit)
                            : tree.triangle_corners + 9 * static_cast<std::size_t>(facet);
}

/// The verdict: whether the facet stops the ray, see-through texels considered.
inline bool stops(const TreeView& tree, std::uint32_t facet, const float* origin, const float* direction,
                  double near_end, double far_end, FacetMeeting& meeting) {
    if (!meet_facet(corners_of(tree, facet), facet & leaf_bit ? 4 : 3, origin, direction, near_end, far_end,
                    meeting))
        return false;
    return facet & leaf_bit || facet < tree.first_cutout ||
           !tree.is_see_through(tree.stage, facet - tree.first_cutout, meeting.u, meeting.v);
}

// One ray against many facets
// ------------------------------------------------------------------------------------

/// A ray made ready.
struct RayLanes {
    const float* origin;
    const float* direction;
    float near_end, far_end;
    Points start, way, inverse;
    int near_side[3]; ///< of a box: 0 its low side, 1 its high one
    float length;

    RayLanes(const float* o, const float* d, float from, float to)
        : origin(o), direction(d), near_end(from), far_end(to), start(splat(o)), way(splat(d)) {
        float turned[3];
        for (int axis = 0; axis < 3; ++axis) {
            constexpr float least =
                1e-30f; // boxes are roomy, so that a ray within a face of one is inside it
            const float along = size_of(d[axis]) < least ? least : d[axis];
            turned[axis] = 1 / along;
            near_side[axis] = along < 0 ? 1 : 0;
        }
        inverse = splat(turned);
        length = root_of(d[0] * d[0] + d[1] * d[1] + d[2] * d[2]) * (1 + 8 * unit);
    }
};

/// Which children's boxes the ray meets. Ize 2013: three roundings on each side, made up for here.
inline unsigned meet_boxes(const TreeNode& node, const RayLanes& ray, float far_end, Floats& entry) {
    const auto near_plane = [&](int axis) { return load(node.side[ray.near_side[axis]][axis]); };
    const auto far_plane = [&](int axis) { return load(node.side[1 - ray.near_side[axis]][axis]); };
    entry =
        max(max((near_plane(0) - ray.start.x) * ray.inverse.x, (near_plane(1) - ray.start.y) * ray.inverse.y),
            max((near_plane(2) - ray.start.z) * ray.inverse.z, Floats(ray.near_end)));
    const Floats leave =
        min(min((far_plane(0) - ray.start.x) * ray.inverse.x, (far_plane(1) - ray.start.y) * ray.inverse.y),
            min((far_plane(2) - ray.start.z) * ray.inverse.z, Floats(far_end)));
    return bits(entry * Floats(1 - 8 * unit) <= leave * Floats(1 + 8 * unit));
}

/// Facets that the ray may meet; `certain` are those that it does. With a the way to a facet's first corner,
/// e and f those from there to its neighbours and d the ray, the volumes u = -a.(d x f) and v = -d.(a x e)
/// are those of the ray with two edges. A third is e.(d x f) - u - v of a triangle; a parallelogram has two,
/// less u and less v (after Moeller and Trumbore 1997). With u = 2^-24, L the facet's size and V its farthest
/// corner from the ray's start, each product is off by at most 7 sqrt 3 u V L |d|, a sum of three by 42; and
/// by skew V |d| where four corners are no parallelogram.
template <int corners, bool wants_certain>
unsigned meet_block(const FacetBlock<corners>& block, const RayLanes& ray, float far_end, unsigned& certain) {
    const Points first = load_points(block.corner[0]);
    const Points a = first - ray.start, e = load_points(block.corner[1]) - first,
                 f = load_points(block.corner[corners - 1]) - first;
    const Floats size = load(block.size);
    const Floats farthest = magnitude(a.x) + magnitude(a.y) + magnitude(a.z) + size;
    const Floats slack = (size * Floats(64 * unit) + load(block.skew)) * farthest * Floats(ray.length);
    const Points across = cross(ray.way, f);
    const Floats whole = dot(e, across);
    const Floats u = dot(a, across), v = dot(cross(a, e), ray.way); // with the other sign
    const Floats none(0.0f);
    Floats least = none - max(u, v), most = none - min(u, v);
    if (corners == 3) {
        const Floats third = whole + u + v;
        least = min(least, third);
        most = max(most, third);
    } else {
        least = min(least, whole + min(u, v));
        most = max(most, whole + max(u, v));
    }
    unsigned possible = bits((none - slack <= least) | (most <= slack)) & ((1u << block.count) - 1);
    certain = 0;
    if (possible == 0)
        return 0;
    Points p[corners];
    for (int k = 0; k < corners; ++k)
        p[k] = load_points(block.corner[k]) - ray.start;
    const Points normal =
        corners == 3 ? cross(p[1] - p[0], p[2] - p[0]) : cross(p[2] - p[0], p[corners - 1] - p[1]);
    const Floats along = dot(normal, ray.way);
    const Floats off = dot(normal, p[0]);
    // Against the normal's own rounding and the corners', at the start and at each end.
    const Floats scale = Floats(unit) * size * (Floats(4.0f) * farthest + Floats(16.0f) * size);
    const Floats from(ray.near_end), to(pick_less(far_end, 1e12f));
    const Floats before = turn_sign(off - from * along, along);
    const Floats beyond = turn_sign(off - to * along, along);
    const Floats slack_before = scale * (farthest + from * Floats(ray.length));
    const Floats slack_beyond = scale * (farthest + to * Floats(ray.length));
    const Floats slack_along = scale * Floats(ray.length);
    const Floats steep = magnitude(along);
    possible &= bits((steep <= slack_along) | ((none - slack_before <= before) & (beyond <= slack_beyond)));
    if (wants_certain)
        certain = possible & bits((slack < least) | (most < none - slack)) &
                  bits((slack_along < steep) & (slack_before < before) & (beyond < none - slack_beyond));
    return possible;
}

template <int corners>
bool is_stopped_by(const TreeView& tree, const FacetBlock<corners>& block, const RayLanes& ray) {
    unsigned certain;
    unsigned possible = meet_block<corners, true>(block, ray, ray.far_end, certain);
    if (corners == 4 && certain != 0)
        return true;
    for (; possible; possible &= possible - 1) {
        const int lane = lowest_bit(possible);
        const std::uint32_t facet = block.facet[lane];
        if ((certain >> lane & 1) != 0 && facet < tree.first_cutout)
            return true;
        FacetMeeting meeting;
        if (stops(tree, facet | (corners == 4 ? leaf_bit : 0), ray.origin, ray.direction, ray.near_end,
                  ray.far_end, meeting))
            return true;
    }
    return false;
}

inline bool is_stopped_in(const TreeView& tree, FacetRef block, const RayLanes& ray) {
    return block & leaf_bit ? is_stopped_by(tree, tree.leaves[block & index_mask], ray)
                            : is_stopped_by(tree, tree.triangles[block & index_mask], ray);
}

bool is_occluded(const TreeView& tree, const float* origin, const float* direction, float near_end,
                 float far_end, FacetRef& stopper) {
    if (tree.root == no_facets)
        return false;
    const RayLanes ray(origin, direction, near_end, far_end);
    if (stopper != no_facets && is_stopped_in(tree, stopper, ray))
        return true;
    stopper = no_facets;
    FacetRef stack[stack_size];
    int size = 0;
    FacetRef at = tree.root;
    while (true) {
        unsigned met = 0;
        if (at & block_bit) {
            if (is_stopped_in(tree, at, ray)) {
                stopper = at;
                return true;
            }
        } else {
            const TreeNode& node = tree.nodes[at];
            Floats entry;
            met = meet_boxes(node, ray, far_end, entry);
            if (met != 0) {
                at = node.child[lowest_bit(met)];
                while ((met &= met - 1) != 0) {
                    stack[size] = node.child[lowest_bit(met)];
                    fetch_block(tree, stack[size++]);
                }
                continue;
            }
        }
        if (size == 0)
            return false;
        at = stack[--size];
    }
}

template <int corners>
void find_nearer(const TreeView& tree, const FacetBlock<corners>& block, const RayLanes& ray, float& far_end,
                 NearestFacet& nearest) {
    unsigned certain;
    for (unsigned possible = meet_block<corners, false>(block, ray, far_end, certain); possible;
         possible &= possible - 1) {
        const std::uint32_t facet = block.facet[lowest_bit(possible)] | (corners == 4 ? leaf_bit : 0);
        FacetMeeting meeting;
        if (!stops(tree, facet, ray.origin, ray.direction, ray.near_end, ray.far_end, meeting))
            continue;
        // Of two at one distance the one with the lower number, in whatever order they come.
        const double distance = nearest.meeting.distance;
        if (nearest.facet != no_facets &&
            (meeting.distance > distance || (meeting.distance == distance && facet > nearest.facet)))
            continue;
        nearest = {facet, meeting};
        far_end = pick_less(far_end, static_cast<float>(meeting.distance) * (1 + 8 * unit));
    }
}

/// A node or block and where the ray enters it, in one number that sorts by that: entries are not negative,
/// and such floats are in the order of their bits. One number also, as what is written as two halves and read
/// as a whole keeps the processor waiting.
inline std::uint64_t make_waiting(FacetRef ref, float entry) {
    std::uint32_t order;
    std::memcpy(&order, &entry, sizeof order);
    return static_cast<std::uint64_t>(order) << 32 | ref;
}
inline float entry_of(std::uint64_t waiting) {
    const auto order = static_cast<std::uint32_t>(waiting >> 32);
    float entry;
    std::memcpy(&entry, &order, sizeof entry);
    return entry;
}

NearestFacet find_nearest(const TreeView& tree, const float* origin, const float* direction, float near_end,
                          float far_end) {
    NearestFacet nearest;
    if (tree.root == no_facets)
        return nearest;
    const RayLanes ray(origin, direction, near_end, far_end);
    std::uint64_t stack[stack_size];
    int size = 0;
    FacetRef at = tree.root;
    while (true) {
        unsigned met = 0;
        if (at & block_bit) {
            if (at & leaf_bit)
                find_nearer(tree, tree.leaves[at & index_mask], ray, far_end, nearest);
            else
                find_nearer(tree, tree.triangles[at & index_mask], ray, far_end, nearest);
        } else {
            const TreeNode& node = tree.nodes[at];
            Floats entry;
            met = meet_boxes(node, ray, far_end, entry);
            if (met != 0) {
                float entries[lanes];
                store(entries, entry);
                const auto waiting_at = [&](int lane) {
                    return make_waiting(node.child[lane], entries[lane]);
                };
                // Goes on with the nearest; of the others the nearest is on top.
                std::uint64_t next = waiting_at(lowest_bit(met));
                const int base = size;
                while ((met &= met - 1) != 0) {
                    std::uint64_t other = waiting_at(lowest_bit(met));
                    fetch_block(tree, static_cast<FacetRef>(other));
                    if (other < next) {
                        const std::uint64_t swapped = next;
                        next = other;
                        other = swapped;
                    }
                    int place = size++;
                    for (; place > base && stack[place - 1] < other; --place)
                        stack[place] = stack[place - 1];
                    stack[place] = other;
                }
                at = static_cast<FacetRef>(next);
                continue;
            }
        }
        std::uint64_t next;
        do {
            if (size == 0)
                return nearest;
            next = stack[--size];
        } while (entry_of(next) * (1 - 8 * unit) > far_end * (1 + 8 * unit));
        at = static_cast<FacetRef>(next);
    }
}

// Many rays from one sensor against one facet
// --------------------------------------------------------------------

struct Vector {
    float x, y, z;
};
inline Vector operator-(const Vector& a, const Vector& b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
inline Vector operator+(const Vector& a, const Vector& b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
inline Vector cross(const Vector& a, const Vector& b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline float dot(const Vector& a, const Vector& b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
inline Points splat(const Vector& v) {
    return {Floats(v.x), Floats(v.y), Floats(v.z)};
}

/// The same bounds as in meet_block, with the facet in all lanes and a ray in each.
template <int corners>
std::uint64_t find_stopped_by(const TreeView& tree, std::uint32_t facet, const SpotRays& rays,
                              std::uint64_t wanted) {
    const float* corner = corners_of(tree, facet);
    Vector p[corners];
    for (int k = 0; k < corners; ++k)
        p[k] = {corner[3 * k] - rays.origin[0], corner[3 * k + 1] - rays.origin[1],
                corner[3 * k + 2] - rays.origin[2]};
    Points edge[corners];
    float size = 0;
    for (int k = 0; k < corners; ++k) {
        const Vector& a = p[k];
        const Vector& b = p[k + 1 < corners ? k + 1 : 0];
        const Vector along = b - a;
        edge[k] = splat(cross(along, b + a));
        size = pick_more(size, dot(along, along));
    }
    const Vector one = corners == 3 ? p[1] - p[0] : p[2] - p[0];
    const Vector other = corners == 3 ? p[2] - p[0] : p[corners - 1] - p[1];
    size = root_of(pick_more(size, pick_more(dot(one, one), dot(other, other)))) * (1 + 16 * unit);
    const float farthest = size_of(p[0].x) + size_of(p[0].y) + size_of(p[0].z) + size;
    const Vector normal_one = cross(one, other);
    const Points normal = splat(normal_one);
    const Floats off(dot(normal_one, p[0]));
    const float scale = unit * size * (4 * farthest + 16 * size);
    const Floats none(0.0f);
    const Floats slack(size * farthest * (32 * unit * rays.length));
    const Floats slack_before(scale * farthest);
    const Floats slack_beyond(scale * (farthest + rays.far_end * rays.length));
    const Floats slack_along(scale * rays.length);
    const Floats to(rays.far_end);
    const bool is_cutout = corners == 3 && facet >= tree.first_cutout;
    std::uint64_t stopped = 0;
    for (int i = 0; i < rays.count; i += lanes) {
        unsigned possible = static_cast<unsigned>(wanted >> i) & 0xffu;
        if (possible == 0)
            continue;
        const Points way{load(rays.x + i), load(rays.y + i), load(rays.z + i)};
        Floats least = dot(edge[0], way);
        Floats most = least;
        for (int k = 1; k < corners; ++k) {
            const Floats volume = dot(edge[k], way);
            least = min(least, volume);
            most = max(most, volume);
        }
        possible &= bits((none - slack <= least) | (most <= slack));
        if (possible == 0)
            continue;
        const Floats along = dot(normal, way);
        const Floats before = turn_sign(off, along);
        const Floats beyond = turn_sign(off - to * along, along);
        const Floats steep = magnitude(along);
        possible &=
            bits((steep <= slack_along) | ((none - slack_before <= before) & (beyond <= slack_beyond)));
        unsigned certain = possible & bits(((slack < least) | (most < none - slack)) & (slack_along < steep) &
                                           (slack_before < before) & (beyond < none - slack_beyond));
        if (is_cutout)
            certain = 0;
        for (unsigned doubtful = possible & ~certain; doubtful; doubtful &= doubtful - 1) {
            const int lane = lowest_bit(doubtful);
            const float direction[3] = {rays.x[i + lane], rays.y[i + lane], rays.z[i + lane]};
            FacetMeeting meeting;
            if (stops(tree, facet, rays.origin, direction, 0, rays.far_end, meeting))
                certain |= 1u << lane;
        }
        stopped |= static_cast<std::uint64_t>(certain) << i;
    }
    return stopped;
}

std::uint64_t find_stopped(const TreeView& tree, std::uint32_t facet, const SpotRays& rays,
                           std::uint64_t wanted) {
    return facet & leaf_bit ? find_stopped_by<4>(tree, facet, rays, wanted)
                            : find_stopped_by<3>(tree, facet, rays, wanted);
}

// Cells of a cube map about one point
// ----------------------------------------------------------------------------

/// The axes of a face: along it, and the two across.
struct FaceAxes {
    int main, a, b;
    bool is_back;
    explicit FaceAxes(int face)
        : main(face / 2), a(main == 2 ? 0 : main + 1), b(main == 0 ? 2 : main - 1), is_back((face & 1) != 0) {
    }
};

/// Ranges of slopes, a lane each.
struct SlopeRange {
    Floats a0, a1, b0, b1;
};

constexpr float nearest_depth = 1e-4f; // below it slopes are bounded by the box alone

/// Slopes that a box can have in a face, which end at 1: bounded only on the side that the box lies on where
/// it reaches behind the centre.
inline SlopeRange slopes_of_box(const Floats* low, const Floats* high, const FaceAxes& axes,
                                const Floats& nearest, const Floats& farthest) {
    const Floats none(0.0f), one(1.0f);
    const Floats by_near = one / max(nearest, Floats(nearest_depth));
    const Floats by_far = one / max(farthest, Floats(nearest_depth));
    const Mask is_wide = nearest <= Floats(nearest_depth);
    const auto least = [&](const Floats& x) {
        return select(is_wide, select(none < x, x * by_far, Floats(-1.0f)), min(x * by_near, x * by_far));
    };
    const auto most = [&](const Floats& x) {
        return select(is_wide, select(x < none, x * by_far, one), max(x * by_near, x * by_far));
    };
    return {least(low[axes.a]), most(high[axes.a]), least(low[axes.b]), most(high[axes.b])};
}

/// Slopes that a facet has, enlarged by a radius: the hull of boxes about its corners. `low`, `high`: the box
/// of the corners themselves; `nearest`, `farthest`: its depth, enlarged.
template <int corners>
SlopeRange slopes_of_facet(const Points* p, const Floats* low, const Floats* high, const FaceAxes& axes,
                           const Floats& radius, const Floats& nearest, const Floats& farthest) {
    const Floats none(0.0f), one(1.0f);
    SlopeRange slopes{Floats(infinite), Floats(-infinite), Floats(infinite), Floats(-infinite)};
    for (int k = 0; k < corners; ++k) {
        const Floats depth = axes.is_back ? none - axis_of(p[k], axes.main) : axis_of(p[k], axes.main);
        const Floats by_near = one / max(depth - radius, Floats(nearest_depth));
        const Floats by_far = one / max(depth + radius, Floats(nearest_depth));
        const Floats a = axis_of(p[k], axes.a), b = axis_of(p[k], axes.b);
        slopes.a0 = min(slopes.a0, min((a - radius) * by_near, (a - radius) * by_far));
        slopes.a1 = max(slopes.a1, max((a + radius) * by_near, (a + radius) * by_far));
        slopes.b0 = min(slopes.b0, min((b - radius) * by_near, (b - radius) * by_far));
        slopes.b1 = max(slopes.b1, max((b + radius) * by_near, (b + radius) * by_far));
    }
    const Mask is_wide = nearest <= Floats(nearest_depth);
    if (bits(is_wide)) {
        Floats roomy_low[3], roomy_high[3];
        for (int axis = 0; axis < 3; ++axis)
            roomy_low[axis] = low[axis] - radius, roomy_high[axis] = high[axis] + radius;
        const SlopeRange wide = slopes_of_box(roomy_low, roomy_high, axes, nearest, farthest);
        slopes = {select(is_wide, wide.a0, slopes.a0), select(is_wide, wide.a1, slopes.a1),
                  select(is_wide, wide.b0, slopes.b0), select(is_wide, wide.b1, slopes.b1)};
    }
    return slopes;
}

/// The cells (or tiles) of a face that slopes cover, roomy; empty where a1 < 0 and the like.
inline SlopeRange cells_of(const SlopeRange& slopes, const CellFace& face, float share) {
    const Floats a_scale(face.a_scale * share), b_scale(face.b_scale * share);
    const Floats room(2e-3f);
    constexpr float rounding = 16 * unit;
    return {(slopes.a0 - Floats(face.a0 + rounding)) * a_scale - room,
            (slopes.a1 - Floats(face.a0 - rounding)) * a_scale + room,
            (slopes.b0 - Floats(face.b0 + rounding)) * b_scale - room,
            (slopes.b1 - Floats(face.b0 - rounding)) * b_scale + room};
}

/// Planes and edges of a block's facets, a lane each, scaled so that one comparison tells what a sensor sees
/// past one.
template <int corners> struct Shades {
    float edge[corners][3][lanes];
    float normal[3][lanes];
    float open_plane[lanes],
        open_edges[lanes]; ///< nothing is hidden where normal.s or min edge.s + normal.s is below
    float dark_plane[lanes],
        dark_edges[lanes]; ///< all is where normal.s is above and normal.s - min edge.s below
};

/// The planes of triangles in double precision: long thin ones, which walls are cut into, would lose the
/// tenth of a millimetre by which sensors stand before their plane.
inline void find_planes(const Points* p, Points& normal, Floats& plane) {
    float corner[3][3][lanes], made[4][lanes];
    for (int k = 0; k < 3; ++k)
        store_points(corner[k], p[k]);
    for (int lane = 0; lane < lanes; ++lane) {
        double one[3], other[3];
        for (int axis = 0; axis < 3; ++axis) {
            one[axis] =
                static_cast<double>(corner[1][axis][lane]) - static_cast<double>(corner[0][axis][lane]);
            other[axis] =
                static_cast<double>(corner[2][axis][lane]) - static_cast<double>(corner[0][axis][lane]);
        }
        const double n[3] = {one[1] * other[2] - one[2] * other[1], one[2] * other[0] - one[0] * other[2],
                             one[0] * other[1] - one[1] * other[0]};
        double offset = 0;
        for (int axis = 0; axis < 3; ++axis) {
            offset += n[axis] * static_cast<double>(corner[0][axis][lane]);
            made[axis][lane] = static_cast<float>(n[axis]);
        }
        made[3][lane] = static_cast<float>(offset);
    }
    normal = load_points(made);
    plane = load(made[3]);
}

class SuspectFinder {
public:
    SuspectFinder(const TreeView& tree, const CellView& cells, Ledger& ledger)
        : tree_(tree), cells_(cells), ledger_(ledger) {}

    void find(FacetRef root) {
        FacetRef stack[stack_size];
        int size = 0;
        stack[size++] = root;
        while (size > 0) {
            const FacetRef at = stack[--size];
            if (at & block_bit) {
                if (at & leaf_bit)
                    meet(tree_.leaves[at & index_mask]);
                else
                    meet(tree_.triangles[at & index_mask]);
                continue;
            }
            const TreeNode& node = tree_.nodes[at];
            for (unsigned wanted = find_wanted(node); wanted; wanted &= wanted - 1) {
                const FacetRef child = node.child[lowest_bit(wanted)];
                fetch_block(tree_, child);
                stack[size++] = child;
            }
        }
    }

private:
    /// Children whose box, as much larger as the lens, covers a tile with a sensor behind its near side.
    unsigned find_wanted(const TreeNode& node) const {
        Floats low[3], high[3];
        for (int axis = 0; axis < 3; ++axis) {
            low[axis] = load(node.side[0][axis]) - Floats(cells_.centre[axis]) - Floats(cells_.radius);
            high[axis] = load(node.side[1][axis]) - Floats(cells_.centre[axis]) + Floats(cells_.radius);
        }
        const Floats none(0.0f);
        unsigned wanted = 0;
        for (int f = 0; f < 6; ++f) {
            const CellFace& face = cells_.faces[f];
            if (face.count == 0)
                continue;
            const FaceAxes axes(f);
            const Floats farthest = axes.is_back ? none - low[axes.main] : high[axes.main];
            const Floats nearest = axes.is_back ? none - high[axes.main] : low[axes.main];
            unsigned left = bits((none <= farthest) & (nearest <= Floats(face.far))) & ~wanted;
            if (left == 0)
                continue;
            const SlopeRange tiles =
                cells_of(slopes_of_box(low, high, axes, nearest, farthest), face,
                         static_cast<float>(face_tiles) / static_cast<float>(face.cells));
            left &= bits((tiles.a0 < Floats(face_tiles)) & (tiles.b0 < Floats(face_tiles)) &
                         (none <= tiles.a1) & (none <= tiles.b1));
            if (left == 0)
                continue;
            const Floats last(face_tiles - 1.0f);
            float a0[lanes], a1[lanes], b0[lanes], b1[lanes], depth[lanes];
            store(a0, max(none, tiles.a0)), store(a1, min(last, tiles.a1));
            store(b0, max(none, tiles.b0)), store(b1, min(last, tiles.b1));
            store(depth, nearest);
            for (; left; left &= left - 1) {
                const int lane = lowest_bit(left);
                if (has_deeper(f, static_cast<int>(a0[lane]), static_cast<int>(a1[lane]),
                               static_cast<int>(b0[lane]), static_cast<int>(b1[lane]), depth[lane]))
                    wanted |= 1u << lane;
            }
        }
        return wanted;
    }

    bool has_deeper(int face, int a0, int a1, int b0, int b1, float depth) const {
        for (int b = b0; b <= b1; ++b)
            for (int a = a0; a <= a1; ++a)
                if (cells_.tile_far[face][b][a] >= depth && cells_.tile_far[face][b][a] >= 0)
                    return true;
        return false;
    }

    template <int corners> void meet(const FacetBlock<corners>& block) {
        const Points centre = splat(cells_.centre);
        Points p[corners];
        for (int k = 0; k < corners; ++k)
            p[k] = load_points(block.corner[k]) - centre;
        Floats low[3], high[3];
        for (int axis = 0; axis < 3; ++axis) {
            low[axis] = high[axis] = axis_of(p[0], axis);
            for (int k = 1; k < corners; ++k) {
                low[axis] = min(low[axis], axis_of(p[k], axis));
                high[axis] = max(high[axis], axis_of(p[k], axis));
            }
        }
        const Floats none(0.0f), radius(cells_.radius);
        Shades<corners> shades;
        bool is_ready = false;
        for (int f = 0; f < 6; ++f) {
            const CellFace& face = cells_.faces[f];
            if (face.count == 0)
                continue;
            const FaceAxes axes(f);
            const Floats farthest = (axes.is_back ? none - low[axes.main] : high[axes.main]) + radius;
            const Floats nearest = (axes.is_back ? none - high[axes.main] : low[axes.main]) - radius;
            const unsigned is_there = bits((none <= farthest) & (nearest <= Floats(face.far)));
            if (is_there == 0)
                continue;
            // What a sensor sees past is within the facet enlarged by the lens.
            const SlopeRange range =
                cells_of(slopes_of_facet<corners>(p, low, high, axes, radius, nearest, farthest), face, 1);
            const Floats cells(static_cast<float>(face.cells)), last(static_cast<float>(face.cells - 1));
            unsigned left =
                is_there & ((1u << block.count) - 1) &
                bits((range.a0 < cells) & (range.b0 < cells) & (none <= range.a1) & (none <= range.b1));
            if (left == 0)
                continue;
            if (!is_ready) {
                make_shades(block, p, low, high, shades);
                is_ready = true;
            }
            float a0[lanes], a1[lanes], b0[lanes], b1[lanes];
            store(a0, max(none, range.a0)), store(a1, min(last, range.a1));
            store(b0, max(none, range.b0)), store(b1, min(last, range.b1));
            const std::uint32_t* start = cells_.start + face.first;
            for (; left; left &= left - 1) {
                const int lane = lowest_bit(left);
                const std::uint32_t facet = block.facet[lane] | (corners == 4 ? leaf_bit : 0);
                const int from = static_cast<int>(a0[lane]), to = static_cast<int>(a1[lane]);
                const int first = static_cast<int>(b0[lane]), final = static_cast<int>(b1[lane]);
                if (from == 0 && to == face.cells - 1)
                    look_past(shades, lane, facet, start[first * face.cells],
                              start[final * face.cells + to + 1]);
                else
                    for (int row = first; row <= final; ++row)
                        look_past(shades, lane, facet, start[row * face.cells + from],
                                  start[row * face.cells + to + 1]);
            }
        }
    }

    /// A line from sensor s to spot q crosses the facet's plane n.x = D at x = q + t (s - q). With the centre
    /// of the spots as origin and m the unit normal of the plane through it and an edge, inwards, x is inside
    /// the edge where m.x = (1 - t) m.q + t m.s >= 0. As |m.q| <= R and (1 - t) / t <= (n.s - D) / (D - n.q),
    /// every such x is inside where q0 m.s >= n.s - D, and none where q0 m.s <= D - n.s, q0 = (D - max n.q) /
    /// R.
    ///
    /// Slacks. P: the farthest corner, S: the farthest sensor, L: the facet's size, N: an edge's p x e.
    /// Corners and sensors less the centre are off by u P and u S, as if every line were shifted by that: all
    /// lines within u (S + P) of a sensor must agree, and the radius holds as much. n = e x e is off by 6 u
    /// L^2, of triangles by u |n|, n.s - D by u (S + P) (5 |n| + 6 L^2) or 5 u (S + P) |n|, and m.s by u S (9
    /// + 8 P |e| / |N|).
    template <int corners>
    void make_shades(const FacetBlock<corners>& block, const Points* p, const Floats* low, const Floats* high,
                     Shades<corners>& shades) const {
        const Floats none(0.0f), least_square(1e-30f);
        Points edge[corners];
        Floats square[corners];
        Floats farthest = none, tilt = none;
        for (int k = 0; k < corners; ++k) {
            const Points along = p[k + 1 < corners ? k + 1 : 0] - p[k];
            edge[k] = cross(p[k], along);
            square[k] = max(dot(edge[k], edge[k]), least_square);
            farthest = max(farthest, dot(p[k], p[k]));
            tilt = max(tilt, dot(along, along) / square[k]);
        }
        tilt = square_root(tilt * farthest) * Floats(1.0001f);
        farthest = square_root(farthest) * Floats(1.0001f);
        Points normal;
        Floats plane;
        if (corners == 3) {
            find_planes(p, normal, plane);
        } else {
            normal = cross(p[2] - p[0], p[corners - 1] - p[1]);
            plane = dot(normal, p[0]);
        }
        const Floats side = plane;
        plane = magnitude(plane);
        normal = {turn_sign(normal.x, side), turn_sign(normal.y, side), turn_sign(normal.z, side)};
        const Floats length = square_root(dot(normal, normal));
        const Floats size = load(block.size);
        const Floats reach(cells_.reach);
        const Floats across = corners == 3 ? none : Floats(8.0f) * size * size;
        const Floats plane_slack = Floats(unit) * (reach + farthest) * (Floats(6.0f) * length + across);
        Floats shift = Floats(2 * unit) * (reach + farthest);
        if (corners == 4) // a leaf's corners are off its plane by their own rounding
            shift = shift + Floats(8 * unit) * (Floats(cells_.from_origin) + farthest);
        // How far the spots reach towards the plane.
        const Floats upright = normal.z / max(length, least_square);
        const Floats steepness = min(Floats(1.0f), magnitude(upright));
        const Floats limit = select(normal.z < none, Floats(cells_.below), Floats(cells_.above));
        const Floats level = square_root(max(none, Floats(1.0f) - steepness * steepness)) + Floats(5e-4f);
        const Floats radius(cells_.radius);
        const Floats cut = square_root(max(none, radius * radius - limit * limit)) * level +
                           limit * (steepness + Floats(4 * unit));
        const Floats support = select(limit < radius * steepness, min(cut, radius), radius);
        const Floats clear = plane - support * length - plane_slack - shift * length;
        // Seen from level spots that all rays end above, a facet at their height hides nothing.
        Mask is_harmless = none < none;
        if (cells_.is_level)
            is_harmless = (high[2] <= none) & (none <= low[2]);
        const Mask is_cut = clear <= none;
        const Floats gap(cells_.end_gap);
        const Floats factor = select(
            is_cut, none, max(none, clear - gap * length) / ((radius + shift) * Floats(1 + 16 * unit)));
        const Floats edge_slack = factor * Floats(unit) * reach * (Floats(10.0f) + Floats(8.0f) * tilt);
        const Floats slack = plane_slack + edge_slack + shift * (length + factor);
        const Floats keep = select(is_cut, none, Floats(1.0f));
        normal = {normal.x * keep, normal.y * keep, normal.z * keep};
        const Floats never(-infinite), always(infinite);
        const Floats bound = select(is_cut, never, plane - slack);
        store(shades.open_plane,
              select(is_harmless, always, select(is_cut, never, plane - plane_slack - shift * length)));
        store(shades.open_edges, bound);
        store(shades.dark_plane, select(is_cut, always, plane + plane_slack + shift * length));
        store(shades.dark_edges, bound);
        if (corners == 3)
            for (int lane = 0; lane < lanes; ++lane)
                if (block.facet[lane] >= tree_.first_cutout) // light may pass it anywhere
                    shades.dark_edges[lane] = -infinite;
        store_points(shades.normal, normal);
        for (int k = 0; k < corners; ++k) {
            const Floats scale = turn_sign(factor / square_root(square[k]), side);
            store_points(shades.edge[k], {edge[k].x * scale, edge[k].y * scale, edge[k].z * scale});
        }
    }

    template <int corners>
    void look_past(const Shades<corners>& shades, int lane, std::uint32_t facet, std::uint32_t from,
                   std::uint32_t to) {
        const Points normal = splat_lane(shades.normal, lane);
        Points edge[corners];
        for (int k = 0; k < corners; ++k)
            edge[k] = splat_lane(shades.edge[k], lane);
        const Floats open_plane(shades.open_plane[lane]), open_edges(shades.open_edges[lane]);
        const Floats dark_plane(shades.dark_plane[lane]), dark_edges(shades.dark_edges[lane]);
        for (std::uint32_t i = from; i < to; i += lanes) {
            const Points sensor{load(cells_.x + i), load(cells_.y + i), load(cells_.z + i)};
            const Floats at = dot(normal, sensor);
            Floats least = dot(edge[0], sensor);
            for (int k = 1; k < corners; ++k)
                least = min(least, dot(edge[k], sensor));
            unsigned hidden = ~bits((at <= open_plane) | (least + at < open_edges)) & 0xffu;
            if (i + lanes > to)
                hidden &= (1u << (to - i)) - 1;
            if (hidden == 0)
                continue;
            const unsigned is_dark = bits((at - least < dark_edges) & (dark_plane < at));
            std::uint8_t* byte = ledger_.dark + (i >> 3);
            const unsigned shift = i & 7;
            const unsigned known = (byte[0] | static_cast<unsigned>(byte[1]) << 8) >> shift;
            const unsigned fresh = (hidden & is_dark & ~known) << shift;
            byte[0] |= static_cast<std::uint8_t>(fresh);
            byte[1] |= static_cast<std::uint8_t>(fresh >> 8);
            for (unsigned doubtful = hidden & ~is_dark & ~known; doubtful; doubtful &= doubtful - 1) {
                const std::uint32_t s = i + static_cast<std::uint32_t>(lowest_bit(doubtful));
                if (ledger_.count == ledger_.capacity)
                    ledger_.grow(ledger_);
                ledger_.suspects[ledger_.count] = {ledger_.head[s], facet};
                ledger_.head[s] = ledger_.count++;
            }
        }
    }

    const TreeView& tree_;
    const CellView& cells_;
    Ledger& ledger_;
};

void find_suspects(const TreeView& tree, const CellView& cells, const FacetRef* refs, std::size_t count,
                   Ledger& ledger) {
    SuspectFinder finder(tree, cells, ledger);
    for (std::size_t i = 0; i < count; ++i)
        finder.find(refs[i]);
}

} // namespace
} // namespace duskcast

#include "lane_hits.inl"

namespace duskcast {
namespace {

constexpr LaneKernels own_kernels(const char* name) {
    return {name, is_occluded, find_nearest, find_nearest_facets, find_suspects, find_stopped};
}

} // namespace
} // namespace duskcast
