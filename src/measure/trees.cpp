#include "duskcast/measure/trees.hpp"

#include <algorithm>
#include <cmath>

namespace duskcast {

namespace {

/// Bands of 5 ft or 1.5 m, the way the trade speaks of a tree's height.
double band_height(const Site& site) {
    return site.units == LengthUnit::foot ? 5 * metres_per_foot : 1.5;
}

struct TreeViewer {
    Viewpoint from;
    glm::vec3 eye{0};
};

std::vector<TreeViewer> list_tree_viewers(const Site& site, const Tree& tree) {
    using Kind = Viewpoint::Kind;
    std::vector<TreeViewer> viewers;
    for (const View& view : site.views)
        viewers.push_back({{Kind::view, view.id}, glm::vec3(view.eye)});
    if (viewers.empty()) {
        const glm::vec3 foot(tree.at.x, tree.at.y, tree.foot + viewer_height);
        viewers.push_back({{Kind::south, ""}, foot - glm::vec3(0, far_viewer, 0)});
        viewers.push_back({{Kind::north, ""}, foot + glm::vec3(0, far_viewer, 0)});
    }
    return viewers;
}

/// The leaf sides that an eye sees: those that face it with nothing between.
std::vector<Sample> visible_samples(const Stage& stage, const std::vector<double>& lux,
                                    const Surface& surface, const glm::vec3& eye) {
    std::vector<Sample> samples;
    std::vector<Ray> rays;
    for (std::uint32_t sensor = surface.first; sensor < surface.first + surface.count; ++sensor) {
        const glm::vec3 normal = stage.sensors.normal(sensor);
        const glm::vec3 origin = step_off(stage.sensors.position(sensor), normal);
        if (glm::dot(eye - origin, normal) <= 0)
            continue;
        rays.push_back(make_ray(origin, eye, 1));
        samples.push_back({sensor, lux[sensor], stage.sensors.area[sensor]});
    }
    stage.kernel->find_occluded(rays, Coherence::incoherent);
    std::size_t kept = 0;
    for (std::size_t i = 0; i < samples.size(); ++i)
        if (!rays[i].is_occluded())
            samples[kept++] = samples[i];
    samples.resize(kept);
    return samples;
}

Reach find_lit(const std::vector<TreeBand>& bands, std::size_t level, double level_lx, double top) {
    std::vector<LitBand> lit_bands;
    for (const TreeBand& band : bands) {
        const double share = band.lit.empty() ? 0 : band.lit[level].share;
        lit_bands.push_back({band.from, band.to, band.leaf_area, share * band.leaf_area, band.leaves});
    }
    const LitStretches lit = find_lit_stretches(lit_bands);
    Reach reach{.level_lx = level_lx, .wall_height = top, .is_to_top = lit.is_to_top, .stretches = lit.all};
    if (lit.is_any())
        reach.height = lit.main.to;
    return reach;
}

} // namespace

TreeReport measure_crown(const Site& site, const Stage& stage, const Tree& tree,
                         const std::vector<Sample>& samples, const std::vector<double>& levels_lx) {
    TreeReport report;
    report.tree = tree.id;
    const double step = band_height(site);
    const int first = static_cast<int>(std::floor(tree.base / step + 1e-9));
    const int last = static_cast<int>(std::ceil(tree.height / step - 1e-9));
    std::vector<std::vector<Sample>> by_band(std::max(last - first, 1));
    for (const Sample& sample : samples) {
        const double height = stage.sensors.z[sample.sensor] - tree.foot;
        const int band = static_cast<int>(std::floor(height / step)) - first;
        by_band[std::clamp(band, 0, static_cast<int>(by_band.size()) - 1)].push_back(sample);
    }
    for (std::size_t i = 0; i < by_band.size(); ++i) {
        TreeBand band;
        band.from = std::max(tree.base, (first + static_cast<int>(i)) * step);
        band.to = std::min(tree.height, (first + static_cast<int>(i) + 1) * step);
        const Stats stats = measure_stats(stage, by_band[i], levels_lx);
        band.leaf_area = stats.area;
        band.mean_lx = stats.mean_lx;
        band.lit = stats.coverage;
        band.leaves = by_band[i].size();
        report.leaves += band.leaves;
        report.bands.push_back(band);
    }
    for (std::size_t level = 0; level < levels_lx.size(); ++level)
        report.lit_to.push_back(find_lit(report.bands, level, levels_lx[level], tree.height));
    return report;
}

std::vector<TreeReport> measure_trees(const Site& site, const Stage& stage, const std::vector<double>& lux,
                                      const std::vector<double>& levels_lx) {
    std::vector<TreeReport> reports;
    for (const Tree& tree : site.trees) {
        const Surface& surface = stage.surfaces[stage.find_surface(tree.id)];
        reports.push_back(
            measure_crown(site, stage, tree, collect_samples(stage, lux, sensors_of(surface)), levels_lx));
        for (const TreeViewer& viewer : list_tree_viewers(site, tree)) {
            reports.push_back(measure_crown(site, stage, tree,
                                            visible_samples(stage, lux, surface, viewer.eye), levels_lx));
            reports.back().from = viewer.from;
        }
    }
    return reports;
}

} // namespace duskcast
