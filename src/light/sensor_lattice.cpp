#include "sensor_lattice.hpp"

#include <algorithm>
#include <limits>

namespace duskcast {

namespace {

/// Light runs straight enough between two sensors that are nearer to each other than a share of the distance
/// to what lights them.
constexpr float near_sides = 4;
constexpr float largest_block = 0.65f; ///< metres from one linked sensor to the next, at most
constexpr int most_steps = 8;          ///< the same in sensors
constexpr float fine_block = 0.21f;    ///< metres: patches resolve little more, and the share is smaller
constexpr float near_sides_fine = 0.5f;
constexpr float finest_block = 0.11f; ///< metres: whatever is near

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
            for (std::size_t k = 0; k < block.corners.size(); ++k)
                if (const std::uint32_t corner = block.sensor(k); !is_chosen_[corner]) {
                    is_chosen_[corner] = 1;
                    corners.push_back(corner);
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
            if (Block block{
                    &surface,
                    {column, row},
                    {std::min(column + stride, grid.columns - 1), std::min(row + stride, grid.rows - 1)}};
                block.find_corners())
                blocks.push_back(block);
}

std::vector<SensorLattice::Block> SensorLattice::refine(const std::vector<Block>& blocks,
                                                        const Nearest& nearest) {
    std::vector<Block> finer;
    for (const Block& block : blocks) {
        const glm::ivec2 size = block.high - block.low;
        if (std::max(size.x, size.y) <= 1 || block.side() < 2 * finest_ || put_between(block, nearest))
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
                if (part.find_corners())
                    finer.push_back(part);
            }
    }
    return finer;
}

bool SensorLattice::put_between(const Block& block, const Nearest& nearest) {
    const float side = block.side();
    const float least = side * (side < finest_block ? 0 : side < fine_block ? near_sides_fine : near_sides);
    for (std::size_t k = 0; k < block.corners.size(); ++k)
        if (!(nearest(block.sensor(k)) > least))
            return false;
    const Weights weights(block);
    if (!weights.are_known() || !is_even(block, weights) || is_crossed(block))
        return false;
    for (int row = block.low.y; row <= block.high.y; ++row)
        for (int column = block.low.x; column <= block.high.x; ++column) {
            const std::int32_t sensor = block.surface->grid.at(column, row);
            if (sensor < 0)
                continue;
            SensorBetween& entry = entry_of(static_cast<std::uint32_t>(sensor));
            for (std::size_t k = 0; k < block.corners.size(); ++k)
                entry.others[k] = block.sensor(k);
            entry.weight = weights.at(column, row);
        }
    return true;
}

bool SensorLattice::Block::find_corners() {
    const std::array<glm::ivec2, 4> wanted{low, {high.x, low.y}, {low.x, high.y}, high};
    std::array<int, 4> squares;
    squares.fill(std::numeric_limits<int>::max());
    for (int row = low.y; row <= high.y; ++row)
        for (int column = low.x; column <= high.x; ++column) {
            if (surface->grid.at(column, row) < 0)
                continue;
            for (std::size_t k = 0; k < corners.size(); ++k) {
                const glm::ivec2 way = glm::ivec2(column, row) - wanted[k];
                if (const int square = way.x * way.x + way.y * way.y; square < squares[k]) {
                    squares[k] = square;
                    corners[k] = {column, row};
                }
            }
        }
    return squares[0] < std::numeric_limits<int>::max();
}

SensorLattice::Weights::Weights(const Block& block)
    : block_(block), is_whole_(block.is_whole()), is_known_(is_whole_) {
    if (is_whole_)
        return;
    for (const glm::ivec2& corner : block.corners)
        middle_ += 0.25f * glm::vec2(corner);
    glm::mat2 sum(0);
    for (const glm::ivec2& corner : block.corners) {
        const glm::vec2 off = glm::vec2(corner) - middle_;
        sum += glm::outerProduct(off, off);
    }
    // Sensors a row apart at the least, or what is off the line would be guessed.
    is_known_ = glm::determinant(sum) > 0.25f;
    if (is_known_)
        inverse_ = glm::inverse(sum);
}

std::array<float, 4> SensorLattice::Weights::at(int column, int row) const {
    if (is_whole_) {
        const glm::vec2 at = glm::vec2(glm::ivec2(column, row) - block_.low) /
                             glm::max(glm::vec2(block_.high - block_.low), 1.0f);
        return {(1 - at.x) * (1 - at.y), at.x * (1 - at.y), (1 - at.x) * at.y, at.x * at.y};
    }
    std::array<float, 4> weights;
    const glm::vec2 way = inverse_ * (glm::vec2(column, row) - middle_);
    for (std::size_t k = 0; k < weights.size(); ++k)
        weights[k] = 0.25f + glm::dot(way, glm::vec2(block_.corners[k]) - middle_);
    return weights;
}

bool SensorLattice::is_even(const Block& block, const Weights& weights) const {
    constexpr float most_beyond = -0.5f; // of a corner's light that is taken off
    const Sensors& sensors = stage_.sensors;
    const float slack = 0.1f * static_cast<float>(block.surface->grid.step);
    for (int row = block.low.y; row <= block.high.y; ++row)
        for (int column = block.low.x; column <= block.high.x; ++column) {
            const std::int32_t sensor = block.surface->grid.at(column, row);
            if (sensor < 0)
                continue;
            if (glm::dot(sensors.normal(sensor), sensors.normal(block.sensor(0))) < 0.9999f ||
                is_buried_[sensor] != is_buried_[block.sensor(0)])
                return false;
            const std::array<float, 4> of = weights.at(column, row);
            glm::vec3 place(0);
            for (std::size_t k = 0; k < of.size(); ++k) {
                if (of[k] < most_beyond)
                    return false;
                place += of[k] * sensors.position(block.sensor(k));
            }
            if (glm::distance(place, sensors.position(sensor)) > slack)
                return false;
        }
    return true;
}

bool SensorLattice::is_crossed(const Block& block) const {
    const Sensors& sensors = stage_.sensors;
    std::array<Ray, 2> rays;
    for (std::size_t k = 0; k < rays.size(); ++k) {
        const std::uint32_t from = block.sensor(k), to = block.sensor(3 - k);
        rays[k] = make_ray(step_off(sensors.position(from), sensors.normal(from)),
                           step_off(sensors.position(to), sensors.normal(to)), 1);
    }
    stage_.kernel->find_occluded(rays, Coherence::incoherent);
    return rays[0].is_occluded() || rays[1].is_occluded();
}

SensorBetween& SensorLattice::entry_of(std::uint32_t sensor) {
    if (place_[sensor] == no_place) {
        place_[sensor] = static_cast<std::uint32_t>(between_.size());
        between_.push_back({.sensor = sensor});
    }
    return between_[place_[sensor]];
}

} // namespace duskcast
