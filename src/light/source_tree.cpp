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

} // namespace

SourceTree::SourceTree(const Patches& patches, std::span<const Cover> covers)
    : cell_of_(patches.size(), none), middle_(patches.size(), glm::vec2(0)), neighbours_(patches.size()),
      count_(patches.size()) {
    for (std::uint32_t f = 0; f < patches.faces().size(); ++f) {
        const Patches::Face& face = patches.faces()[f];
        for (const bool is_front : {true, false}) {
            const std::vector<std::uint32_t>& grid = is_front ? face.front : face.back;
            if (grid.empty())
                continue;
            const std::uint32_t root =
                build(patches, covers, face, grid, {0, 0}, glm::uvec2(face.columns(), face.rows()));
            if (root != none)
                planes_.push_back({f, is_front, root, is_front ? face.normal : -face.normal});
        }
    }
    for (std::uint32_t i = 0; i < patches.size(); ++i) {
        if (has_patch(i) && covers[i].open < 1)
            open_spots_.insert(open_spots_.end(), covers[i].spots.begin(), covers[i].spots.end());
        first_spot_.push_back(static_cast<std::uint32_t>(open_spots_.size()));
        if (const std::uint32_t right = patches.right[i]; right != none) {
            neighbours_[i].right = right;
            neighbours_[right].left = i;
        }
        if (const std::uint32_t above = patches.above[i]; above != none) {
            neighbours_[i].above = above;
            neighbours_[above].below = i;
        }
    }
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
        middle_[patch] = {around.place_u(glm::dot(centroid, face.across)),
                          around.place_v(glm::dot(centroid, face.upward))};
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
    whole.source = static_cast<std::uint32_t>(count_++);
    whole.area = nodes_[first].area + nodes_[second].area;
    whole.filled = static_cast<float>((nodes_[first].sending() + nodes_[second].sending()) / around.area());
    return index;
}

std::vector<SourceLight> SourceTree::gather_light(std::span<const PatchLight> sent) const {
    std::vector<SourceLight> lights(count_);
    for (std::size_t i = 0; i < sent.size(); ++i)
        lights[i].sent = sent[i];
    for (std::uint32_t i = static_cast<std::uint32_t>(nodes_.size()); i-- > 0;)
        if (nodes_[i].is_cell())
            lights[nodes_[i].source] = cell_light(nodes_[i], sent);
        else
            lights[nodes_[i].source] = joined_light(i, lights);
    return lights;
}

/// Within a cell light is taken to run as straight as between its neighbours.
SourceLight SourceTree::cell_light(const Node& cell, std::span<const PatchLight> sent) const {
    const std::uint32_t patch = cell.source;
    SourceLight light{.sent = sent[patch], .centroid_u = middle_[patch].x, .centroid_v = middle_[patch].y};
    const double own = luminance_of(sent[patch].rgb());
    if (!(own > 0))
        return light;
    /// The share by which light grows from the middle to the edge, at most all of it.
    const auto growth = [&](std::uint32_t before, std::uint32_t after, bool is_across) {
        const auto middle = [&](std::uint32_t of) {
            const PlaneRectangle place = nodes_[cell_of_[of]].rectangle();
            return is_across ? place.middle_u() : place.middle_v();
        };
        const std::uint32_t low = before == none || cell_of_[before] == none ? patch : before;
        const std::uint32_t high = after == none || cell_of_[after] == none ? patch : after;
        if (low == high)
            return 0.0;
        const double slope =
            (luminance_of(sent[high].rgb()) - luminance_of(sent[low].rgb())) / (middle(high) - middle(low));
        const PlaneRectangle place = cell.rectangle();
        return std::clamp(slope * (is_across ? place.width() : place.height()) / 2 / own, -1.0, 1.0);
    };
    const Neighbours& beside = neighbours_[patch];
    light.centroid_u += static_cast<float>(growth(beside.left, beside.right, true) / 3);
    light.centroid_v += static_cast<float>(growth(beside.below, beside.above, false) / 3);
    return light;
}

SourceLight SourceTree::joined_light(std::uint32_t index, std::span<const SourceLight> lights) const {
    const PlaneRectangle around = nodes_[index].rectangle();
    glm::dvec3 sum(0);
    double sending = 0, weight = 0, u = 0, v = 0;
    for (const std::uint32_t half : {index + 1, nodes_[index].second}) {
        const SourceLight& light = lights[nodes_[half].source];
        const PlaneRectangle place = nodes_[half].rectangle();
        const double area = nodes_[half].sending();
        sum += area * light.sent.rgb();
        sending += area;
        const double lumens = area * luminance_of(light.sent.rgb());
        weight += lumens;
        u += lumens * (place.middle_u() + static_cast<double>(light.centroid_u) * place.width() / 2);
        v += lumens * (place.middle_v() + static_cast<double>(light.centroid_v) * place.height() / 2);
    }
    SourceLight light;
    if (!(weight > 0))
        return light;
    sum /= sending;
    light.sent = {static_cast<float>(sum.x), static_cast<float>(sum.y), static_cast<float>(sum.z), 0};
    light.centroid_u = static_cast<float>(around.place_u(u / weight));
    light.centroid_v = static_cast<float>(around.place_v(v / weight));
    return light;
}

std::size_t SourceTree::bytes() const {
    return nodes_.size() * sizeof(Node) + open_spots_.size() * sizeof(glm::vec3) +
           cell_of_.size() * (sizeof(std::uint32_t) + sizeof(glm::vec2) + sizeof(Neighbours));
}

} // namespace duskcast
