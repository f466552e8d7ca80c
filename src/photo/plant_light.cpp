#include "plant_light.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace duskcast {
namespace {

constexpr double crown_smoothing = 0.35, shrub_smoothing = 0.18, trunk_smoothing = 0.12; // metres
constexpr double first_leaves = 0.1; // of the crown's height: up to there a trunk is seen below them

/// A Gaussian along both sides of a picture, in place.
void blur(std::vector<glm::vec3>& pixels, int width, int height, double deviation) {
    const int reach = static_cast<int>(std::ceil(3 * deviation));
    std::vector<float> weight;
    float sum = 0;
    for (int i = -reach; i <= reach; ++i)
        sum += weight.emplace_back(static_cast<float>(std::exp(-0.5 * i * i / (deviation * deviation))));
    std::vector<glm::vec3> line;
    const auto smooth = [&](std::size_t start, std::size_t step, int length) {
        line.assign(static_cast<std::size_t>(length), glm::vec3(0));
        for (int i = 0; i < length; ++i)
            for (int j = std::max(0, i - reach); j <= std::min(length - 1, i + reach); ++j)
                line[static_cast<std::size_t>(i)] += weight[static_cast<std::size_t>(j - i + reach)] / sum *
                                                     pixels[start + static_cast<std::size_t>(j) * step];
        for (int i = 0; i < length; ++i)
            pixels[start + static_cast<std::size_t>(i) * step] = line[static_cast<std::size_t>(i)];
    };
    for (int y = 0; y < height; ++y)
        smooth(static_cast<std::size_t>(y) * static_cast<std::size_t>(width), 1, width);
    for (int x = 0; x < width; ++x)
        smooth(static_cast<std::size_t>(x), static_cast<std::size_t>(width), height);
}

} // namespace

PlantSight find_plant(const Site& site, const Stage& stage, const std::string& id, const Camera& camera,
                      const CameraLook& look) {
    PlantSight plant{.id = id, .surface = stage.find_surface(id)};
    double smoothing = shrub_smoothing;
    if (const Tree* tree = find_tree(site, id)) {
        smoothing = crown_smoothing;
        plant.at = tree->at;
        plant.trunk_top = tree->foot + tree->base + first_leaves * (tree->height - tree->base);
        plant.trunk_radius = 0.5 * (tree->trunk_diameter > 0 ? tree->trunk_diameter : tree->height / 40);
    }
    for (const Shrub& shrub : site.shrubs)
        if (shrub.id == id) {
            const std::vector<glm::dvec2>& round = shrub.outline.empty() ? shrub.path : shrub.outline;
            for (const glm::dvec2& point : round)
                plant.at += point / static_cast<double>(round.size());
            plant.trunk_top = shrub.foot;
        }
    const double distance = std::max(0.5, glm::distance(plant.at, glm::dvec2(camera.eye)));
    plant.leaf_blur = std::max(1.0, smoothing * camera.pixels_per_tangent / distance);
    plant.trunk_blur = std::max(1.0, trunk_smoothing * camera.pixels_per_tangent / distance);
    for (std::size_t pixel = 0; pixel < look.face.size(); ++pixel) {
        if (surface_of(look.face[pixel]) != plant.surface || plant.surface < 0)
            continue;
        const auto width = static_cast<std::size_t>(camera.width);
        const double z = camera.eye.z + static_cast<double>(look.distance[pixel]) *
                                            camera
                                                .direction_at({static_cast<double>(pixel % width) + 0.5,
                                                               static_cast<double>(pixel / width) + 0.5})
                                                .z;
        const bool is_trunk = plant.trunk_radius > 0 && z < plant.trunk_top;
        (is_trunk ? plant.trunk_pixels : plant.leaf_pixels).push_back(static_cast<std::uint32_t>(pixel));
    }
    return plant;
}

PlantRatio::PlantRatio(const Camera& camera, const std::vector<std::uint32_t>& pixels, double deviation,
                       const std::vector<glm::vec3>& night, const std::vector<glm::vec3>& day) {
    if (pixels.empty())
        return;
    int right = 0, bottom = 0;
    left_ = camera.width;
    top_ = camera.height;
    glm::dvec3 night_sum{0}, day_sum{0};
    for (const std::uint32_t pixel : pixels) {
        const int x = static_cast<int>(pixel) % camera.width, y = static_cast<int>(pixel) / camera.width;
        left_ = std::min(left_, x);
        right = std::max(right, x);
        top_ = std::min(top_, y);
        bottom = std::max(bottom, y);
        night_sum += glm::dvec3(night[pixel]);
        day_sum += glm::dvec3(day[pixel]);
    }
    const int margin = static_cast<int>(std::ceil(2 * deviation));
    left_ -= margin;
    top_ -= margin;
    width_ = right + margin + 1 - left_;
    height_ = bottom + margin + 1 - top_;
    std::vector<glm::vec3> dark(static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_)),
        bright(dark.size());
    for (const std::uint32_t pixel : pixels) {
        const int x = static_cast<int>(pixel) % camera.width - left_,
                  y = static_cast<int>(pixel) / camera.width - top_;
        const std::size_t at = static_cast<std::size_t>(y) * static_cast<std::size_t>(width_) + x;
        dark[at] = night[pixel];
        bright[at] = day[pixel];
    }
    blur(dark, width_, height_, deviation);
    blur(bright, width_, height_, deviation);
    // Far from all leaves the whole plant's mean takes over.
    const double little = 1e-3 / static_cast<double>(pixels.size());
    ratio_.resize(dark.size());
    for (std::size_t i = 0; i < ratio_.size(); ++i)
        ratio_[i] = (dark[i] + glm::vec3(little * night_sum)) /
                    glm::max(bright[i] + glm::vec3(little * day_sum), glm::vec3(1e-12f));
}

glm::vec3 PlantRatio::at(const glm::dvec2& place) const {
    const double x = std::clamp(place.x - 0.5 - left_, 0.0, width_ - 1.0),
                 y = std::clamp(place.y - 0.5 - top_, 0.0, height_ - 1.0);
    const int x0 = std::min(static_cast<int>(x), std::max(0, width_ - 2)),
              y0 = std::min(static_cast<int>(y), std::max(0, height_ - 2));
    const auto pixel = [&](int column, int row) {
        return ratio_[static_cast<std::size_t>(std::min(row, height_ - 1)) *
                          static_cast<std::size_t>(width_) +
                      static_cast<std::size_t>(std::min(column, width_ - 1))];
    };
    const auto u = static_cast<float>(x - x0), v = static_cast<float>(y - y0);
    return glm::mix(glm::mix(pixel(x0, y0), pixel(x0 + 1, y0), u),
                    glm::mix(pixel(x0, y0 + 1), pixel(x0 + 1, y0 + 1), u), v);
}

} // namespace duskcast
