#include "exchange.hpp"

#include <algorithm>
#include <cmath>
#include <span>

#include "duskcast/base/parallel.hpp"
#include "exchange_levels.hpp"

namespace duskcast {

namespace {

/// Joins what the two patches of each pair counted of each other into rows of links.
class Exchange {
public:
    Exchange(std::vector<Gathered>& found, Bounce& bounce) : found_(found), bounce_(bounce) {}

    void join() {
        const std::size_t count = found_.size();
        drop_buried();
        std::vector<std::uint32_t> start(count + 1, 0);
        for (const Gathered& own : found_)
            for (const PatchCount& other : own.counts)
                ++start[other.patch + 1];
        for (std::size_t i = 0; i < count; ++i)
            start[i + 1] += start[i];
        std::vector<PatchCount> turned(start[count]);
        std::vector<std::uint32_t> next(start.begin(), start.end() - 1);
        for (std::uint32_t i = 0; i < count; ++i)
            for (const PatchCount& other : found_[i].counts)
                turned[next[other.patch]++] = {i, other.count};
        // Rows are written in blocks side by side, and the blocks put one after the other.
        constexpr std::size_t in_block = 1024;
        std::vector<std::vector<std::uint8_t>> blocks((count + in_block - 1) / in_block);
        bounce_.row.assign(count + 1, 0);
        parallel_for(blocks.size(), [&](std::size_t block) {
            LinkWriter writer(blocks[block]);
            for (std::size_t i = block * in_block; i < std::min(count, (block + 1) * in_block); ++i) {
                add_row(static_cast<std::uint32_t>(i),
                        {turned.data() + start[i], turned.data() + start[i + 1]}, writer);
                bounce_.row[i + 1] = static_cast<std::uint32_t>(writer.count());
                found_[i].counts = {};
            }
        });
        std::uint32_t before = 0;
        for (std::size_t i = 0; i < count; ++i) {
            before = i % in_block == 0 ? bounce_.row[i] : before;
            bounce_.row[i + 1] += before;
        }
        bounce_.link.reserve(bounce_.row[count] * link_bytes + 1);
        for (std::vector<std::uint8_t>& block : blocks) {
            bounce_.link.insert(bounce_.link.end(), block.begin(), block.end());
            block = {};
        }
        LinkWriter(bounce_.link).close();
    }

    /// Symmetric scaling (after Sinkhorn and Knopp 1967). Near the end each round goes on with a part of the
    /// step before (after Polyak 1964), as patches that see little but each other come to agree slowly.
    void balance() {
        const std::size_t count = found_.size();
        std::vector<double> factor(count, 1.0), sum(count), step(count, 1.0);
        constexpr int most_rounds = 200;
        constexpr double close_enough = 1e-5;
        constexpr double near_end = 0.1;
        // The best for patches that give each other back up to nine tenths.
        constexpr double of_rest = 1.336, of_step = 0.40;
        bool is_near_end = false;
        for (int round = 0; round < most_rounds; ++round) {
            parallel_for(count, [&](std::size_t i) {
                double reached = 0;
                LinkReader link(bounce_.link, bounce_.row[i]);
                for (std::uint32_t l = bounce_.row[i]; l < bounce_.row[i + 1]; ++l) {
                    link.next();
                    reached += static_cast<double>(link.exchange()) * factor[link.partner()];
                }
                sum[i] = factor[i] * (reached + gone(i));
            });
            double worst = 0;
            for (std::size_t i = 0; i < count; ++i) {
                const double area = static_cast<double>(bounce_.patches.area[i]);
                if (!(area > 0) || !(sum[i] > 0))
                    continue;
                const double off = area / sum[i] - 1;
                worst = std::max(worst, std::abs(off));
                step[i] =
                    is_near_end ? (1 + of_rest * off) * (1 + of_step * (step[i] - 1)) : std::sqrt(1 + off);
                factor[i] *= step[i];
            }
            if (worst < close_enough)
                break;
            is_near_end = worst < near_end;
        }
        for (std::size_t i = 0; i < count; ++i) {
            const Gathered& own = found_[i];
            const double each = own.rays > 0 ? factor[i] / own.rays : 0;
            bounce_.balance.push_back(static_cast<float>(factor[i]));
            bounce_.sky.push_back(static_cast<float>(own.sky * each));
            bounce_.lost.push_back(static_cast<float>(own.lost * each));
        }
    }

private:
    /// Rays that met a patch no light comes to are lost.
    void drop_buried() {
        parallel_for(found_.size(), [&](std::size_t i) {
            Gathered& own = found_[i];
            const auto is_buried = [&](const PatchCount& other) {
                const bool buried = found_[other.patch].rays == 0;
                own.lost += buried ? other.count : 0;
                return buried;
            };
            own.counts.erase(std::remove_if(own.counts.begin(), own.counts.end(), is_buried),
                             own.counts.end());
        });
    }

    double gone(std::size_t i) const {
        const Gathered& own = found_[i];
        return own.rays > 0 ? static_cast<double>(bounce_.patches.area[i]) * (own.sky + own.lost) / own.rays
                            : 0;
    }

    double density(std::uint32_t i) const {
        return found_[i].rays / static_cast<double>(bounce_.patches.area[i]);
    }

    void add_row(std::uint32_t i, std::span<const PatchCount> turned, LinkWriter& writer) const {
        std::size_t a = 0, b = 0;
        writer.begin_row();
        const std::vector<PatchCount>& own = found_[i].counts;
        while (a < own.size() || b < turned.size()) {
            const std::uint32_t partner = std::min(a < own.size() ? own[a].patch : Patches::none,
                                                   b < turned.size() ? turned[b].patch : Patches::none);
            std::uint32_t count = 0;
            if (a < own.size() && own[a].patch == partner)
                count += own[a++].count;
            if (b < turned.size() && turned[b].patch == partner)
                count += turned[b++].count;
            writer.add(partner, count / (density(i) + density(partner)));
        }
    }

    std::vector<Gathered>& found_;
    Bounce& bounce_;
};

} // namespace

void build_exchange(std::vector<Gathered>& found, Bounce& bounce) {
    Exchange exchange(found, bounce);
    exchange.join();
    exchange.balance();
}

} // namespace duskcast
