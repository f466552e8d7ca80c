#include "duskcast/measure/stats.hpp"

#include <algorithm>
#include <numeric>

namespace duskcast {

std::vector<SampleSpot> find_sample_spots(const Stage& stage, const std::vector<std::uint32_t>& sensors) {
    std::vector<SampleSpot> spots;
    spots.reserve(sensors.size());
    for (std::size_t i = 0; i < sensors.size(); ++i) {
        const std::uint32_t sensor = sensors[i];
        const bool has_other_side = sensor >= stage.first_leaf_sensor && i + 1 < sensors.size() &&
                                    sensors[i + 1] == sensor + 1 &&
                                    stage.leaf_of_sensor[sensor - stage.first_leaf_sensor] ==
                                        stage.leaf_of_sensor[sensor + 1 - stage.first_leaf_sensor];
        spots.push_back({sensor, has_other_side});
        if (has_other_side)
            ++i;
    }
    return spots;
}

std::vector<Sample> collect_samples(const Stage& stage, const std::vector<double>& lux,
                                    const std::vector<std::uint32_t>& sensors) {
    std::vector<Sample> samples;
    samples.reserve(sensors.size());
    for (const SampleSpot& spot : find_sample_spots(stage, sensors)) {
        const bool is_other = spot.has_other_side && lux[spot.sensor + 1] > lux[spot.sensor];
        const std::uint32_t sensor = spot.sensor + (is_other ? 1 : 0);
        samples.push_back({sensor, lux[sensor], stage.sensors.area[spot.sensor]});
    }
    return samples;
}

std::vector<std::uint32_t> sensors_of(const Surface& surface) {
    std::vector<std::uint32_t> sensors(surface.count);
    std::iota(sensors.begin(), sensors.end(), surface.first);
    return sensors;
}

double measure_mean(const Stage& stage, const std::vector<double>& lux,
                    const std::vector<std::uint32_t>& sensors) {
    double sum = 0, area = 0;
    for (const std::uint32_t i : sensors) {
        const auto own = static_cast<double>(stage.sensors.area[i]);
        sum += own * lux[i];
        area += own;
    }
    return area > 0 ? sum / area : 0;
}

double measure_share(const std::vector<Sample>& samples, double level_lx) {
    double area = 0;
    double lit = 0;
    for (const Sample& sample : samples) {
        area += sample.area;
        if (sample.lux >= level_lx)
            lit += sample.area;
    }
    return area > 0 ? lit / area : 0;
}

Stats measure_stats(const Stage& stage, const std::vector<Sample>& samples,
                    const std::vector<double>& levels_lx) {
    return measure_stats_of(
        stage, samples.size(), [&](std::size_t i) { return samples[i]; }, levels_lx);
}

} // namespace duskcast
