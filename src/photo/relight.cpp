#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/problem.hpp"
#include "relight_state.hpp"

namespace duskcast {
namespace {

constexpr float muntin_times = 2.5f;       // as bright as glass would be by what it reflects: bars before it
constexpr double least_seen_plant = 0.003; // of the picture: a smaller one needs no mask
constexpr float by_pi = static_cast<float>(1 / pi);

} // namespace

glm::vec3 RelightPlan::State::coarse_at(const std::vector<glm::vec3>& values, std::size_t pixel) const {
    glm::vec3 sum{0};
    float weights = 0;
    visit_coarse(pixel, [&](std::size_t at, float weight) {
        sum += weight * values[at];
        weights += weight;
    });
    return weights > 0 ? sum / weights : glm::vec3(0);
}

glm::vec3 RelightPlan::State::ratio_at(const std::vector<glm::vec3>& night, std::size_t pixel) const {
    glm::vec3 dark{0}, bright{0};
    visit_coarse(pixel, [&](std::size_t at, float weight) {
        dark += weight * night[at];
        bright += weight * coarse_day[at];
    });
    return dark / glm::max(bright, glm::vec3(1e-9f));
}

RelightPlan::RelightPlan(const Site& site, const Stage& stage, const Photo& photo, const PhotoPixels& picture,
                         const Camera& camera, const BounceSetup& setup, const Progress& progress)
    : state_(std::make_unique<State>(stage, camera)) {
    State& state = *state_;
    PhotoScan& scan = state.scan;
    state.look(site, setup, progress);
    const CameraLook plants = look_at_stage(stage, state.plants.kernel(), state.small);
    for (const PhotoMask& mask : photo.masks) {
        if (mask.kind != MaskKind::plant ||
            std::any_of(state.sights.begin(), state.sights.end(),
                        [&](const PlantSight& sight) { return sight.id == mask.plant; }))
            continue;
        state.sights.push_back(find_plant(site, stage, mask.plant, state.small, plants));
        if (state.sights.back().leaf_pixels.empty())
            scan.unseen_plants.push_back(mask.plant);
    }
    for (const Tree& tree : site.trees) {
        const bool is_masked = std::any_of(photo.masks.begin(), photo.masks.end(),
                                           [&](const PhotoMask& mask) { return mask.plant == tree.id; });
        const auto pixels = std::count_if(plants.face.begin(), plants.face.end(), [&](FaceKey face) {
            return surface_of(face) == stage.find_surface(tree.id);
        });
        if (!is_masked &&
            static_cast<double>(pixels) > least_seen_plant * static_cast<double>(plants.face.size()))
            scan.unmasked_trees.push_back(tree.id);
    }

    const std::vector<std::uint16_t> masks = fill_masks(photo.masks, picture.size);
    SkyLook sky;
    const std::vector<bool> is_sky = find_sky(picture, {.face = state.face, .distance = {}}, masks,
                                              photo.masks, 1 + camera.width / 480, sky);
    state.sort_parts(photo, masks, is_sky);
    const glm::vec3 scale(state.find_scale(photo, picture, masks));
    state.day.resize(state.count());
    parallel_for(static_cast<std::size_t>(camera.height), [&](std::size_t row) {
        const std::size_t from = row * static_cast<std::size_t>(camera.width);
        for (std::size_t pixel = from; pixel < from + static_cast<std::size_t>(camera.width); ++pixel)
            state.day[pixel] = scale * picture.linear_at(pixel);
    });
    state.part_plants(sky, is_sky, picture, scale);
    state.part_sky_edges(is_sky);

    const float sky_level = y_of(scale * glm::vec3(static_cast<float>(sky.luminance)));
    double blown_out = 0;
    for (std::size_t pixel = 0; pixel < state.count(); ++pixel) {
        PhotoPart& part = state.part[pixel];
        if (part == PhotoPart::pane &&
            y_of(state.day[pixel]) > muntin_times * y_of(state.coarse_at(state.coarse_day, pixel)))
            part = PhotoPart::solid; // bars before the glass
        if (part == PhotoPart::sky)
            state.day[pixel] *= by_pi / std::max(1e-9f, sky_level);
        const double one = 1.0 / static_cast<double>(state.count());
        scan.sky += part == PhotoPart::sky ? one : 0;
        scan.beyond += part == PhotoPart::beyond ? one : 0;
        scan.unlit += part == PhotoPart::unlit ? one : 0;
        scan.plants += part == PhotoPart::leaf || part == PhotoPart::trunk ? one : 0;
        if (part != PhotoPart::sky && picture.is_blown_out(pixel))
            blown_out += one;
    }
    scan.blown_out = blown_out;
}

RelightPlan::~RelightPlan() = default;

const PhotoScan& RelightPlan::scan() const {
    return state_->scan;
}

ViewImage RelightPlan::relight(const std::vector<LitFixture>& fixtures, double ambient_lx,
                               const BouncedLight& bounced, const Progress& progress) const {
    const State& state = *state_;
    const Stage& stage = state.stage;
    ViewImage solid =
        trace_view(stage, fixtures, state.coarse, ambient_lx, bounced, progress, &state.solid.kernel());
    std::vector<PlantRatio> leaves, trunks;
    if (!state.sights.empty()) {
        const std::vector<glm::vec3> night =
            trace_view(stage, fixtures, state.small, 0, bounced, {}, &state.plants.kernel()).luminance;
        for (const PlantSight& sight : state.sights) {
            leaves.emplace_back(state.small, sight.leaf_pixels, sight.leaf_blur, night, state.plants_day);
            trunks.emplace_back(state.small, sight.trunk_pixels, sight.trunk_blur, night, state.plants_day);
        }
    }
    ViewImage image{.camera = state.camera};
    image.luminance.resize(state.count());
    image.sky_return.resize(state.count());
    image.distance = state.distance;
    image.surface.resize(state.count());
    const auto ambient = static_cast<float>(ambient_lx);
    parallel_for(static_cast<std::size_t>(state.camera.height), [&](std::size_t row) {
        const auto width = static_cast<std::size_t>(state.camera.width);
        for (std::size_t pixel = row * width; pixel < (row + 1) * width; ++pixel) {
            const glm::vec3 day = state.day[pixel];
            glm::vec3 night = ambient * day;
            int surface = -1;
            switch (state.part[pixel]) {
            case PhotoPart::sky:
            case PhotoPart::beyond:
            case PhotoPart::unlit:
                break;
            case PhotoPart::solid:
                night = day * state.ratio_at(solid.luminance, pixel);
                surface = surface_of(state.face[pixel]);
                break;
            case PhotoPart::pane: // glass mirrors the day
                night = state.coarse_at(solid.luminance, pixel);
                surface = surface_of(state.face[pixel]);
                break;
            case PhotoPart::leaf:
            case PhotoPart::trunk: {
                const std::size_t index = state.plant[pixel];
                const bool is_leaf = state.part[pixel] == PhotoPart::leaf || !trunks[index].is_known();
                const PlantRatio& ratio = (is_leaf ? leaves : trunks)[index];
                if (ratio.is_known())
                    night = day * ratio.at(state.on_small(state.middle_of(pixel)));
                surface = state.sights[index].surface;
                break;
            }
            }
            const float own = static_cast<float>(state.share[pixel]) / 255;
            image.luminance[pixel] = own * night + (1 - own) * ambient * by_pi;
            image.sky_return[pixel] = own * day + (1 - own) * by_pi;
            image.surface[pixel] = surface;
        }
    });
    for (SeenLens lens : solid.lenses) {
        lens.place = state.on_coarse.back(lens.place);
        lens.radius *= state.on_coarse.step();
        image.lenses.push_back(lens);
    }
    return image;
}

ViewImage shrink_image(const ViewImage& image, int factor) {
    ViewImage small{.camera = image.camera};
    Camera& camera = small.camera;
    camera.width = std::max(1, image.camera.width / factor);
    camera.height = std::max(1, image.camera.height / factor);
    camera.pixels_per_tangent /= factor;
    camera.axis_offset =
        (image.camera.axis_offset + 0.5 * glm::dvec2(image.camera.width - factor * camera.width,
                                                     image.camera.height - factor * camera.height)) /
        static_cast<double>(factor);
    const std::size_t count =
        static_cast<std::size_t>(camera.width) * static_cast<std::size_t>(camera.height);
    small.luminance.resize(count);
    small.sky_return.resize(count);
    small.distance.resize(count);
    small.surface.resize(count);
    const float one = 1 / static_cast<float>(factor * factor);
    for (int y = 0; y < camera.height; ++y)
        for (int x = 0; x < camera.width; ++x) {
            const std::size_t to = small.pixel_at(x, y);
            for (int j = 0; j < factor; ++j)
                for (int i = 0; i < factor; ++i) {
                    const std::size_t from = image.pixel_at(factor * x + i, factor * y + j);
                    small.luminance[to] += one * image.luminance[from];
                    small.sky_return[to] += one * image.sky_return[from];
                }
            const std::size_t middle = image.pixel_at(factor * x + factor / 2, factor * y + factor / 2);
            small.distance[to] = image.distance[middle];
            small.surface[to] = image.surface[middle];
        }
    for (SeenLens lens : image.lenses) {
        lens.place /= factor;
        lens.radius /= factor;
        small.lenses.push_back(lens);
    }
    return small;
}

} // namespace duskcast
