#include "duskcast/light/source_tree.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {

namespace {

/// Leaves off rows and columns without a cell at the edges of a range; false when none is there.
template <class IsThere> bool shrink_to(const IsThere& is_there, glm::uvec2& low, glm::uvec2& high) {
    glm::uvec2 least = high, most = low;
    for (unsigned row = low.y; row < high.y; ++row)
        for (unsigned column = low.x; column < high.x; ++column)
            if (is_there(column, row)) {
                least = glm::min(least, glm::uvec2(column, row));
                most = glm::max(most, glm::uvec2(column + 1, row + 1));
            }
    low = least;
    high = most;
    return low.x < high.x && low.y < high.y;
}

struct GridCut {
    int axis;     ///< 0: across u
    unsigned at;  ///< edge
    bool is_wall; ///< something stands there
};

/// Where something stands on the face; else across the longer side, at the edge next to the middle.
GridCut find_cut(const Patches::Face& face, const glm::uvec2& low, const glm::uvec2& high) {
    for (const Patches::Barrier& barrier : face.barriers) {
        const std::vector<float>& along = barrier.axis == 0 ? face.v : face.u;
        const int other = 1 - barrier.axis;
        if (barrier.edge > low[barrier.axis] && barrier.edge < high[barrier.axis] &&
            barrier.from < static_cast<double>(along[high[other]]) &&
            barrier.to > static_cast<double>(along[low[other]]))
            return {barrier.axis, static_cast<unsigned>(barrier.edge), true};
    }
    const float width = face.u[high.x] - face.u[low.x], height = face.v[high.y] - face.v[low.y];
    const int axis = high.y - low.y == 1 || (high.x - low.x > 1 && width >= height) ? 0 : 1;
    const std::vector<float>& edges = axis == 0 ? face.u : face.v;
    const float middle = (edges[low[axis]] + edges[high[axis]]) / 2;
    auto cut = static_cast<unsigned>(
        std::lower_bound(edges.begin() + low[axis], edges.begin() + high[axis], middle) - edges.begin());
    if (middle - edges[cut - 1] < edges[cut] - middle)
        --cut;
    return {axis, std::clamp(cut, low[axis] + 1, high[axis] - 1), false};
}

constexpr double whole_side = 32767; ///< of a rectangle's half side, where its halves are placed

/// Of each patch the cells to its left and below it, or none.
struct Before {
    std::vector<std::uint32_t> left, below;
};

template <class Cells> Before find_before(const Cells& cells, std::size_t patches) {
    constexpr std::uint32_t none = SourceTree::none;
    Before before{std::vector(patches, none), std::vector(patches, none)};
    for (const auto& cell : cells) {
        if (cell.right != none)
            before.left[cell.right] = cell.patch;
        if (cell.above != none)
            before.below[cell.above] = cell.patch;
    }
    return before;
}

/// Of two halves of a rectangle, whose middles and sides are in parts of `whole_side` of its half sides.
SourceLight join_light(float first_share, const std::array<glm::i16vec2, 2>& middle,
                       const std::array<glm::i16vec2, 2>& side, const SourceLight& first,
                       const SourceLight& second) {
    const glm::dvec3 first_sent = static_cast<double>(first_share) * first.sent.rgb(),
                     second_sent = (1 - static_cast<double>(first_share)) * second.sent.rgb();
    const glm::dvec3 sum = first_sent + second_sent;
    const std::array<double, 2> weight{duskcast::luminance_of(first_sent),
                                       duskcast::luminance_of(second_sent)};
    if (!(weight[0] + weight[1] > 0))
        return {};
    const std::array<glm::dvec2, 2> centroid{glm::dvec2(first.centroid_u, first.centroid_v),
                                             glm::dvec2(second.centroid_u, second.centroid_v)};
    glm::dvec2 place(0);
    for (std::size_t k = 0; k < centroid.size(); ++k)
        place += weight[k] * (glm::dvec2(middle[k]) + glm::dvec2(side[k]) * centroid[k]);
    place /= (weight[0] + weight[1]) * whole_side;
    return {.sent = {static_cast<float>(sum.x), static_cast<float>(sum.y), static_cast<float>(sum.z), 0},
            .centroid_u = static_cast<float>(place.x),
            .centroid_v = static_cast<float>(place.y)};
}

} // namespace

SourceTree::SourceTree(const Patches& patches, std::span<const Cover> covers)
    : cell_of_(patches.size(), none), patches_(patches.size()) {
    for (std::uint32_t f = 0; f < patches.faces().size(); ++f) {
        const Patches::Face& face = patches.faces()[f];
        for (const bool is_front : {true, false}) {
            const std::vector<std::uint32_t>& grid = is_front ? face.front : face.back;
            if (grid.empty())
                continue;
            const std::uint32_t root =
                build(patches, covers, face, grid, {0, 0}, glm::uvec2(face.columns(), face.rows()));
            if (root == none)
                continue;
            const PlaneRectangle all = nodes_[root].rectangle();
            planes_.push_back({f, is_front, root, is_front ? face.normal : -face.normal,
                               face.origin + all.middle_u() * face.across + all.middle_v() * face.upward,
                               std::hypot(all.width(), all.height()) / 2});
        }
    }
    for (std::uint32_t i = 0; i < patches.size(); ++i) {
        if (has_patch(i) && covers[i].open < 1)
            open_spots_.insert(open_spots_.end(), covers[i].spots.begin(), covers[i].spots.end());
        first_spot_.push_back(static_cast<std::uint32_t>(open_spots_.size()));
    }
    list_cells(patches);
}

std::uint32_t SourceTree::build(const Patches& patches, std::span<const Cover> covers,
                                const Patches::Face& face, const std::vector<std::uint32_t>& grid,
                                glm::uvec2 low, glm::uvec2 high) {
    const auto is_there = [&](unsigned column, unsigned row) {
        const std::uint32_t patch = grid[row * face.columns() + column];
        return patch != none && patches.area[patch] > 0 && covers[patch].open > 0;
    };
    if (!shrink_to(is_there, low, high))
        return none;
    const auto index = static_cast<std::uint32_t>(nodes_.size());
    nodes_.push_back({.u0 = face.u[low.x], .u1 = face.u[high.x], .v0 = face.v[low.y], .v1 = face.v[high.y]});
    const PlaneRectangle around = nodes_[index].rectangle();
    if (high.x - low.x == 1 && high.y - low.y == 1) {
        const std::uint32_t patch = grid[low.y * face.columns() + low.x];
        Node& cell = nodes_[index];
        cell.source = patch;
        cell.area = patches.area[patch] * covers[patch].open;
        cell.filled = std::min(1.0f, cell.area / static_cast<float>(around.area())) * covers[patch].solid;
        cell_of_[patch] = index;
        const glm::dvec3 centroid = patches.centroid(patch) - face.origin;
        const auto u = static_cast<float>(around.place_u(glm::dot(centroid, face.across))),
                   v = static_cast<float>(around.place_v(glm::dot(centroid, face.upward)));
        if (constexpr float least = 1e-5f; std::max(std::abs(u), std::abs(v)) > least)
            middles_.push_back({static_cast<std::uint32_t>(cells_.size()), u, v});
        cells_.push_back({patch});
        return index;
    }
    const auto [axis, cut, is_parted] = find_cut(face, low, high);
    glm::uvec2 first_high = high, second_low = low;
    first_high[axis] = second_low[axis] = cut;
    const std::uint32_t first = build(patches, covers, face, grid, low, first_high);
    const std::uint32_t second = build(patches, covers, face, grid, second_low, high);
    Node& whole = nodes_[index];
    whole.second = second;
    whole.is_parted = is_parted || nodes_[first].is_parted || nodes_[second].is_parted;
    whole.source = static_cast<std::uint32_t>(source_count());
    whole.area = nodes_[first].area + nodes_[second].area;
    whole.filled = static_cast<float>((nodes_[first].sending() + nodes_[second].sending()) / around.area());
    joins_.push_back(join_halves(index));
    return index;
}

void SourceTree::list_cells(const Patches& patches) {
    const auto cell_at_side = [&](std::uint32_t patch) {
        return patch != none && has_patch(patch) ? patch : none;
    };
    for (Cell& cell : cells_) {
        cell.right = cell_at_side(patches.right[cell.patch]);
        cell.above = cell_at_side(patches.above[cell.patch]);
    }
    const Before before = find_before(cells_, patches_);
    for (Cell& cell : cells_) {
        const auto place_of = [&](std::uint32_t patch) {
            return nodes_[cell_of_[patch == none ? cell.patch : patch]].rectangle();
        };
        const PlaneRectangle own = place_of(cell.patch);
        const double across = place_of(cell.right).middle_u() - place_of(before.left[cell.patch]).middle_u(),
                     upward = place_of(cell.above).middle_v() - place_of(before.below[cell.patch]).middle_v();
        cell.across = static_cast<float>(across > 0 ? own.width() / 2 / across : 0);
        cell.upward = static_cast<float>(upward > 0 ? own.height() / 2 / upward : 0);
    }
    cells_.shrink_to_fit();
    middles_.shrink_to_fit();
    joins_.shrink_to_fit();
}

SourceTree::Join SourceTree::join_halves(std::uint32_t index) const {
    const std::array<const Node*, 2> halves{&nodes_[index + 1], &nodes_[nodes_[index].second]};
    const PlaneRectangle around = nodes_[index].rectangle();
    const double sending = halves[0]->sending() + halves[1]->sending();
    Join join{.first = halves[0]->source,
              .second = halves[1]->source,
              .first_share = static_cast<float>(sending > 0 ? halves[0]->sending() / sending : 0.5),
              .middle = {},
              .side = {}};
    for (std::size_t k = 0; k < halves.size(); ++k) {
        const PlaneRectangle place = halves[k]->rectangle();
        const glm::dvec2 middle(around.place_u(place.middle_u()), around.place_v(place.middle_v())),
            side(place.width() / around.width(), place.height() / around.height());
        join.middle[k] = glm::i16vec2(glm::round(whole_side * middle));
        join.side[k] = glm::i16vec2(glm::round(whole_side * side));
    }
    return join;
}

std::vector<SourceLight> SourceTree::gather_light(std::span<const PatchLight> sent) const {
    std::vector<SourceLight> lights(source_count());
    std::vector<float> luminance(patches_);
    for (std::size_t i = 0; i < patches_; ++i) {
        lights[i].sent = sent[i];
        luminance[i] = static_cast<float>(luminance_of(sent[i].rgb()));
    }
    const Before before = find_before(cells_, patches_);
    for (const Cell& cell : cells_) {
        const float own = luminance[cell.patch];
        if (!(own > 0))
            continue;
        /// The share by which light grows from the middle to the edge, at most all of it.
        const auto growth = [&](std::uint32_t low_side, std::uint32_t high_side, float half_side) {
            const float low = low_side == none ? own : luminance[low_side],
                        high = high_side == none ? own : luminance[high_side];
            return std::clamp(half_side * (high - low) / own, -1.0f, 1.0f);
        };
        lights[cell.patch].centroid_u = growth(before.left[cell.patch], cell.right, cell.across) / 3;
        lights[cell.patch].centroid_v = growth(before.below[cell.patch], cell.above, cell.upward) / 3;
    }
    for (const Middle& middle : middles_) {
        SourceLight& light = lights[cells_[middle.cell].patch];
        light.centroid_u += middle.u;
        light.centroid_v += middle.v;
    }
    for (std::size_t k = 0; k < joins_.size(); ++k)
        lights[patches_ + k] = join_light(joins_[k].first_share, joins_[k].middle, joins_[k].side,
                                          lights[joins_[k].first], lights[joins_[k].second]);
    return lights;
}

void SourceTree::drop_tracing() {
    planes_ = {};
    nodes_ = {};
    cell_of_ = {};
    first_spot_ = {};
    open_spots_ = {};
}

std::size_t SourceTree::bytes() const {
    return cells_.size() * sizeof(Cell) + middles_.size() * sizeof(Middle) + joins_.size() * sizeof(Join);
}

} // namespace duskcast
