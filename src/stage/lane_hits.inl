// Nearest hits of many directions from one point, part of lane_kernels.inl. Facets pass over the directions
// that they cover; those that are nearer beyond rounding take the place of what was found before, and the few
// where floats do not tell are decided by meet_facet.

namespace duskcast {
namespace {

/// The edges and planes of a block's facets in all that rays from one point need, a lane each; the bounds are
/// those of meet_block.
template <int corners> struct HitTargets {
    float edge[corners][3][lanes];
    float normal[3][lanes];
    float offset[lanes];
    float edge_slack[lanes], plane_slack[lanes], along_slack[lanes];

    HitTargets(const FacetBlock<corners>& block, const Points* p, float ray_length) {
        for (int k = 0; k < corners; ++k) {
            const Points& a = p[k];
            const Points& b = p[k + 1 < corners ? k + 1 : 0];
            store_points(edge[k], cross(b - a, b + a));
        }
        const Points across =
            corners == 3 ? cross(p[1] - p[0], p[2] - p[0]) : cross(p[2] - p[0], p[corners - 1] - p[1]);
        store_points(normal, across);
        store(offset, dot(across, p[0]));
        const Floats size = load(block.size), length(ray_length);
        const Floats farthest = magnitude(p[0].x) + magnitude(p[0].y) + magnitude(p[0].z) + size;
        const Floats scale = Floats(unit) * size * (Floats(4.0f) * farthest + Floats(16.0f) * size);
        store(edge_slack, size * farthest * (Floats(32 * unit) * length));
        store(plane_slack, scale * farthest);
        store(along_slack, scale * length);
    }
};

class HitFinder {
public:
    HitFinder(const TreeView& tree, const DirectionView& directions, const float* origin, float near_end,
              float far_end, const NearestFacets& nearest)
        : tree_(tree), directions_(directions), origin_(origin), near_end_(near_end), far_end_(far_end),
          nearest_(nearest), axes_(directions.side) {
        for (std::uint32_t& facet : known_)
            facet = no_facets;
    }

    void find() {
        struct Waiting {
            FacetRef ref;
            float depth;
        };
        Waiting stack[stack_size];
        int size = 0;
        stack[size++] = {tree_.root, 0};
        while (size > 0) {
            const Waiting at = stack[--size];
            if (at.ref & block_bit) {
                if (at.ref & leaf_bit)
                    meet(tree_.leaves[at.ref & index_mask]);
                else
                    meet(tree_.triangles[at.ref & index_mask]);
                continue;
            }
            const TreeNode& node = tree_.nodes[at.ref];
            float depths[lanes];
            const int base = size;
            for (unsigned wanted = find_wanted(node, depths); wanted; wanted &= wanted - 1) {
                const int lane = lowest_bit(wanted); // the nearest on top
                int place = size++;
                for (; place > base && stack[place - 1].depth < depths[lane]; --place)
                    stack[place] = stack[place - 1];
                stack[place] = {node.child[lane], depths[lane]};
                fetch_block(tree_, node.child[lane]);
            }
        }
    }

private:
    /// Which cells of the face a range covers, cut to the rows asked for.
    unsigned find_covered(SlopeRange& range) const {
        const Floats none(0.0f), cells(static_cast<float>(directions_.face->cells));
        const Floats first(static_cast<float>(directions_.first_row));
        const Floats end(static_cast<float>(directions_.last_row + 1));
        const unsigned covered =
            bits((range.a0 < cells) & (none <= range.a1) & (range.b0 < end) & (first <= range.b1));
        range = {max(none, range.a0), min(cells - Floats(1.0f), range.a1), max(first, range.b0),
                 min(end - Floats(1.0f), range.b1)};
        return covered;
    }

    /// Children whose box covers some of the cells; their depths.
    unsigned find_wanted(const TreeNode& node, float* depths) const {
        Floats low[3], high[3];
        for (int axis = 0; axis < 3; ++axis) {
            low[axis] = load(node.side[0][axis]) - Floats(origin_[axis]);
            high[axis] = load(node.side[1][axis]) - Floats(origin_[axis]);
        }
        const Floats none(0.0f);
        const Floats farthest = axes_.is_back ? none - low[axes_.main] : high[axes_.main];
        const Floats nearest = axes_.is_back ? none - high[axes_.main] : low[axes_.main];
        SlopeRange cells = cells_of(slopes_of_box(low, high, axes_, nearest, farthest), *directions_.face, 1);
        store(depths, nearest);
        return bits(none <= farthest) & find_covered(cells);
    }

    template <int corners> void meet(const FacetBlock<corners>& block) {
        const Points origin = splat(origin_);
        Points p[corners];
        for (int k = 0; k < corners; ++k)
            p[k] = load_points(block.corner[k]) - origin;
        Floats low[3], high[3];
        for (int axis = 0; axis < 3; ++axis) {
            low[axis] = high[axis] = axis_of(p[0], axis);
            for (int k = 1; k < corners; ++k) {
                low[axis] = min(low[axis], axis_of(p[k], axis));
                high[axis] = max(high[axis], axis_of(p[k], axis));
            }
        }
        const Floats none(0.0f);
        const Floats farthest = axes_.is_back ? none - low[axes_.main] : high[axes_.main];
        const Floats nearest = axes_.is_back ? none - high[axes_.main] : low[axes_.main];
        SlopeRange range = cells_of(slopes_of_facet<corners>(p, low, high, axes_, none, nearest, farthest),
                                    *directions_.face, 1);
        unsigned left = bits(none <= farthest) & find_covered(range) & ((1u << block.count) - 1);
        if (left == 0)
            return;
        const HitTargets<corners> targets(block, p, directions_.length);
        float a0[lanes], a1[lanes], b0[lanes], b1[lanes];
        store(a0, range.a0), store(a1, range.a1), store(b0, range.b0), store(b1, range.b1);
        const int cells = directions_.face->cells;
        for (; left; left &= left - 1) {
            const int lane = lowest_bit(left);
            const std::uint32_t facet = block.facet[lane] | (corners == 4 ? leaf_bit : 0);
            const int from = static_cast<int>(a0[lane]), to = static_cast<int>(a1[lane]);
            const int first = static_cast<int>(b0[lane]) - directions_.first_row;
            const int final = static_cast<int>(b1[lane]) - directions_.first_row;
            if (from == 0 && to == cells - 1)
                look(targets, lane, facet, directions_.start[first * cells],
                     directions_.start[(final + 1) * cells]);
            else
                for (int row = first; row <= final; ++row)
                    look(targets, lane, facet, directions_.start[row * cells + from],
                         directions_.start[row * cells + to + 1]);
        }
    }

    /// The facet in directions from..to-1. With n the normal and o the plane's offset as floats, a ray d
    /// meets the facet at a distance t with |o - t n.d| <= plane_slack + t along_slack, and so at most
    /// (plane_slack + t along_slack) / (|n.d| - along_slack) away from o / n.d.
    template <int corners>
    void look(const HitTargets<corners>& targets, int lane, std::uint32_t facet, std::uint32_t from,
              std::uint32_t to) {
        const Floats none(0.0f);
        Points edge[corners];
        for (int k = 0; k < corners; ++k)
            edge[k] = splat_lane(targets.edge[k], lane);
        const Points normal = splat_lane(targets.normal, lane);
        const Floats offset(targets.offset[lane]), edge_slack(targets.edge_slack[lane]);
        const Floats plane_slack(targets.plane_slack[lane]), along_slack(targets.along_slack[lane]),
            start(near_end_);
        const bool is_cutout = corners == 3 && facet >= tree_.first_cutout;
        for (std::uint32_t i = from; i < to; i += lanes) {
            const Points way{load(directions_.x + i), load(directions_.y + i), load(directions_.z + i)};
            Floats least = dot(edge[0], way);
            Floats most = least;
            for (int k = 1; k < corners; ++k) {
                const Floats volume = dot(edge[k], way);
                least = min(least, volume);
                most = max(most, volume);
            }
            unsigned possible = bits((none - edge_slack <= least) | (most <= edge_slack));
            if (i + lanes > to)
                possible &= (1u << (to - i)) - 1;
            if (possible == 0)
                continue;
            const Floats high = load(nearest_.high + i), low = load(nearest_.low + i);
            const Floats along = dot(normal, way);
            const Floats steep = magnitude(along);
            const Floats ahead = turn_sign(offset, along);
            const Floats before = ahead - start * steep;
            const Floats before_slack = plane_slack + start * along_slack;
            possible &=
                bits((steep <= along_slack) | ((none - before_slack <= before) &
                                               (ahead - high * steep <= plane_slack + high * along_slack)));
            if (possible == 0)
                continue;
            unsigned certain = 0;
            if (!is_cutout)
                certain = possible & bits(((edge_slack < least) | (most < none - edge_slack)) &
                                          (along_slack + along_slack < steep) & (before_slack < before) &
                                          (ahead - low * steep < none - (plane_slack + low * along_slack)));
            if (certain != 0) {
                const Floats distance = ahead / steep;
                const Floats room =
                    (plane_slack + distance * along_slack) / (steep - along_slack) * Floats(1.0001f) +
                    distance * Floats(8 * unit);
                float lows[lanes], highs[lanes];
                store(lows, max(none, distance - room));
                store(highs, distance + room);
                for (unsigned some = certain; some; some &= some - 1) {
                    const int which = lowest_bit(some);
                    nearest_.facet[i + which] = facet;
                    nearest_.low[i + which] = lows[which];
                    nearest_.high[i + which] = highs[which];
                }
            }
            for (unsigned doubtful = possible & ~certain; doubtful; doubtful &= doubtful - 1)
                decide(i + static_cast<std::uint32_t>(lowest_bit(doubtful)), facet);
        }
    }

    /// Whether the facet is the nearest so far in direction i, by the verdict.
    void decide(std::uint32_t i, std::uint32_t facet) {
        const float direction[3] = {directions_.x[i], directions_.y[i], directions_.z[i]};
        FacetMeeting meeting;
        if (!meet_facet(see(facet), direction, near_end_, far_end_, meeting))
            return;
        if (!(facet & leaf_bit) && facet >= tree_.first_cutout &&
            tree_.is_see_through(tree_.stage, facet - tree_.first_cutout, meeting.u, meeting.v))
            return;
        const std::uint32_t other = nearest_.facet[i];
        if (other != no_facets) {
            // Of two at one distance the one with the lower number, as find_nearest.
            const double distance = find_distance(see(other), direction);
            if (meeting.distance > distance || (meeting.distance == distance && facet > other))
                return;
        }
        const auto distance = static_cast<float>(meeting.distance);
        nearest_.facet[i] = facet;
        nearest_.low[i] = distance * (1 - 8 * unit);
        nearest_.high[i] = distance * (1 + 8 * unit);
    }

    const SeenFacet& see(std::uint32_t facet) {
        const std::uint32_t place = (facet ^ facet >> 6) & (known_count - 1);
        if (known_[place] != facet) {
            known_[place] = facet;
            see_facet(corners_of(tree_, facet), facet & leaf_bit ? 4 : 3, origin_, seen_[place]);
        }
        return seen_[place];
    }

    static constexpr std::uint32_t known_count = 64;

    const TreeView& tree_;
    const DirectionView& directions_;
    const float* origin_;
    float near_end_, far_end_;
    const NearestFacets& nearest_;
    FaceAxes axes_;
    std::uint32_t known_[known_count];
    SeenFacet seen_[known_count];
};

void find_nearest_facets(const TreeView& tree, const DirectionView& directions, const float* origin,
                         float near_end, float far_end, const NearestFacets& nearest) {
    if (tree.root != no_facets)
        HitFinder(tree, directions, origin, near_end, far_end, nearest).find();
}

} // namespace
} // namespace duskcast
