#include "watched.hpp"

#include <algorithm>

namespace duskcast {

Watched::Watched(const Stage& of, const std::vector<Region>& regions)
    : stage(&of), index_of(of.sensors.size(), -1) {
    std::vector<std::uint8_t> is_watched(of.sensors.size());
    for (const Region& region : regions)
        for (const std::uint32_t sensor : region.sensors)
            is_watched[sensor] = 1;
    for (const Surface& surface : of.surfaces)
        if ((surface.is_upright() && surface.has_grid()) || surface.kind == SurfaceKind::tree)
            std::fill_n(is_watched.begin() + surface.first, surface.count, std::uint8_t{1});
    for (std::uint32_t i = 0; i < of.sensors.size(); ++i) {
        if (!is_watched[i])
            continue;
        if (i < of.first_leaf_sensor)
            ++first_leaf;
        index_of[i] = static_cast<std::int32_t>(sensors.size());
        sensors.push_back(i);
        subset.add(of.sensors.position(i), of.sensors.normal(i), of.sensors.area[i]);
    }
}

std::vector<std::uint32_t> Watched::indices_of(const std::vector<std::uint32_t>& of_stage) const {
    std::vector<std::uint32_t> indices;
    for (const std::uint32_t sensor : of_stage)
        indices.push_back(static_cast<std::uint32_t>(index_of[sensor]));
    return indices;
}

std::vector<SampleSpot> Watched::samples_of(const std::vector<std::uint32_t>& of_stage) const {
    std::vector<SampleSpot> samples = find_sample_spots(*stage, of_stage);
    for (SampleSpot& sample : samples)
        sample.sensor = static_cast<std::uint32_t>(index_of[sample.sensor]);
    return samples;
}

} // namespace duskcast
