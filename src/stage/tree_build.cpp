// Binned surface area heuristic (Wald 2007), two children at a time; then nodes of eight.

#include "tree_build.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "duskcast/base/parallel.hpp"

namespace duskcast {

namespace {

constexpr float far_away = std::numeric_limits<float>::infinity();
constexpr float box_room = 1e-6f; ///< metres: a ray within a side of a box is inside it
constexpr int deepest = 48;       ///< from here on ranges are halved, so that no input makes the tree deep
constexpr std::uint32_t parallel_from = 4096;
/// Metres. What is narrower goes into one bin: the number of bins over it may be no float.
constexpr float least_width = 1e-30f;

struct FacetBox {
    std::array<float, 3> low{far_away, far_away, far_away};
    std::array<float, 3> high{-far_away, -far_away, -far_away};

    void add(const float* point) {
        for (int axis = 0; axis < 3; ++axis) {
            low[axis] = std::min(low[axis], point[axis]);
            high[axis] = std::max(high[axis], point[axis]);
        }
    }
    void add(const FacetBox& box) {
        for (int axis = 0; axis < 3; ++axis) {
            low[axis] = std::min(low[axis], box.low[axis]);
            high[axis] = std::max(high[axis], box.high[axis]);
        }
    }
    float half_area() const {
        const float x = high[0] - low[0], y = high[1] - low[1], z = high[2] - low[2];
        return x < 0 ? 0 : x * y + y * z + z * x;
    }
    float twice_middle(int axis) const { return low[axis] + high[axis]; }
};

struct BoxedFacet {
    FacetBox box;
    std::uint32_t facet;
};

/// A node of two children: the left one follows it, the right one follows what is below the left one.
struct PairNode {
    FacetBox box;
    std::uint32_t first, count;
    std::uint32_t right; ///< 0: none, the facets are in one block
};

class PairBuilder {
public:
    explicit PairBuilder(std::vector<BoxedFacet>& facets) : facets_(facets), nodes_(2 * facets.size()) {
        build(0, 0, static_cast<std::uint32_t>(facets.size()), 0);
    }
    const std::vector<PairNode>& nodes() const { return nodes_; }

private:
    static constexpr int bin_count = 16;
    struct Split {
        float cost = far_away;
        int axis = -1;
        int bin = 0;
        float from = 0, scale = 0;
    };
    static int bin_of(const BoxedFacet& facet, int axis, float from, float scale) {
        return std::min(bin_count - 1, static_cast<int>((facet.box.twice_middle(axis) - from) * scale));
    }
    static float blocks_of(std::uint32_t count) {
        return static_cast<float>((count + facet_lanes - 1) / facet_lanes);
    }

    Split find_split(std::uint32_t first, std::uint32_t last, const FacetBox& middles) const {
        std::array<std::array<FacetBox, bin_count>, 3> box;
        std::array<std::array<std::uint32_t, bin_count>, 3> count{};
        std::array<float, 3> scale{};
        for (int axis = 0; axis < 3; ++axis) {
            const float width = middles.high[axis] - middles.low[axis];
            scale[axis] = width > least_width ? bin_count * 0.9999f / width : 0;
        }
        for (std::uint32_t i = first; i < last; ++i)
            for (int axis = 0; axis < 3; ++axis) {
                const int bin = bin_of(facets_[i], axis, middles.low[axis], scale[axis]);
                box[axis][bin].add(facets_[i].box);
                ++count[axis][bin];
            }
        Split best;
        for (int axis = 0; axis < 3; ++axis) {
            std::array<float, bin_count> right_cost{};
            FacetBox sum;
            std::uint32_t total = 0;
            for (int bin = bin_count - 1; bin > 0; --bin) {
                sum.add(box[axis][bin]);
                total += count[axis][bin];
                right_cost[bin] = sum.half_area() * blocks_of(total);
            }
            sum = {};
            total = 0;
            for (int bin = 1; bin < bin_count; ++bin) {
                sum.add(box[axis][bin - 1]);
                total += count[axis][bin - 1];
                const float cost = sum.half_area() * blocks_of(total) + right_cost[bin];
                if (total > 0 && total < last - first && cost < best.cost)
                    best = {cost, axis, bin, middles.low[axis], scale[axis]};
            }
        }
        return best;
    }

    void build(std::uint32_t at, std::uint32_t first, std::uint32_t last, int depth) {
        FacetBox box, middles;
        for (std::uint32_t i = first; i < last; ++i) {
            box.add(facets_[i].box);
            const std::array<float, 3> middle{facets_[i].box.twice_middle(0), facets_[i].box.twice_middle(1),
                                              facets_[i].box.twice_middle(2)};
            middles.add(middle.data());
        }
        nodes_[at] = {box, first, last - first, 0};
        if (last - first <= facet_lanes)
            return;
        std::uint32_t middle = first + (last - first) / 2;
        if (depth < deepest)
            if (const Split split = find_split(first, last, middles); split.axis >= 0)
                middle = static_cast<std::uint32_t>(
                    std::partition(facets_.begin() + first, facets_.begin() + last,
                                   [&](const BoxedFacet& facet) {
                                       return bin_of(facet, split.axis, split.from, split.scale) < split.bin;
                                   }) -
                    facets_.begin());
        const std::uint32_t left = at + 1;
        const std::uint32_t right =
            at + 2 * (middle - first); // a subtree has less than twice its facets in nodes
        nodes_[at].right = right;
        if (last - first < parallel_from) {
            build(left, first, middle, depth + 1);
            build(right, middle, last, depth + 1);
        } else {
            parallel_pair([&] { build(left, first, middle, depth + 1); },
                          [&] { build(right, middle, last, depth + 1); });
        }
    }

    std::vector<BoxedFacet>& facets_;
    std::vector<PairNode> nodes_;
};

float longest_span(const float* corners, int count) {
    double square = 0;
    for (int i = 0; i < count; ++i)
        for (int j = 0; j < i; ++j) {
            double sum = 0;
            for (int axis = 0; axis < 3; ++axis) {
                const double gap = static_cast<double>(corners[3 * i + axis]) - corners[3 * j + axis];
                sum += gap * gap;
            }
            square = std::max(square, sum);
        }
    return static_cast<float>(std::sqrt(square) * (1 + 1e-6));
}

/// Of four corners; roomy.
float skew_of(const float* corners) {
    double square = 0;
    for (int axis = 0; axis < 3; ++axis) {
        const auto at = [&](int corner) { return static_cast<double>(corners[3 * corner + axis]); };
        const double off = (at(0) + at(2)) - (at(1) + at(3));
        square += off * off;
    }
    return static_cast<float>(std::sqrt(square) * (1 + 1e-6));
}

void set_child(TreeNode& node, int child, const FacetBox& box, FacetRef ref) {
    for (int axis = 0; axis < 3; ++axis) {
        // Roomier by more than the numbers' own step as well.
        const float low = box.low[axis] - box_room, high = box.high[axis] + box_room;
        node.side[0][axis][child] = std::min(low, std::nextafter(box.low[axis], -far_away));
        node.side[1][axis][child] = std::max(high, std::nextafter(box.high[axis], far_away));
    }
    node.child[child] = ref;
}

TreeNode empty_node() {
    TreeNode node;
    for (int child = 0; child < facet_lanes; ++child) {
        for (int axis = 0; axis < 3; ++axis) {
            node.side[0][axis][child] = far_away;
            node.side[1][axis][child] = -far_away;
        }
        node.child[child] = no_facets;
    }
    return node;
}

/// Writes one kind of facets as nodes of eight and blocks.
template <int corners> class BlockWriter {
public:
    BlockWriter(const float* facet_corners, const std::vector<BoxedFacet>& facets,
                const std::vector<PairNode>& pairs, std::vector<TreeNode>& nodes,
                std::vector<FacetBlock<corners>>& blocks)
        : corners_(facet_corners), facets_(facets), pairs_(pairs), nodes_(nodes), blocks_(blocks) {}

    FacetRef write(std::uint32_t at) {
        if (pairs_[at].right == 0)
            return write_block(pairs_[at]);
        std::array<std::uint32_t, facet_lanes> children{at + 1, pairs_[at].right};
        int count = 2;
        while (count < facet_lanes) { // opens the largest
            int largest = -1;
            float area = -1;
            for (int i = 0; i < count; ++i)
                if (pairs_[children[i]].right != 0 && pairs_[children[i]].box.half_area() > area) {
                    area = pairs_[children[i]].box.half_area();
                    largest = i;
                }
            if (largest < 0)
                break;
            const std::uint32_t open = children[largest];
            children[largest] = open + 1;
            children[count++] = pairs_[open].right;
        }
        const std::size_t own = nodes_.size();
        nodes_.push_back(empty_node());
        for (int i = 0; i < count; ++i) {
            const FacetRef ref = write(children[i]);
            set_child(nodes_[own], i, pairs_[children[i]].box, ref);
        }
        return static_cast<FacetRef>(own);
    }

private:
    FacetRef write_block(const PairNode& pair) {
        FacetBlock<corners> block{};
        block.count = pair.count;
        for (std::uint32_t lane = 0; lane < facet_lanes; ++lane) {
            const std::uint32_t facet = facets_[pair.first + std::min(lane, pair.count - 1)].facet;
            const float* from = corners_ + 3 * corners * static_cast<std::size_t>(facet);
            for (int corner = 0; corner < corners; ++corner)
                for (int axis = 0; axis < 3; ++axis)
                    block.corner[corner][axis][lane] = from[3 * corner + axis];
            block.size[lane] = longest_span(from, corners);
            block.skew[lane] = corners == 4 ? skew_of(from) : 0;
            block.facet[lane] = facet;
        }
        blocks_.push_back(block);
        return block_bit | (corners == 4 ? leaf_bit : 0) | static_cast<FacetRef>(blocks_.size() - 1);
    }

    const float* corners_;
    const std::vector<BoxedFacet>& facets_;
    const std::vector<PairNode>& pairs_;
    std::vector<TreeNode>& nodes_;
    std::vector<FacetBlock<corners>>& blocks_;
};

/// The subtree of one kind of facets, entered as a child of `root`.
template <int corners>
void add_kind(const float* facet_corners, std::size_t count, TreeNode& root, int child,
              std::vector<TreeNode>& nodes, std::vector<FacetBlock<corners>>& blocks) {
    if (count == 0)
        return;
    std::vector<BoxedFacet> facets(count);
    for (std::size_t i = 0; i < count; ++i) {
        facets[i].facet = static_cast<std::uint32_t>(i);
        for (int corner = 0; corner < corners; ++corner)
            facets[i].box.add(facet_corners + 3 * (corners * i + corner));
    }
    const PairBuilder pairs(facets);
    blocks.reserve(count / 5 + 1);
    const FacetRef ref = BlockWriter<corners>(facet_corners, facets, pairs.nodes(), nodes, blocks).write(0);
    set_child(root, child, pairs.nodes()[0].box, ref);
}

} // namespace

FacetBlocks build_blocks(const float* triangle_corners, std::size_t triangle_count, const float* leaf_corners,
                         std::size_t leaf_count) {
    FacetBlocks made;
    if (triangle_count + leaf_count == 0)
        return made;
    TreeNode root = empty_node();
    add_kind(triangle_corners, triangle_count, root, 0, made.nodes, made.triangles);
    add_kind(leaf_corners, leaf_count, root, 1, made.nodes, made.leaves);
    made.root = static_cast<FacetRef>(made.nodes.size());
    made.nodes.push_back(root);
    return made;
}

} // namespace duskcast
