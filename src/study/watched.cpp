#include "watched.hpp"

#include <algorithm>

namespace duskcast {
namespace {

void mark(const std::vector<Region>& regions, std::vector<std::uint8_t>& is_watched) {
    for (const Region& region : regions)
        for (const std::uint32_t sensor : region.sensors)
            is_watched[sensor] = 1;
}

} // namespace

Watched::Watched(const Stage& of, std::vector<std::uint8_t> is_watched)
    : stage(&of), index_of(of.sensors.size(), -1) {
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

Watched Watched::of_figures(const Stage& stage, const std::vector<Region>& regions) {
    std::vector<std::uint8_t> is_watched(stage.sensors.size());
    mark(regions, is_watched);
    for (const Surface& surface : stage.surfaces)
        if ((surface.is_upright() && surface.has_grid()) || surface.kind == SurfaceKind::tree)
            std::fill_n(is_watched.begin() + surface.first, surface.count, std::uint8_t{1});
    return {stage, std::move(is_watched)};
}

Watched Watched::of_regions(const Stage& stage, const std::vector<Region>& regions) {
    std::vector<std::uint8_t> is_watched(stage.sensors.size());
    mark(regions, is_watched);
    return {stage, std::move(is_watched)};
}

std::vector<SampleSpot> Watched::samples_of(const std::vector<std::uint32_t>& of_stage) const {
    std::vector<SampleSpot> samples = find_sample_spots(*stage, of_stage);
    for (SampleSpot& sample : samples)
        sample.sensor = static_cast<std::uint32_t>(index_of[sample.sensor]);
    return samples;
}

void Watched::collect(const std::vector<SampleSpot>& samples, const std::vector<double>& lux,
                      std::vector<Sample>& out) const {
    out.clear();
    for (const SampleSpot& spot : samples)
        out.push_back(sample(spot, lux));
}

} // namespace duskcast
