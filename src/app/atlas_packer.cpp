#include "atlas_packer.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "duskcast/base/sort_stably.hpp"

namespace duskcast {
namespace {

constexpr int least_atlas_width = 64;

} // namespace

void fill_gaps(AtlasTile& tile) {
    std::vector<std::array<int, 2>> edge;
    for (int row = 0; row < tile.height; ++row)
        for (int column = 0; column < tile.width; ++column)
            if (tile.at(column, row) >= 0)
                edge.push_back({column, row});
    constexpr std::array<std::array<int, 2>, 4> ways{{{-1, 0}, {1, 0}, {0, -1}, {0, 1}}};
    for (std::size_t next = 0; next < edge.size(); ++next) { // it grows while it is walked along
        const auto [column, row] = edge[next];
        for (const auto& [right, up] : ways) {
            const int c = column + right, r = row + up;
            if (c < 0 || r < 0 || c >= tile.width || r >= tile.height || tile.at(c, r) >= 0)
                continue;
            tile.at(c, r) = tile.at(column, row);
            edge.push_back({c, r});
        }
    }
}

LightAtlas pack_atlas(std::vector<AtlasTile>& tiles) {
    // Shelves, the highest tiles first.
    std::vector<std::size_t> order(tiles.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    sort_stably(order, [&](std::size_t a, std::size_t b) { return tiles[a].height > tiles[b].height; });
    double area = 0;
    int widest = least_atlas_width;
    for (const AtlasTile& tile : tiles) {
        area += static_cast<double>(tile.width) * tile.height;
        widest = std::max(widest, tile.width);
    }
    LightAtlas atlas{.width = std::max(widest, static_cast<int>(std::ceil(std::sqrt(area))))};
    int left = 0, low = 0;
    for (const std::size_t index : order) {
        AtlasTile& tile = tiles[index];
        if (left + tile.width > atlas.width) {
            left = 0;
            low = atlas.height;
        }
        tile.left = left;
        tile.low = low;
        left += tile.width;
        atlas.height = std::max(atlas.height, low + tile.height);
    }
    atlas.sensor.assign(static_cast<std::size_t>(atlas.width) * static_cast<std::size_t>(atlas.height), -1);
    for (AtlasTile& tile : tiles)
        for (int row = 0; row < tile.height; ++row)
            for (int column = 0; column < tile.width; ++column)
                atlas.sensor[static_cast<std::size_t>(tile.low + row) * atlas.width + tile.left + column] =
                    tile.at(column, row);
    return atlas;
}

} // namespace duskcast
