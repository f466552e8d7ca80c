#include "sensor_lattice.hpp"

#include <algorithm>

namespace duskcast {

namespace {

/// Light runs straight enough between two sensors that are nearer to each other than a share of the distance
/// to what lights them.
constexpr float near_sides = 2;
constexpr float largest_block = 1.0f; ///< metres from one linked sensor to the next, at most
constexpr int most_steps = 8;         ///< the same in sensors
constexpr float fine_block = 0.11f;   ///< metres: patches resolve little more, and the share is smaller
constexpr float near_sides_fine = 0.5f;

constexpr std::size_t most_without_grid = 5'000; ///< sensors; more are read off between patches

} // namespace

void SensorLattice::choose(const Look& look, const Nearest& nearest) {
    std::vector<std::uint32_t> alone;
    std::vector<Block> blocks;
    std::size_t without_grid = 0;
    for (const Surface& surface : stage_.surfaces)
        without_grid += !surface.has_grid() && surface.first < stage_.first_leaf_sensor ? surface.count : 0;
    for (const Surface& surface : stage_.surfaces) {
        if (surface.first >= stage_.first_leaf_sensor)
            continue;
        if (surface.has_grid())
            add_blocks(surface, blocks);
        else if (without_grid <= most_without_grid)
            for (std::uint32_t i = surface.first; i < surface.first + surface.count; ++i) {
                is_chosen_[i] = 1;
                alone.push_back(i);
            }
    }
    look(alone, std::vector<float>(alone.size(), 0.0f));
    while (!blocks.empty()) {
        std::vector<std::uint32_t> corners;
        std::vector<float> spacing;
        for (const Block& block : blocks)
            for (const std::int32_t corner : block.corners())
                if (corner != nothing && !is_chosen_[corner]) {
                    is_chosen_[corner] = 1;
                    corners.push_back(static_cast<std::uint32_t>(corner));
                    spacing.push_back(block.side());
                }
        look(corners, spacing);
        blocks = refine(blocks, nearest);
    }
    std::erase_if(between_, [&](const SensorBetween& one) { return is_chosen_[one.sensor] != 0; });
}

std::vector<std::uint32_t> SensorLattice::chosen() const {
    std::vector<std::uint32_t> all;
    for (std::uint32_t i = 0; i < is_chosen_.size(); ++i)
        if (is_chosen_[i])
            all.push_back(i);
    return all;
}
void SensorLattice::add_blocks(const Surface& surface, std::vector<Block>& blocks) {
    const SensorGrid& grid = surface.grid;
    const int stride =
        std::clamp(static_cast<int>(static_cast<double>(largest_block) / grid.step), 1, most_steps);
    for (int row = 0; row == 0 || row + 1 < grid.rows; row += stride)
        for (int column = 0; column == 0 || column + 1 < grid.columns; column += stride)
            blocks.push_back(
                {&surface,
                 {column, row},
                 {std::min(column + stride, grid.columns - 1), std::min(row + stride, grid.rows - 1)}});
}

std::vector<SensorLattice::Block> SensorLattice::refine(const std::vector<Block>& blocks,
                                                        const Nearest& nearest) {
    std::vector<Block> finer;
    for (const Block& block : blocks) {
        const glm::ivec2 size = block.high - block.low;
        if (std::max(size.x, size.y) <= 1 || put_between(block, nearest))
            continue;
        const glm::ivec2 middle = (block.low + block.high) / 2;
        for (const bool is_upper : {false, true})
            for (const bool is_right : {false, true}) {
                if ((is_right && size.x < 2) || (is_upper && size.y < 2))
                    continue;
                Block part = block;
                if (size.x >= 2)
                    (is_right ? part.low : part.high).x = middle.x;
                if (size.y >= 2)
                    (is_upper ? part.low : part.high).y = middle.y;
                finer.push_back(part);
            }
    }
    return finer;
}

bool SensorLattice::put_between(const Block& block, const Nearest& nearest) {
    const std::array<std::int32_t, 4> corners = block.corners();
    const float least = block.side() * (block.side() < fine_block ? near_sides_fine : near_sides);
    for (const std::int32_t corner : corners)
        if (corner == nothing || !(nearest(static_cast<std::uint32_t>(corner)) > least))
            return false;
    if (!is_even(block))
        return false;
    for (int row = block.low.y; row <= block.high.y; ++row)
        for (int column = block.low.x; column <= block.high.x; ++column) {
            SensorBetween& entry = entry_of(static_cast<std::uint32_t>(block.surface->grid.at(column, row)));
            std::copy(corners.begin(), corners.end(), entry.others.begin());
            entry.weight = block.weights(column, row);
        }
    return true;
}

std::array<float, 4> SensorLattice::Block::weights(int column, int row) const {
    const glm::vec2 at = glm::vec2(glm::ivec2(column, row) - low) / glm::max(glm::vec2(high - low), 1.0f);
    return {(1 - at.x) * (1 - at.y), at.x * (1 - at.y), (1 - at.x) * at.y, at.x * at.y};
}

bool SensorLattice::is_even(const Block& block) const {
    const Sensors& sensors = stage_.sensors;
    const std::array<std::int32_t, 4> corners = block.corners();
    const float slack = 0.1f * static_cast<float>(block.surface->grid.step);
    for (int row = block.low.y; row <= block.high.y; ++row)
        for (int column = block.low.x; column <= block.high.x; ++column) {
            const std::int32_t sensor = block.surface->grid.at(column, row);
            if (sensor == nothing || glm::dot(sensors.normal(sensor), sensors.normal(corners[0])) < 0.9999f)
                return false;
            const std::array<float, 4> weights = block.weights(column, row);
            glm::vec3 place(0);
            for (int k = 0; k < 4; ++k)
                place += weights[k] * sensors.position(corners[k]);
            if (glm::distance(place, sensors.position(sensor)) > slack)
                return false;
        }
    return true;
}

SensorBetween& SensorLattice::entry_of(std::uint32_t sensor) {
    if (place_[sensor] == no_place) {
        place_[sensor] = static_cast<std::uint32_t>(between_.size());
        between_.push_back({.sensor = sensor});
    }
    return between_[place_[sensor]];
}

} // namespace duskcast
