// A picture is traced in two rounds: a few rays in every pixel, then more where those or neighbours differ,
// and most where they differ much.

#include "duskcast/view/view_trace.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "view_tracer.hpp"

namespace duskcast {

namespace {

constexpr int tile_side = 16; // pixels that lie together look past the same facets
constexpr std::size_t block_size = tile_side * tile_side;

/// All pixels, those of a tile one after the other.
std::vector<std::uint32_t> list_by_tiles(const ViewImage& image) {
    const int width = image.camera.width, height = image.camera.height;
    std::vector<std::uint32_t> pixels;
    pixels.reserve(static_cast<std::size_t>(width) * height);
    for (int top = 0; top < height; top += tile_side)
        for (int left = 0; left < width; left += tile_side)
            for (int y = top; y < std::min(height, top + tile_side); ++y)
                for (int x = left; x < std::min(width, left + tile_side); ++x)
                    pixels.push_back(static_cast<std::uint32_t>(image.pixel_at(x, y)));
    return pixels;
}

} // namespace

ViewImage trace_view(const Stage& stage, const std::vector<LitFixture>& fixtures, const Camera& camera,
                     double ambient_lx, const BouncedLight& bounced, const Progress& progress,
                     const RayKernel* seen, Detail detail) {
    ViewImage image{.camera = camera};
    const std::size_t count = static_cast<std::size_t>(camera.width) * camera.height;
    image.luminance.resize(count);
    image.sky_return.resize(count);
    image.sun_return.resize(count);
    image.open_share.resize(count);
    image.distance.resize(count);
    image.surface.resize(count);
    std::vector<Sums> sums(count);
    std::vector<std::uint8_t> differs(count);
    const bool is_whole = !seen || seen == stage.kernel.get();
    const bool has_fine = is_whole && detail != Detail::facets,
               has_sun = is_whole && detail != Detail::fine_by_night;
    const std::optional<CloseUps> close_ups =
        has_fine ? std::optional<CloseUps>(std::in_place, stage) : std::nullopt;
    const bool has_close_ups = close_ups && !close_ups->is_empty();
    const std::unique_ptr<LeafLook> leaf_look = has_fine ? LeafLook::make(stage, camera) : nullptr;
    const ViewTracer tracer(stage, fixtures, camera, ambient_lx, bounced, seen ? *seen : *stage.kernel,
                            has_close_ups ? &*close_ups : nullptr, leaf_look.get(), has_fine, has_sun);
    const auto trace_pixels = [&](const std::vector<std::uint32_t>& pixels, int first, int last, double done,
                                  double part) {
        const std::size_t band = 512 * block_size; // between two calls of `progress`
        for (std::size_t from = 0; from < pixels.size(); from += band) {
            const std::size_t to = std::min(pixels.size(), from + band);
            const std::size_t blocks = (to - from + block_size - 1) / block_size;
            parallel_for(blocks, [&](std::size_t block) {
                const std::size_t start = from + block * block_size;
                tracer.trace(pixels, start, std::min(to, start + block_size), first, last, sums, differs,
                             image);
            });
            if (progress)
                progress(done + part * static_cast<double>(to) / static_cast<double>(pixels.size()));
        }
    };
    std::vector<std::uint32_t> pixels = list_by_tiles(image);
    trace_pixels(pixels, 0, pilot_samples, 0, 0.4);

    // More where a pixel differs from its right or lower neighbour.
    const auto compare = [&](std::size_t a, std::size_t b) {
        const auto place = [&](std::size_t i) {
            return place_on_screen(sums[i].luminance / float(pilot_samples));
        };
        const auto [low, high] = std::minmax({place(a), place(b)});
        if (image.surface[a] == image.surface[b] && high - low <= 0.05f)
            return;
        // The sky behind the picture may be brighter than the rays tell.
        const bool is_much = are_much_apart(low, high) || sums[a].fine.open != sums[b].fine.open;
        for (const std::size_t i : {a, b})
            differs[i] |= is_much ? differs_even | differs_much : differs_even;
    };
    for (int y = 0; y < camera.height; ++y)
        for (int x = 0; x < camera.width; ++x) {
            if (x + 1 < camera.width)
                compare(image.pixel_at(x, y), image.pixel_at(x + 1, y));
            if (y + 1 < camera.height)
                compare(image.pixel_at(x, y), image.pixel_at(x, y + 1));
        }
    std::erase_if(pixels, [&](std::uint32_t i) { return differs[i] == 0; });
    for (const std::uint32_t i : pixels)
        sums[i].is_done = (differs[i] & differs_even) == 0;
    const auto take_out = [&](std::uint8_t why) {
        const auto first = std::stable_partition(pixels.begin(), pixels.end(),
                                                 [&](std::uint32_t i) { return (differs[i] & why) == 0; });
        std::vector<std::uint32_t> taken(first, pixels.end());
        pixels.erase(first, pixels.end());
        return taken;
    };
    trace_pixels(take_out(differs_much), pilot_samples, all_samples, 0.4, 0.5);
    trace_pixels(pixels, pilot_samples, some_samples, 0.9, 0.05);
    // Figures do not depend on what is shown close by.
    pixels = take_out(differs_close_by);
    for (const std::uint32_t i : pixels)
        sums[i].is_done = true;
    trace_pixels(pixels, some_samples, all_samples, 0.95, 0.05);
    for (std::size_t i = 0; i < count; ++i) {
        const float share = 1 / static_cast<float>(sums[i].samples);
        image.luminance[i] = share * sums[i].luminance;
        image.sky_return[i] = share * sums[i].sky;
        image.sun_return[i] = share * sums[i].sun;
        const float fine_share = 1 / static_cast<float>(sums[i].fine.samples);
        image.open_share[i] = fine_share * static_cast<float>(sums[i].fine.open);
        if (has_fine) {
            image.fine.luminance.push_back(fine_share * sums[i].fine.luminance);
            image.fine.sky_return.push_back(fine_share * sums[i].fine.sky);
            image.fine.sun_return.push_back(fine_share * sums[i].fine.sun);
        }
    }
    if (detail == Detail::fine_by_night)
        image.sun_return.clear(), image.fine.sun_return.clear();
    image.lenses = find_lenses(stage, fixtures, camera);
    return image;
}

} // namespace duskcast
