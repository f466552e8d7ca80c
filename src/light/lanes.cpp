#include "duskcast/light/lanes.hpp"

#include <algorithm>
#include <array>

#include "layer_kernel.hpp"

namespace duskcast {

FixtureLanes::FixtureLanes(const Sight& sight, const Sensors& sensors, std::span<const FixtureLane> lanes)
    : sight_(sight), sensors_(sensors), lanes_(lanes.begin(), lanes.end()) {
    const FixtureLane& first = lanes_.front();
    const bool is_alike = std::all_of(lanes_.begin(), lanes_.end(), [&](const FixtureLane& lane) {
        return lane.aim == first.aim && lane.table->is_symmetric() &&
               lane.table->rows() == first.table->rows();
    });
    if (is_alike) {
        tables_.assign(first.table->values().size() * lane_count, 0.0f);
        scales_.assign(lane_count, 0.0f);
        for (std::size_t k = 0; k < lanes_.size(); ++k) {
            const std::vector<float>& values = lanes_[k].table->values();
            for (std::size_t row = 0; row < values.size(); ++row)
                tables_[row * lane_count + k] = values[row];
            scales_[k] = static_cast<float>(lanes_[k].scale);
        }
    }
    near_lux_.assign(sight.near_sensor.size() * lane_count, 0.0f);
    std::array<float, Sight::lens_samples * lane_count> lux;
    for (std::size_t i = 0; i < sight.near_sensor.size(); ++i) {
        const std::size_t spot = i * Sight::lens_samples;
        evaluate({sight.near_x.data() + spot, sight.near_y.data() + spot, sight.near_z.data() + spot,
                  sight.near_transfer.data() + spot, Sight::lens_samples},
                 lux.data());
        for (std::size_t s = 0; s < Sight::lens_samples; ++s)
            for (std::size_t k = 0; k < lane_count; ++k)
                near_lux_[i * lane_count + k] += lux[s * lane_count + k];
    }
}

LayerInput FixtureLanes::input_of(const FixtureLane& lane, const Spots& spots) const {
    LayerInput input = make_layer_input(lane.aim, *lane.table);
    input.x = spots.x;
    input.y = spots.y;
    input.z = spots.z;
    input.transfer = spots.transfer;
    input.count = spots.count;
    input.lens = sight_.lens.centre;
    input.scale = static_cast<float>(lane.scale);
    return input;
}

void FixtureLanes::evaluate(const Spots& spots, float* out) const {
    if (!tables_.empty()) {
        evaluate_symmetric_lanes(input_of(lanes_.front(), spots), tables_.data(), scales_.data(), out);
        return;
    }
    std::fill_n(out, spots.count * lane_count, 0.0f);
    std::array<float, block> own;
    for (std::size_t k = 0; k < lanes_.size(); ++k) {
        if (lanes_[k].table->values().empty()) // a lamp without a distribution gives no light
            continue;
        (lanes_[k].table->is_symmetric() ? evaluate_symmetric : evaluate_table)(input_of(lanes_[k], spots),
                                                                                own.data());
        for (std::size_t i = 0; i < spots.count; ++i)
            out[i * lane_count + k] = own[i];
    }
}

FixtureLanes::Spots FixtureLanes::spots_of(std::size_t from, std::size_t to) const {
    return {sensors_.x.data() + from, sensors_.y.data() + from, sensors_.z.data() + from,
            sight_.transfer.data() + from, to - from};
}

void FixtureLanes::set(std::size_t from, std::size_t to, double* out) const {
    if (tables_.empty()) {
        std::fill_n(out, (to - from) * lane_count, 0.0);
        add(from, to, out);
        return;
    }
    set_symmetric_lanes(input_of(lanes_.front(), spots_of(from, to)), tables_.data(), scales_.data(), out);
    add_near(from, to, out);
}

void FixtureLanes::add(std::size_t from, std::size_t to, double* sums) const {
    const Spots spots = spots_of(from, to);
    if (std::any_of(spots.transfer, spots.transfer + spots.count, [](float value) { return value != 0; })) {
        if (!tables_.empty()) {
            add_symmetric_lanes(input_of(lanes_.front(), spots), tables_.data(), scales_.data(), sums);
        } else {
            std::array<float, block * lane_count> lux;
            evaluate(spots, lux.data());
            add_values(lux.data(), spots.count * lane_count, sums);
        }
    }
    add_near(from, to, sums);
}

void FixtureLanes::add_near(std::size_t from, std::size_t to, double* sums) const {
    const auto near = std::lower_bound(sight_.near_sensor.begin(), sight_.near_sensor.end(), from);
    for (auto at = near; at != sight_.near_sensor.end() && *at < to; ++at) {
        const float* lux = near_lux_.data() + (at - sight_.near_sensor.begin()) * std::ptrdiff_t{lane_count};
        for (std::size_t k = 0; k < lane_count; ++k)
            sums[(*at - from) * lane_count + k] += static_cast<double>(lux[k]);
    }
}

} // namespace duskcast
