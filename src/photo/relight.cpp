#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/problem.hpp"
#include "duskcast/photo/shrink_photo.hpp"
#include "relight_state.hpp"

namespace duskcast {
namespace {

constexpr float muntin_times = 2.5f;       // as bright as glass would be by what it reflects: bars before it
constexpr double least_seen_plant = 0.003; // of the picture: a smaller one needs no mask
constexpr float by_pi = static_cast<float>(1 / pi);

/// A picture with pixels `factor` times as large, still empty.
ViewImage make_shrunk(const Camera& whole, const std::vector<SeenLens>& lenses, int factor) {
    ViewImage small{.camera = shrink_camera(whole, factor)};
    const Camera& camera = small.camera;
    const std::size_t count =
        static_cast<std::size_t>(camera.width) * static_cast<std::size_t>(camera.height);
    small.luminance.resize(count);
    small.sky_return.resize(count);
    small.distance.resize(count);
    small.surface.resize(count);
    for (SeenLens lens : lenses) {
        lens.place /= factor;
        lens.radius /= factor;
        small.lenses.push_back(lens);
    }
    return small;
}

/// Means of a strip's pixels, from that row of the smaller picture on.
void shrink_rows(const ViewImage& strip, int factor, int to_row, ViewImage& small) {
    const float one = 1 / static_cast<float>(factor * factor);
    for (int y = 0; y < strip.camera.height / factor; ++y)
        for (int x = 0; x < small.camera.width; ++x) {
            const std::size_t to = small.pixel_at(x, to_row + y);
            for (int j = 0; j < factor; ++j)
                for (int i = 0; i < factor; ++i) {
                    const std::size_t from = strip.pixel_at(factor * x + i, factor * y + j);
                    small.luminance[to] += one * strip.luminance[from];
                    small.sky_return[to] += one * strip.sky_return[from];
                }
            const std::size_t middle = strip.pixel_at(factor * x + factor / 2, factor * y + factor / 2);
            small.distance[to] = strip.distance[middle];
            small.surface[to] = strip.surface[middle];
        }
}

} // namespace

struct NightPhoto::Light {
    const RelightPlan::State& state;
    float ambient = 0;
    std::vector<glm::vec3> solid{}; ///< the coarse picture without plants
    std::vector<PlantRatio> leaves{}, trunks{};
    std::vector<SeenLens> lenses{};
};

glm::vec3 RelightPlan::State::coarse_at(const std::vector<glm::vec3>& values, std::size_t pixel) const {
    glm::vec3 sum{0};
    float weights = 0;
    visit_coarse(pixel, [&](std::size_t at, float weight) {
        sum += weight * values[at];
        weights += weight;
    });
    return weights > 0 ? sum / weights : glm::vec3(0);
}

RelightPlan::State::Coarse RelightPlan::State::mix_coarse(const std::vector<glm::vec3>& night,
                                                          std::size_t pixel) const {
    Coarse mix{.distance = 0};
    float weights = 0;
    visit_coarse(pixel, [&](std::size_t at, float weight) {
        mix.night += weight * night[at];
        mix.day += weight * coarse_day[at];
        mix.distance += weight * coarse_look.distance[at];
        weights += weight;
    });
    if (!(weights > 0))
        return {};
    mix.night /= weights;
    mix.day /= weights;
    mix.distance /= weights;
    return mix;
}

RelightPlan::RelightPlan(const Site& site, const Stage& stage, const Photo& photo, const PhotoPixels& picture,
                         const Camera& camera, const BounceSetup& setup, const Progress& progress)
    : state_(std::make_unique<State>(stage, camera)) {
    State& state = *state_;
    PhotoScan& scan = state.scan;
    state.look(site, photo, setup, progress);
    scan.is_sunny = photo.sun.has_value();
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
    const std::vector<bool> is_sky =
        find_sky(picture, state.face, masks, photo.masks, 1 + camera.width / 480, sky);
    state.sort_parts(photo, masks, is_sky);
    const glm::vec3 scale(state.find_scale(photo, picture, masks));
    state.day.resize(state.count());
    parallel_for(static_cast<std::size_t>(camera.height), [&](std::size_t row) {
        const std::size_t from = row * static_cast<std::size_t>(camera.width);
        for (std::size_t pixel = from; pixel < from + static_cast<std::size_t>(camera.width); ++pixel)
            state.day[pixel] = ShortColour(scale * picture.linear_at(pixel));
    });
    state.part_plants(sky, is_sky, picture, scale);
    state.part_sky_edges(is_sky);

    const float sky_level = y_of(scale * glm::vec3(static_cast<float>(sky.luminance)));
    double blown_out = 0;
    for (std::size_t pixel = 0; pixel < state.count(); ++pixel) {
        PhotoPart& part = state.part[pixel];
        if (part == PhotoPart::pane &&
            y_of(state.day[pixel].linear()) > muntin_times * y_of(state.coarse_at(state.coarse_day, pixel)))
            part = PhotoPart::solid; // bars before the glass
        if (part == PhotoPart::sky)
            state.day[pixel] = ShortColour(by_pi / std::max(1e-9f, sky_level) * state.day[pixel].linear());
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
    return trace(fixtures, ambient_lx, bounced, progress).rows(0, state_->camera.height);
}

NightPhoto RelightPlan::trace(const std::vector<LitFixture>& fixtures, double ambient_lx,
                              const BouncedLight& bounced, const Progress& progress) const {
    const State& state = *state_;
    auto light = std::make_unique<NightPhoto::Light>(NightPhoto::Light{.state = state});
    light->ambient = static_cast<float>(ambient_lx);
    ViewImage solid =
        trace_view(state.stage, fixtures, state.coarse, ambient_lx, bounced, progress, &state.solid.kernel());
    light->solid = std::move(solid.luminance);
    for (SeenLens lens : solid.lenses) {
        lens.place = state.on_coarse.back(lens.place);
        lens.radius *= state.on_coarse.step();
        light->lenses.push_back(lens);
    }
    if (!state.sights.empty()) {
        const std::vector<glm::vec3> night =
            trace_view(state.stage, fixtures, state.small, 0, bounced, {}, &state.plants.kernel()).luminance;
        for (const PlantSight& sight : state.sights) {
            light->leaves.emplace_back(state.small, sight.leaf_pixels, sight.leaf_blur, night,
                                       state.plants_day);
            light->trunks.emplace_back(state.small, sight.trunk_pixels, sight.trunk_blur, night,
                                       state.plants_day);
        }
    }
    return NightPhoto(std::move(light));
}

NightPhoto::NightPhoto(std::unique_ptr<const Light> light) : light_(std::move(light)) {}
NightPhoto::NightPhoto(NightPhoto&&) noexcept = default;
NightPhoto::~NightPhoto() = default;

const Camera& NightPhoto::camera() const {
    return light_->state.camera;
}

ViewImage NightPhoto::rows(int from, int to) const {
    const RelightPlan::State& state = light_->state;
    ViewImage image{.camera = crop_rows(state.camera, from, to)};
    const auto width = static_cast<std::size_t>(image.camera.width);
    const std::size_t count = width * static_cast<std::size_t>(image.camera.height),
                      skipped = width * static_cast<std::size_t>(from);
    image.luminance.resize(count);
    image.sky_return.resize(count);
    image.distance.resize(count);
    image.surface.resize(count);
    parallel_for(static_cast<std::size_t>(image.camera.height), [&](std::size_t row) {
        for (std::size_t at = row * width; at < (row + 1) * width; ++at) {
            const Pixel pixel = find_pixel(skipped + at);
            image.luminance[at] = pixel.luminance;
            image.sky_return[at] = pixel.sky_return;
            image.distance[at] = pixel.distance;
            image.surface[at] = pixel.surface;
        }
    });
    for (SeenLens lens : light_->lenses) {
        lens.place.y -= from;
        image.lenses.push_back(lens);
    }
    return image;
}

NightPhoto::Pixel NightPhoto::find_pixel(std::size_t at) const {
    const RelightPlan::State& state = light_->state;
    const glm::vec3 day = state.day[at].linear();
    const PhotoPart part = state.part[at];
    Pixel pixel;
    glm::vec3 night = light_->ambient * day;
    RelightPlan::State::Coarse coarse;
    if (state.face[at] != no_face)
        coarse = state.mix_coarse(light_->solid, at);
    pixel.distance = coarse.distance;
    const std::uint16_t index = state.plant[at];
    if (index != no_plant)
        pixel.distance =
            static_cast<float>(glm::distance(state.place_at(state.sights[index], at), state.camera.eye));
    switch (part) {
    case PhotoPart::sky:
    case PhotoPart::beyond:
    case PhotoPart::unlit:
        break;
    case PhotoPart::solid:
        night = day * (coarse.night / glm::max(coarse.day, glm::vec3(1e-9f)));
        pixel.surface = surface_of(state.face[at]);
        break;
    case PhotoPart::pane: // glass mirrors the day
        night = coarse.night;
        pixel.surface = surface_of(state.face[at]);
        break;
    case PhotoPart::leaf:
    case PhotoPart::trunk: {
        const bool is_leaf = part == PhotoPart::leaf || !light_->trunks[index].is_known();
        const PlantRatio& ratio = (is_leaf ? light_->leaves : light_->trunks)[index];
        if (ratio.is_known())
            night = day * ratio.at(state.on_small(state.middle_of(at)));
        pixel.surface = state.sights[index].surface;
        break;
    }
    }
    const float own = static_cast<float>(state.share[at]) / 255;
    pixel.luminance = own * night + (1 - own) * light_->ambient * by_pi;
    pixel.sky_return = own * day + (1 - own) * by_pi;
    return pixel;
}

ViewImage NightPhoto::shrunk(int factor) const {
    return visit_strips(factor, [](const ViewImage&, int) {});
}

ViewImage NightPhoto::visit_strips(int factor,
                                   const std::function<void(const ViewImage&, int from)>& visit) const {
    ViewImage small = make_shrunk(camera(), light_->lenses, factor);
    constexpr std::size_t pixels_a_strip = 400'000; // some 15 MB
    const int lines =
        factor *
        std::max(1, static_cast<int>(pixels_a_strip / static_cast<std::size_t>(camera().width)) / factor);
    for (int from = (camera().height - 1) / lines * lines; from >= 0; from -= lines) {
        const ViewImage strip = rows(from, std::min(camera().height, from + lines));
        shrink_rows(strip, factor, from / factor, small);
        visit(strip, from);
    }
    return small;
}

Camera crop_rows(const Camera& camera, int from, int to) {
    Camera strip = camera;
    strip.height = to - from;
    strip.axis_offset.y += 0.5 * (camera.height - strip.height) - from;
    return strip;
}

ViewImage shrink_image(const ViewImage& image, int factor) {
    ViewImage small = make_shrunk(image.camera, image.lenses, factor);
    shrink_rows(image, factor, 0, small);
    return small;
}

} // namespace duskcast
