#include "sensor_lattice.hpp"

#include <algorithm>
#include <limits>

namespace duskcast {

namespace {

/// Light runs straight enough between two sensors that are nearer to each other than a share of the distance
/// to what lights them: all but a little of it, where everything is read off, or any of it, by bands.
constexpr float near_sides = 4, far_sides = 8;
constexpr float widest_block = 1.3f; ///< metres from one linked sensor to the next, at most
constexpr int most_steps = 16;       ///< the same in sensors
constexpr float wide_block = 0.65f;  ///< metres: beyond that little is not little enough
constexpr float fine_block = 0.21f;  ///< metres: patches resolve little more, and the share is smaller
constexpr float near_sides_fine = 0.5f;
constexpr float finest_block = 0.11f; ///< metres: whatever is near

constexpr double least_far = 0.05; ///< of what corners see, for bands to be read off between them
// What stands near hides what is far from one corner and not from the next. In a sector that shows by shares
// that are farther apart than a distant edge or chance accounts for.
constexpr double usual_change = 0.25;
constexpr double usual_scatter = 2.5; ///< standard deviations
constexpr double most_apart = 0.03;   ///< of what corners see

constexpr std::size_t most_without_grid = 5'000; ///< sensors; more are read off between patches

/// Sensors from one corner of a block to the next, before any is halved.
int stride_of(const SensorGrid& grid) {
    return std::clamp(static_cast<int>(static_cast<double>(widest_block) / grid.step), 1, most_steps);
}

} // namespace

void SensorLattice::choose(const Look& look, const Nearest& nearest, const Seen& seen) {
    std::vector<SensorLook> alone;
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
                choice_[i].first_band = 0;
                alone.push_back({.sensor = i, .spacing = 0});
            }
    }
    look(alone);
    while (!blocks.empty()) {
        look_from_corners(blocks, look, seen);
        blocks = refine(blocks, nearest, seen);
    }
    for (std::uint32_t i = 0; i < even_.size(); ++i)
        put_claimed_between(i);
    for (std::uint32_t i = 0; i < choice_.size(); ++i)
        if (is_chosen(i))
            put_between_far(i, choice_[i].cell, choice_[i].far);
}

std::vector<std::uint32_t> SensorLattice::chosen() const {
    std::vector<std::uint32_t> all;
    for (std::uint32_t i = 0; i < choice_.size(); ++i)
        if (is_chosen(i))
            all.push_back(i);
    return all;
}

DistanceBands SensorLattice::bands_of(const Surface& surface) {
    const int stride = stride_of(surface.grid);
    DistanceBands bands{.first =
                            far_sides * static_cast<float>(surface.grid.step) * static_cast<float>(stride)};
    for (int side = stride; side > 1 && bands.count < DistanceBands::most; side = (side + 1) / 2)
        ++bands.count;
    return bands;
}

void SensorLattice::look_from_corners(const std::vector<Block>& blocks, const Look& look, const Seen& seen) {
    std::vector<SensorLook> looks;
    for (const Block& block : blocks)
        for (std::size_t k = 0; k < block.corners.size(); ++k) {
            const std::uint32_t sensor = block.sensor(k);
            const int first_band = first_band_of(block);
            Choice& choice = choice_[sensor];
            if (choice.first_band <= first_band)
                continue;
            choice = {block.far, block.corners[k], first_band};
            looks.push_back({sensor, block.side(), bands_of(*block.surface), first_band,
                             read_beyond(block.far, block.corners[k], seen)});
        }
    // Of a sensor that two blocks ask for, the look at more bands.
    std::erase_if(looks,
                  [&](const SensorLook& one) { return one.first_band != choice_[one.sensor].first_band; });
    look(looks);
}

void SensorLattice::add_blocks(const Surface& surface, std::vector<Block>& blocks) {
    const SensorGrid& grid = surface.grid;
    const int stride = stride_of(grid);
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
                                                        const Nearest& nearest, const Seen& seen) {
    std::vector<Block> finer;
    for (Block block : blocks) {
        const glm::ivec2 size = block.high - block.low;
        if (std::max(size.x, size.y) <= 1 || block.side() < 2 * finest_)
            continue;
        std::uint32_t far = block.far;
        const bool is_far = is_far_from_all(block, nearest);
        if ((is_far || sees_far_alike(block, seen)) && is_even(block) && !is_crossed(block)) {
            if (is_far) {
                claim(block);
                continue;
            }
            far = static_cast<std::uint32_t>(far_.size());
            far_.push_back(block);
        }
        const glm::ivec2 middle = (block.low + block.high) / 2;
        for (const bool is_upper : {false, true})
            for (const bool is_right : {false, true}) {
                if ((is_right && size.x < 2) || (is_upper && size.y < 2))
                    continue;
                Block part = block;
                part.far = far;
                ++part.level;
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

void SensorLattice::claim(const Block& block) {
    for (int row = block.low.y; row <= block.high.y; ++row)
        for (int column = block.low.x; column <= block.high.x; ++column)
            if (const std::int32_t sensor = block.surface->grid.at(column, row); sensor >= 0)
                claim_[sensor] = static_cast<std::uint32_t>(even_.size());
    even_.push_back(block);
}

bool SensorLattice::is_far_from_all(const Block& block, const Nearest& nearest) const {
    const float side = block.side();
    const float least = side * (side < finest_block ? 0
                                : side < fine_block ? near_sides_fine
                                : side < wide_block ? near_sides
                                                    : far_sides);
    for (std::size_t k = 0; k < block.corners.size(); ++k)
        if (!(nearest(block.sensor(k)) > least))
            return false;
    return true;
}

bool SensorLattice::sees_far_alike(const Block& block, const Seen& seen) const {
    const int first = first_band_of(block);
    if (block.level >= bands_of(*block.surface).count - 1)
        return false;
    std::array<BandSeen, 4> far{};
    double all = 0, of_far = 0, apart = 0; // sums over the corners
    for (std::size_t k = 0; k < far.size(); ++k)
        for (int band = 0; band < bands_of(*block.surface).count; ++band) {
            const BandSeen* one = seen(block.sensor(k), band);
            if (!one)
                return false;
            all += static_cast<double>(one->all.seen);
            if (band < first || band > block.level)
                continue;
            of_far += static_cast<double>(one->all.seen);
            for (int s = 0; s < BandSeen::sectors; ++s) {
                far[k].sector[s].open += one->sector[s].open;
                far[k].sector[s].seen += one->sector[s].seen;
                far[k].rays[s] += one->rays[s];
            }
        }
    if (!(of_far > least_far * all))
        return false;
    for (int s = 0; s < BandSeen::sectors; ++s) {
        double open = 0, seen_there = 0, low = 1, high = 0, rays = 1e9;
        for (const BandSeen& one : far) {
            const auto own_open = static_cast<double>(one.sector[s].open),
                       own_seen = static_cast<double>(one.sector[s].seen);
            const double share = own_open > 0 ? own_seen / own_open : 0;
            open += own_open;
            seen_there += own_seen;
            low = std::min(low, share);
            high = std::max(high, share);
            rays = std::min(rays, static_cast<double>(one.rays[s]));
        }
        if (!(open > 0))
            continue;
        const double mean = std::min(1.0, seen_there / open);
        const double scatter = std::sqrt(2 * mean * (1 - mean) / std::max(1.0, rays));
        apart += open * std::max(0.0, high - low - usual_change - usual_scatter * scatter);
    }
    return apart < most_apart * all;
}

FlatSeen SensorLattice::read_beyond(std::uint32_t far, const glm::ivec2& cell, const Seen& seen) const {
    FlatSeen sum;
    for (; far != none; far = far_[far].far) {
        const Block& block = far_[far];
        const std::array<float, 4> weight = Weights(block, stage_.sensors).at(cell);
        for (std::size_t k = 0; k < weight.size(); ++k)
            for (int band = first_band_of(block); band <= block.level; ++band) {
                const FlatSeen& of = seen(block.sensor(k), band)->all;
                sum.seen += weight[k] * of.seen;
                sum.open += weight[k] * of.open;
            }
    }
    return {std::max(0.0f, sum.seen), std::max(0.0f, sum.open)};
}

void SensorLattice::put_claimed_between(std::uint32_t even) {
    const Block& block = even_[even];
    const Weights weights(block, stage_.sensors);
    for (int row = block.low.y; row <= block.high.y; ++row)
        for (int column = block.low.x; column <= block.high.x; ++column)
            if (const std::int32_t place = block.surface->grid.at(column, row); place >= 0)
                if (const auto sensor = static_cast<std::uint32_t>(place);
                    claim_[sensor] == even && !is_chosen(sensor))
                    put_between(sensor, {column, row}, block, weights, DistanceBands::most - 1);
}

void SensorLattice::put_between(std::uint32_t sensor, const glm::ivec2& cell, const Block& block,
                                const Weights& weights, int last_band) {
    LatticeBetween& entry = between_.emplace_back(LatticeBetween{.sensor = sensor});
    for (std::size_t k = 0; k < block.corners.size(); ++k)
        entry.others[k] = block.sensor(k);
    entry.weight = weights.at(cell);
    entry.first_band = first_band_of(block);
    entry.last_band = last_band;
    put_between_far(sensor, cell, block.far);
}

void SensorLattice::put_between_far(std::uint32_t sensor, const glm::ivec2& cell, std::uint32_t far) {
    if (far != none)
        put_between(sensor, cell, far_[far], Weights(far_[far], stage_.sensors), far_[far].level);
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

SensorLattice::Weights::Weights(const Block& block, const Sensors& sensors)
    : block_(block), sensors_(sensors) {
    if (!block.is_fitted)
        return;
    const glm::vec3 normal = sensors.normal(block.sensor(0));
    across_ = glm::normalize(
                  glm::cross(std::abs(normal.z) < 0.9f ? glm::vec3(0, 0, 1) : glm::vec3(1, 0, 0), normal)) /
              static_cast<float>(block.surface->grid.step);
    upward_ = glm::cross(normal, across_);
    for (std::size_t k = 0; k < corner_.size(); ++k)
        middle_ += 0.25f * sensors.position(block.sensor(k));
    glm::mat2 sum(0);
    for (std::size_t k = 0; k < corner_.size(); ++k) {
        corner_[k] = place(block.sensor(k));
        sum += glm::outerProduct(corner_[k], corner_[k]);
    }
    // Corners less than half a step off a line would guess what is beside it.
    constexpr float least = 0.25f;
    const float half = 0.5f * (sum[0][0] + sum[1][1]);
    const float apart = std::hypot(0.5f * (sum[0][0] - sum[1][1]), sum[0][1]);
    if (half - apart > least)
        inverse_ = glm::inverse(sum);
    else if (const float along = half + apart; along > least)
        inverse_ = sum / (along * along);
}

glm::vec2 SensorLattice::Weights::place(std::uint32_t sensor) const {
    const glm::vec3 way = sensors_.position(sensor) - middle_;
    return {glm::dot(way, across_), glm::dot(way, upward_)};
}

std::array<float, 4> SensorLattice::Weights::at(const glm::ivec2& cell) const {
    if (!block_.is_fitted) {
        const glm::vec2 at =
            glm::vec2(cell - block_.low) / glm::max(glm::vec2(block_.high - block_.low), 1.0f);
        return {(1 - at.x) * (1 - at.y), at.x * (1 - at.y), (1 - at.x) * at.y, at.x * at.y};
    }
    std::array<float, 4> weights;
    const glm::vec2 way =
        inverse_ * place(static_cast<std::uint32_t>(block_.surface->grid.at(cell.x, cell.y)));
    for (std::size_t k = 0; k < weights.size(); ++k)
        weights[k] = 0.25f + glm::dot(way, corner_[k]);
    return weights;
}

bool SensorLattice::is_even(Block& block) const {
    if (!is_alike(block))
        return false;
    block.is_fitted = !block.is_whole();
    if (is_known(block))
        return true;
    if (block.is_fitted)
        return false;
    block.is_fitted = true;
    return is_known(block);
}

bool SensorLattice::is_alike(const Block& block) const {
    const Sensors& sensors = stage_.sensors;
    for (int row = block.low.y; row <= block.high.y; ++row)
        for (int column = block.low.x; column <= block.high.x; ++column)
            if (const std::int32_t sensor = block.surface->grid.at(column, row);
                sensor >= 0 && (glm::dot(sensors.normal(sensor), sensors.normal(block.sensor(0))) < 0.9999f ||
                                is_buried_[sensor] != is_buried_[block.sensor(0)]))
                return false;
    return true;
}

bool SensorLattice::is_known(const Block& block) const {
    constexpr float most_beyond = -0.5f; // of a corner's light that is taken off
    const Sensors& sensors = stage_.sensors;
    const float slack = 0.1f * static_cast<float>(block.surface->grid.step);
    const Weights weights(block, sensors);
    for (int row = block.low.y; row <= block.high.y; ++row)
        for (int column = block.low.x; column <= block.high.x; ++column) {
            const std::int32_t sensor = block.surface->grid.at(column, row);
            if (sensor < 0)
                continue;
            const std::array<float, 4> of = weights.at({column, row});
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

} // namespace duskcast
