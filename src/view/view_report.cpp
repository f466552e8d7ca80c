#include "duskcast/view/view_report.hpp"

#include <algorithm>

#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {

namespace {

constexpr double most_contrast = 1000; // beyond it, the surroundings are as good as black

/// Pixels of a target, and the box they fill.
struct Shape {
    std::vector<bool> is_in;
    int left = 1 << 30, right = -1, top = 1 << 30, bottom = -1;
};

Shape find_shape(const ViewImage& image, const Region& region) {
    const Camera& camera = image.camera;
    Shape shape;
    shape.is_in.assign(image.surface.size(), false);
    for (int y = 0; y < camera.height; ++y)
        for (int x = 0; x < camera.width; ++x) {
            const std::size_t pixel = image.pixel_at(x, y);
            if (image.surface[pixel] < 0)
                continue;
            const glm::dvec3 point = camera.eye + static_cast<double>(image.distance[pixel]) *
                                                      camera.direction_at({x + 0.5, y + 0.5});
            if (!region.contains(image.surface[pixel], point))
                continue;
            shape.is_in[pixel] = true;
            shape.left = std::min(shape.left, x);
            shape.right = std::max(shape.right, x);
            shape.top = std::min(shape.top, y);
            shape.bottom = std::max(shape.bottom, y);
        }
    return shape;
}

bool is_at_edge(const Camera& camera, const Shape& shape, int x, int y) {
    for (int beside_y = std::max(0, y - 1); beside_y <= std::min(camera.height - 1, y + 1); ++beside_y)
        for (int beside_x = std::max(0, x - 1); beside_x <= std::min(camera.width - 1, x + 1); ++beside_x)
            if (shape.is_in[static_cast<std::size_t>(beside_y) * camera.width + beside_x])
                return true;
    return false;
}

} // namespace

std::vector<SeenTarget> measure_seen_targets(const ViewImage& image, const std::vector<Region>& regions) {
    std::vector<SeenTarget> seen;
    const Camera& camera = image.camera;
    for (const Region& region : regions) {
        const Shape shape = find_shape(image, region);
        SeenTarget target{.target = region.target->id};
        const int margin_x = (shape.right - shape.left) / 4 + 1,
                  margin_y = (shape.bottom - shape.top) / 4 + 1;
        double inside = 0, outside = 0;
        std::size_t around = 0;
        for (int y = std::max(0, shape.top - margin_y);
             y <= std::min(camera.height - 1, shape.bottom + margin_y); ++y)
            for (int x = std::max(0, shape.left - margin_x);
                 x <= std::min(camera.width - 1, shape.right + margin_x); ++x) {
                const std::size_t pixel = image.pixel_at(x, y);
                if (!shape.is_in[pixel] && is_at_edge(camera, shape, x, y))
                    continue; // holds some of the target
                const double luminance = luminance_of(glm::dvec3(image.luminance[pixel]));
                (shape.is_in[pixel] ? inside : outside) += luminance;
                ++(shape.is_in[pixel] ? target.pixels : around);
            }
        if (target.pixels > 0 && around > 0) {
            target.luminance = inside / static_cast<double>(target.pixels);
            target.surroundings = outside / static_cast<double>(around);
            target.contrast =
                target.luminance > 0
                    ? target.luminance / std::max(target.surroundings, target.luminance / most_contrast)
                    : 0;
        }
        seen.push_back(target);
    }
    return seen;
}

ViewReport measure_view(const std::string& view, const ViewImage& image,
                        const std::vector<LitFixture>& fixtures, const std::vector<Region>& regions) {
    ViewReport report{.view = view, .width = image.camera.width, .height = image.camera.height};
    double sum = 0;
    for (const glm::vec3& pixel : image.luminance) {
        const double luminance = luminance_of(glm::dvec3(pixel));
        report.max = std::max(report.max, luminance);
        sum += luminance;
    }
    report.mean = sum / static_cast<double>(image.luminance.size());
    report.targets = measure_seen_targets(image, regions);
    for (const SeenLens& lens : image.lenses)
        report.lenses.push_back(
            {fixtures[lens.fixture].id, luminance_of(lens.luminance), luminance_of(lens.eye_lx)});
    return report;
}

} // namespace duskcast
