#include "duskcast/view/see.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "duskcast/measure/better_lamp.hpp"
#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {

namespace {

constexpr int look_width = 240;      ///< pixels
constexpr double least_height = 0.5; ///< metres; what is lower is judged as a whole
constexpr int band_count = 16;

/// What is looked for: its surfaces, where a point of them belongs to it, and its ends above the foot.
struct Feature {
    std::function<bool(int surface, const glm::dvec3& point)> contains;
    std::vector<std::uint32_t> sensors;
    std::string body; ///< part_of of its surfaces
    bool is_upright = false;
    bool has_leaves = false; ///< and so edges everywhere
    double foot = 0, low = 0, high = 0;
};

Feature make_target_feature(const Site& site, const Region& region) {
    const Stage& stage = *region.stage;
    const Surface& surface = stage.surfaces[static_cast<std::size_t>(region.surfaces.front())];
    Feature feature{
        .contains = [&region](int index, const glm::dvec3& point) { return region.contains(index, point); },
        .sensors = region.sensors,
        .body = surface.part_of,
        .foot = surface.foot};
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (const std::uint32_t sensor : region.sensors) {
        low = std::min(low, static_cast<double>(stage.sensors.z[sensor]));
        high = std::max(high, static_cast<double>(stage.sensors.z[sensor]));
    }
    const double half_cell = surface.has_grid() && surface.is_upright() ? surface.grid.step / 2 : 0;
    feature.low = std::max(low - half_cell - feature.foot, 0.0);
    feature.high = high + half_cell - feature.foot;
    if (region.target->between) {
        feature.high = std::min(feature.high, (*region.target->between)[1]);
    } else if (const Tree* tree = find_tree(site, region.target->on)) { // as what is seen of any tree
        feature.low = tree->base;
        feature.high = tree->height;
    }
    feature.has_leaves = surface.kind == SurfaceKind::tree || surface.kind == SurfaceKind::shrub;
    feature.is_upright = surface.kind != SurfaceKind::ground && feature.high - feature.low >= least_height;
    return feature;
}

Feature make_tree_feature(const Stage& stage, const Tree& tree) {
    const int index = stage.find_surface(tree.id);
    const Surface& surface = stage.surfaces[static_cast<std::size_t>(index)];
    return {.contains = [index](int other, const glm::dvec3&) { return other == index; },
            .sensors = sensors_of(surface),
            .body = surface.part_of,
            .is_upright = true,
            .has_leaves = true,
            .foot = tree.foot,
            .low = tree.base,
            .high = tree.height};
}

/// A pixel of the feature.
struct SeenSpot {
    double height = 0; ///< above the foot
    double luminance = 0;
};

/// Pixels of the feature, and the median luminance of what lies round it and is of another body.
struct Outline {
    std::vector<SeenSpot> spots;
    double background = 0;
};

/// Whether a pixel of the shape has a neighbour that is none: it may hold some of what lies behind.
bool is_edge(const Camera& camera, const std::vector<std::uint8_t>& is_in, int x, int y) {
    const auto holds = [&](int at_x, int at_y) {
        return at_x < 0 || at_y < 0 || at_x >= camera.width || at_y >= camera.height ||
               is_in[static_cast<std::size_t>(at_y) * camera.width + at_x] != 0;
    };
    return !(holds(x - 1, y) && holds(x + 1, y) && holds(x, y - 1) && holds(x, y + 1));
}

Outline find_outline(const ViewImage& image, const Stage& stage, const Feature& feature) {
    const Camera& camera = image.camera;
    int left = camera.width, right = -1, top = camera.height, bottom = -1;
    std::vector<std::uint8_t> is_in(image.surface.size());
    const auto point_at = [&](int x, int y) {
        return camera.eye + static_cast<double>(image.distance[image.pixel_at(x, y)]) *
                                camera.direction_at({x + 0.5, y + 0.5});
    };
    for (int y = 0; y < camera.height; ++y)
        for (int x = 0; x < camera.width; ++x) {
            const std::size_t pixel = image.pixel_at(x, y);
            if (image.surface[pixel] < 0 || !feature.contains(image.surface[pixel], point_at(x, y)))
                continue;
            is_in[pixel] = 1;
            left = std::min(left, x);
            right = std::max(right, x);
            top = std::min(top, y);
            bottom = std::max(bottom, y);
        }
    Outline outline;
    std::vector<SeenSpot> edges;
    std::vector<double> around;
    const int margin_x = (right - left) / 4 + 1, margin_y = (bottom - top) / 4 + 1;
    for (int y = std::max(0, top - margin_y); y <= std::min(camera.height - 1, bottom + margin_y); ++y)
        for (int x = std::max(0, left - margin_x); x <= std::min(camera.width - 1, right + margin_x); ++x) {
            const std::size_t pixel = image.pixel_at(x, y);
            const double luminance = luminance_of(glm::dvec3(image.luminance[pixel]));
            const int surface = image.surface[pixel];
            if (is_in[pixel] != 0)
                (!feature.has_leaves && is_edge(camera, is_in, x, y) ? edges : outline.spots)
                    .push_back({point_at(x, y).z - feature.foot, luminance});
            else if (surface < 0 || stage.surfaces[static_cast<std::size_t>(surface)].part_of != feature.body)
                around.push_back(luminance);
        }
    if (outline.spots.size() < least_samples) // small or narrow: edges are better than nothing
        outline.spots.insert(outline.spots.end(), edges.begin(), edges.end());
    if (!around.empty()) {
        const auto middle = around.begin() + static_cast<std::ptrdiff_t>(around.size() / 2);
        std::nth_element(around.begin(), middle, around.end());
        outline.background = *middle;
    }
    return outline;
}

bool is_in_picture(const Camera& camera, const Stage& stage, const Feature& feature) {
    return std::any_of(feature.sensors.begin(), feature.sensors.end(), [&](std::uint32_t sensor) {
        const std::optional<glm::dvec2> place = camera.project(glm::dvec3(stage.sensors.position(sensor)));
        return place && place->x >= 0 && place->x < camera.width && place->y >= 0 && place->y < camera.height;
    });
}

/// What of the spots has at least so much luminance, by height. Without heights one band holds all.
LitStretches find_stretches(const std::vector<SeenSpot>& spots, const Feature& feature, double luminance) {
    const int count = feature.is_upright ? band_count : 1;
    const double step = (feature.high - feature.low) / count;
    std::vector<LitBand> bands;
    for (int i = 0; i < count; ++i)
        bands.push_back({.from = feature.low + i * step, .to = feature.low + (i + 1) * step});
    for (const SeenSpot& spot : spots) {
        const int place = step > 0 ? static_cast<int>(std::floor((spot.height - feature.low) / step)) : 0;
        LitBand& band = bands[static_cast<std::size_t>(std::clamp(place, 0, count - 1))];
        ++band.area;
        ++band.samples;
        band.lit_area += spot.luminance >= luminance ? 1 : 0;
    }
    // What is above or below everything seen says nothing.
    const auto is_empty = [](const LitBand& band) { return band.samples == 0; };
    while (bands.size() > 1 && is_empty(bands.back()))
        bands.pop_back();
    while (bands.size() > 1 && is_empty(bands.front()))
        bands.erase(bands.begin());
    return find_lit_stretches(bands);
}

void judge(const ViewImage& image, const Stage& stage, const Feature& feature, double lit_luminance,
           SeenFeature& seen) {
    const Outline outline = find_outline(image, stage, feature);
    seen.is_upright = feature.is_upright;
    seen.low = feature.low;
    seen.high = feature.high;
    if (outline.spots.size() < least_samples) {
        seen.sighting =
            is_in_picture(image.camera, stage, feature) ? Sighting::hidden : Sighting::out_of_picture;
        return;
    }
    for (const SeenSpot& spot : outline.spots) {
        seen.luminance += spot.luminance / static_cast<double>(outline.spots.size());
        seen.seen_to = std::clamp(spot.height, seen.seen_to, feature.high);
    }
    seen.background = outline.background;
    seen.needed = std::max(lit_luminance, outline.background);
    seen.lit = find_stretches(outline.spots, feature, seen.needed);
    seen.faint = find_stretches(outline.spots, feature, reads_as_faint * seen.needed);
    seen.sighting = seen.lit.is_any()     ? Sighting::lit
                    : seen.faint.is_any() ? Sighting::faint
                                          : Sighting::unlit;
}

SeenFeature see_tree(const ViewImage& image, const Viewpoint& from, const Stage& stage, const Tree& tree,
                     double lit_luminance) {
    SeenFeature seen{.feature = tree.id, .is_tree = true, .on = tree.id, .from = from};
    judge(image, stage, make_tree_feature(stage, tree), lit_luminance, seen);
    return seen;
}

} // namespace

std::vector<SeenFeature> see_features(const ViewImage& image, const Viewpoint& from, const Site& site,
                                      const Stage& stage, const std::vector<Region>& regions,
                                      double lit_luminance) {
    std::vector<SeenFeature> features;
    for (const Region& region : regions) {
        features.push_back({.feature = region.target->id, .on = region.target->on, .from = from});
        judge(image, stage, make_target_feature(site, region), lit_luminance, features.back());
    }
    for (const Tree& tree : site.trees) {
        const bool is_target = std::any_of(site.targets.begin(), site.targets.end(), [&](const Target& one) {
            return one.on == tree.id && !one.between;
        });
        if (!is_target)
            features.push_back(see_tree(image, from, stage, tree, lit_luminance));
    }
    return features;
}

std::vector<SeenFeature> look_from_views(const Site& site, const Stage& stage, const std::vector<View>& views,
                                         const std::vector<LitFixture>& fixtures, const BouncedLight& bounced,
                                         double lit_luminance, double shape) {
    std::vector<SeenFeature> features;
    const int height = std::max(1, static_cast<int>(std::lround(look_width * shape)));
    const auto look = [&](const View& view) {
        return trace_view(stage, fixtures, make_camera(view, look_width, height), site.ambient, bounced);
    };
    const std::vector<Region> regions = find_regions(site, stage);
    for (const View& view : views)
        for (SeenFeature& seen :
             see_features(look(view), {Viewpoint::Kind::view, view.id}, site, stage, regions, lit_luminance))
            features.push_back(std::move(seen));
    if (!site.views.empty())
        return features;
    for (const Tree& tree : site.trees)
        for (const auto& [side, way] :
             {std::pair(Viewpoint::Kind::south, -1.0), std::pair(Viewpoint::Kind::north, 1.0)}) {
            const glm::dvec3 foot(tree.at.x, tree.at.y, tree.foot);
            View view{.eye = foot + glm::dvec3(0, way * far_viewer, viewer_height),
                      .look_at = foot + glm::dvec3(0, 0, tree.height / 2)};
            const double span = std::max(tree.height, tree.width);
            view.field_of_view = 2 * std::atan(1.2 * span / far_viewer); // 2.4 spans wide, 1.5 high
            features.push_back(see_tree(look(view), {side, ""}, stage, tree, lit_luminance));
        }
    return features;
}

void look_for_report(const Site& site, const Stage& stage, const Lighting& lighting, double lit_luminance,
                     Report& report) {
    report.lit_luminance = lit_luminance;
    report.seen =
        look_from_views(site, stage, site.views, lighting.fixtures, lighting.bounced_at, lit_luminance);
    for (SeenFeature& seen : report.seen)
        for (const TargetReport& target : report.targets)
            if (!seen.is_tree && seen.feature == target.id)
                seen.is_missed = !target.is_reached;
}

Report measure_with_views(const Site& site, const std::filesystem::path& folder, const Stage& stage,
                          const Lighting& lighting, std::vector<double> levels_lx, double lit_luminance) {
    Report report = measure_report(site, stage, lighting, std::move(levels_lx));
    find_better_lamps(site, folder, stage, lighting, report);
    look_for_report(site, stage, lighting, lit_luminance, report);
    return report;
}

} // namespace duskcast
