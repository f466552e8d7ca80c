#pragma once
// Rectangles of texels packed into one map of light.

#include <cstdint>
#include <vector>

#include "duskcast/app/stage_mesh.hpp"

namespace duskcast {

/// A rectangle of an atlas.
struct AtlasTile {
    int width = 0;
    int height = 0;
    std::vector<std::int32_t> sensor; ///< rows of columns from the lowest
    int left = 0;                     ///< in the atlas, once it is packed
    int low = 0;

    std::int32_t& at(int column, int row) {
        return sensor[static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
                      static_cast<std::size_t>(column)];
    }
};

/// Gives every empty texel (-1) the sensor of the nearest that has one, by steps to the side.
void fill_gaps(AtlasTile& tile);

/// Places the tiles and makes the atlas of them.
LightAtlas pack_atlas(std::vector<AtlasTile>& tiles);

} // namespace duskcast
