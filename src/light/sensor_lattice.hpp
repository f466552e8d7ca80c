#pragma once
// Sensors on grids, of which some are chosen and the others lie between four of those.

#include <array>
#include <cstdint>
#include <functional>
#include <vector>

#include "duskcast/light/bounce.hpp"

namespace duskcast {

class SensorLattice {
public:
    /// Looks from the sensors chosen next; `spacing`: one each, metres to the next ones.
    using Look =
        std::function<void(const std::vector<std::uint32_t>& sensors, const std::vector<float>& spacing)>;
    /// How far from a chosen sensor the things lie that it sees, metres; 0: not known.
    using Nearest = std::function<float(std::uint32_t sensor)>;

    /// `is_buried`: one a sensor before the leaves, 1 within a body, where no light comes.
    /// `finest`: metres between chosen sensors, below which none are chosen, whatever is near.
    SensorLattice(const Stage& stage, const std::vector<std::uint8_t>& is_buried, float finest = 0)
        : stage_(stage), is_buried_(is_buried), finest_(finest), is_chosen_(stage.sensors.size()),
          place_(stage.sensors.size(), no_place) {}

    void choose(const Look& look, const Nearest& nearest);

    std::vector<std::uint32_t> chosen() const; ///< ascending
    const std::vector<SensorBetween>& between() const { return between_; }

private:
    static constexpr std::uint32_t no_place = 0xffffffff;

    /// Cells of a surface's grid from one chosen sensor to the next, both included.
    struct Block {
        const Surface* surface;
        glm::ivec2 low, high;
        std::array<glm::ivec2, 4> corners{}; ///< cells of sensors, each the nearest there is to a corner

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

    /// Weights of a block's corners for what lies in a cell: as light that runs straight has them.
    class Weights {
    public:
        explicit Weights(const Block& block);
        std::array<float, 4> at(int column, int row) const;
        /// False where the corners lie in a line.
        bool are_known() const { return is_known_; }

    private:
        const Block& block_;
        bool is_whole_, is_known_;
        glm::vec2 middle_{0};
        glm::mat2 inverse_{0}; ///< of the sum of products of what the corners are off their middle
    };

    static void add_blocks(const Surface& surface, std::vector<Block>& blocks);
    /// Puts sensors between the corners of their block where light runs straight there, and returns the
    /// halves and quarters of the other blocks.
    std::vector<Block> refine(const std::vector<Block>& blocks, const Nearest& nearest);
    bool put_between(const Block& block, const Nearest& nearest);
    /// Whether its sensors face one way, are all in the open or all buried, and stand where its corners lead
    /// to expect.
    bool is_even(const Block& block, const Weights& weights) const;
    /// Whether something stands on the face between opposite corners.
    bool is_crossed(const Block& block) const;
    SensorBetween& entry_of(std::uint32_t sensor);

    const Stage& stage_;
    const std::vector<std::uint8_t>& is_buried_;
    float finest_;
    std::vector<std::uint8_t> is_chosen_; ///< one a sensor
    std::vector<std::uint32_t> place_;    ///< one a sensor: its entry in between_, or no_place
    std::vector<SensorBetween> between_;
};

} // namespace duskcast
