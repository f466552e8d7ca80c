#pragma once
// Sensors on grids, of which some are chosen and the others lie between four of those.

#include <array>
#include <cstdint>
#include <functional>
#include <vector>

#include "duskcast/light/bounce.hpp"

namespace duskcast {

/// A sensor that looks for itself: at the bands from `first_band` on, as what is farther is read off between
/// others.
struct SensorLook {
    std::uint32_t sensor;
    float spacing; ///< metres to the next ones; 0: it stands for itself alone
    DistanceBands bands;
    int first_band = 0;
    FlatSeen beyond; ///< what those others see in the bands before
};

/// A sensor some of whose bands are read off between others; one has as many of these as it takes.
struct LatticeBetween {
    std::uint32_t sensor = 0;
    std::array<std::uint32_t, 4> others{}; ///< sensors
    std::array<float, 4> weight{};         ///< sums to 1
    int first_band = 0, last_band = 0;     ///< both included
};

/// Blocks of a grid are halved until light runs straight over them. Where only that from afar does, its bands
/// are read off between a block's corners all the same, and sensors in it look at what is nearer.
class SensorLattice {
public:
    /// Looks from the sensors chosen next.
    using Look = std::function<void(const std::vector<SensorLook>& looks)>;
    /// How far from a chosen sensor the things lie that it sees, metres; 0: not known.
    using Nearest = std::function<float(std::uint32_t sensor)>;
    /// What a chosen sensor sees in a band, or null where bands are not told apart.
    using Seen = std::function<const BandSeen*(std::uint32_t sensor, int band)>;

    /// `is_buried`: one a sensor before the leaves, 1 within a body, where no light comes.
    /// `finest`: metres between chosen sensors, below which none are chosen, whatever is near.
    SensorLattice(const Stage& stage, const std::vector<std::uint8_t>& is_buried, float finest = 0)
        : stage_(stage), is_buried_(is_buried), finest_(finest), choice_(stage.sensors.size()),
          claim_(stage.sensors.size(), none) {}

    void choose(const Look& look, const Nearest& nearest, const Seen& seen);

    std::vector<std::uint32_t> chosen() const; ///< ascending
    const std::vector<LatticeBetween>& between() const { return between_; }

private:
    static constexpr std::uint32_t none = 0xffffffff;

    /// Cells of a surface's grid from one chosen sensor to the next, both included.
    struct Block {
        const Surface* surface;
        glm::ivec2 low, high;
        int level = 0;            ///< times halved
        std::uint32_t far = none; ///< the block about it, in far_, that farther bands are read off in
        std::array<glm::ivec2, 4> corners{}; ///< cells of sensors, each the nearest there is to a corner
        bool is_fitted = false; ///< its sensors stand as they may, not one to the middle of a cell

        /// Finds those; false where no sensor is.
        bool find_corners();
        std::uint32_t sensor(std::size_t corner) const {
            return static_cast<std::uint32_t>(surface->grid.at(corners[corner].x, corners[corner].y));
        }
        bool is_whole() const {
            return corners[0] == low && corners[3] == high && corners[1] == glm::ivec2(high.x, low.y) &&
                   corners[2] == glm::ivec2(low.x, high.y);
        }
        float side() const {
            return static_cast<float>(surface->grid.step) *
                   static_cast<float>(std::max(high.x - low.x, high.y - low.y));
        }
    };

    /// Weights of a block's corners for the sensor in a cell: as light that runs straight has them.
    class Weights {
    public:
        Weights(const Block& block, const Sensors& sensors);
        std::array<float, 4> at(const glm::ivec2& cell) const;

    private:
        /// Of a sensor in the block's plane, from the corners' middle, in steps of the grid.
        glm::vec2 place(std::uint32_t sensor) const;

        const Block& block_;
        const Sensors& sensors_;
        glm::vec3 middle_{0}, across_{0}, upward_{0};
        std::array<glm::vec2, 4> corner_{};
        glm::mat2 inverse_{0}; ///< of the sum of products of what the corners are off their middle
    };

    static void add_blocks(const Surface& surface, std::vector<Block>& blocks);
    /// Bands by distances at which light runs straight over a block: one for each level, and what is nearer.
    static DistanceBands bands_of(const Surface& surface);
    /// Has the corners look that did not yet.
    void look_from_corners(const std::vector<Block>& blocks, const Look& look, const Seen& seen);
    /// Puts sensors between the corners of their block where light runs straight there, and returns the
    /// halves and quarters of the other blocks.
    std::vector<Block> refine(const std::vector<Block>& blocks, const Nearest& nearest, const Seen& seen);
    /// Whether all that the corners see is far from them, for a block so large.
    bool is_far_from_all(const Block& block, const Nearest& nearest) const;
    /// Whether they see enough that is far, and see it alike.
    bool sees_far_alike(const Block& block, const Seen& seen) const;
    /// Its sensors, but for those that are chosen, lie between its corners.
    void claim(const Block& block);
    int first_band_of(const Block& block) const { return block.far == none ? 0 : far_[block.far].level + 1; }
    /// What the corners of the blocks far about a cell see, weighed.
    FlatSeen read_beyond(std::uint32_t far, const glm::ivec2& cell, const Seen& seen) const;
    void put_claimed_between(std::uint32_t even);
    /// The bands that a block and those far about it read off.
    void put_between(std::uint32_t sensor, const glm::ivec2& cell, const Block& block, const Weights& weights,
                     int last_band);
    /// Those of the blocks far about it alone.
    void put_between_far(std::uint32_t sensor, const glm::ivec2& cell, std::uint32_t far);
    /// Whether its sensors face one way and are all in the open or all buried.
    bool is_alike(const Block& block) const;
    /// Whether its sensors stand where the weights of its corners have them.
    bool is_known(const Block& block) const;
    /// Whether light that runs straight over a block is read off at its sensors; finds how.
    bool is_even(Block& block) const;
    /// Whether something stands on the face between opposite corners.
    bool is_crossed(const Block& block) const;

    /// How a sensor was chosen.
    struct Choice {
        std::uint32_t far = none; ///< as a block's
        glm::ivec2 cell{0};
        int first_band = DistanceBands::most; ///< that it looks at; most: it does not look
    };

    bool is_chosen(std::uint32_t sensor) const { return choice_[sensor].first_band < DistanceBands::most; }

    const Stage& stage_;
    const std::vector<std::uint8_t>& is_buried_;
    float finest_;
    std::vector<Choice> choice_;       ///< one a sensor
    std::vector<std::uint32_t> claim_; ///< one a sensor: the last of even_ that it lies in, or none
    std::vector<Block> even_;          ///< light runs straight over them
    std::vector<Block> far_;           ///< light from afar does
    std::vector<LatticeBetween> between_;
};

} // namespace duskcast
