#include <algorithm>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/photo/relight.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/sheets/view_picture.hpp"
#include "fixture_marks.hpp"
#include "light_scale.hpp"

namespace duskcast {
namespace {

/// Half a step of 8 bits either way, from the pixel's place alone: dark gradients show no bands.
double dither_at(std::size_t pixel) {
    auto bits = static_cast<std::uint32_t>(pixel) * 0x9E3779B9u;
    bits ^= bits >> 15;
    bits *= 0x85EBCA6Bu;
    bits ^= bits >> 13;
    return (static_cast<double>(bits >> 8) / (1 << 24) - 0.5) / 255;
}

template <class ColourAt>
Raster make_raster(const ViewImage& image, bool is_dithered, const ColourAt& colour_at, int first_row = 0) {
    Raster raster{image.camera.width, image.camera.height, {}, {}};
    raster.colour.resize(image.luminance.size());
    raster.opacity.assign(image.luminance.size(), 1.0);
    const auto width = static_cast<std::size_t>(image.camera.width);
    const std::size_t skipped = width * static_cast<std::size_t>(first_row);
    parallel_for(static_cast<std::size_t>(image.camera.height), [&](std::size_t row) {
        for (std::size_t i = row * width; i < (row + 1) * width; ++i) {
            raster.colour[i] = colour_at(i);
            if (is_dithered)
                for (double& channel : raster.colour[i])
                    channel += dither_at(skipped + i);
        }
    });
    return raster;
}

using PictureMark = NightPicture::Mark;

/// The lenses within an image.
std::vector<PictureMark> find_marks(const ViewImage& image, const std::vector<LitFixture>& fixtures) {
    std::vector<PictureMark> marks;
    for (std::size_t i = 0; i < fixtures.size(); ++i) {
        const Lens& lens = fixtures[i].lens;
        const auto place = image.camera.project(glm::dvec3(lens.centre));
        if (!place)
            continue;
        const int x = static_cast<int>(std::floor(place->x)), y = static_cast<int>(std::floor(place->y));
        if (x < 0 || y < 0 || x >= image.camera.width || y >= image.camera.height)
            continue;
        const double away = glm::distance(glm::dvec3(lens.centre), image.camera.eye);
        const double slack = lens.diameter + 0.02;
        marks.push_back(
            {i, *place, static_cast<double>(image.distance[image.pixel_at(x, y)]) < away - slack});
    }
    return marks;
}

/// A ring and a name at each lens; dashed and faint where something stands before it. No name lies on a ring
/// or on another name. `scale`: of the image in its box.
void draw_marks(Canvas& canvas, const std::vector<PictureMark>& marks,
                const std::vector<LitFixture>& fixtures, double scale, const Box& box, bool is_dark) {
    constexpr double ring = 11; // pixels, with what is round it
    const std::vector<glm::dvec2> ways = {{0, 1}, {0, -1}, {1, 0},  {-1, 0},
                                          {1, 1}, {-1, 1}, {1, -1}, {-1, -1}};
    const Colour colour = is_dark ? Colour{1.0, 0.87, 0.62} : Colour{0.30, 0.12, 0.32};
    const Colour rim = is_dark ? Colour{0.05, 0.05, 0.09} : Colour{1, 1, 1};
    const auto place_of = [&](const PictureMark& mark) {
        return glm::dvec2(box.left, box.top) + scale * mark.place;
    };
    LabelSpace space;
    for (const PictureMark& mark : marks) {
        const double opacity = mark.is_hidden ? 0.55 : 1.0;
        draw_lens_ring(canvas, place_of(mark), {colour, opacity}, {rim, 0.7 * opacity}, mark.is_hidden);
        space.take(Box::round(place_of(mark), glm::dvec2(2 * ring)));
    }
    for (const PictureMark& mark : marks) {
        const std::string& id = fixtures[mark.fixture].id;
        const double opacity = mark.is_hidden ? 0.55 : 1.0;
        const TextStyle style{.size = 15,
                              .is_bold = true,
                              .ink = {colour, opacity},
                              .halo = 2,
                              .halo_ink = {rim, 0.7 * opacity}};
        const auto label = label_mark(place_of(mark), ring, measure_text(id, style), box, ways, space);
        if (!label)
            continue;
        if (!label->leader.empty()) {
            canvas.line(label->leader, false, 3, {rim, 0.7 * opacity});
            canvas.line(label->leader, false, 1.2, {colour, opacity});
        }
        canvas.text(id, label->box.middle(), Anchor::middle, style);
    }
}

Box box_of(const Camera& camera) {
    return {0, 0, static_cast<double>(camera.width), static_cast<double>(camera.height)};
}

std::string draw_plain(const ViewImage& image, const ViewLook& look, const Raster& raster, bool is_dark) {
    const Box box = box_of(image.camera);
    Canvas canvas(box.right, box.bottom, picture_formats(false).front());
    canvas.image(raster, box, {}, false);
    draw_marks(canvas, find_marks(image, look.marks), look.marks, 1, box, is_dark);
    return canvas.finish();
}

/// The luminance scale under the heading, at the right.
void draw_luminance_scale(Canvas& canvas) {
    const Box bar = light_scale_bar();
    draw_colour_bar(canvas, bar, dusk_colour);
    std::vector<BarFigure> figures;
    for (const double tick : {0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0})
        figures.push_back({luminance_place(tick), print_number(tick)});
    draw_bar_figures(canvas, bar, figures, -1, text_ink, text_ink);
    draw_bar_unit(canvas, bar, "cd/m²", -1, text_ink);
    canvas.text("Logarithmic, the same on every luminance plate. Darker than 0.01: darkest colour.",
                {bar.right, bar.bottom + 14}, Anchor::right, {.size = 13, .ink = quiet_ink});
}

constexpr int most_across = 1600;
constexpr double gap = 8; // pixels between the two

std::string draw_side_by_side(const Raster& left, const Raster& right) {
    const double width = left.width, height = left.height;
    Canvas canvas(2 * width + gap, height, picture_formats(false).front());
    canvas.image(left, {0, 0, width, height}, {}, false);
    canvas.image(right, {width + gap, 0, 2 * width + gap, height}, {}, false);
    return canvas.finish();
}

/// Means of the linear pixels, encoded again.
Raster shrink_photo(const PhotoPixels& photo, int factor) {
    Raster raster{photo.size.x / factor, photo.size.y / factor, {}, {}};
    const double one = 1.0 / (factor * factor);
    for (int y = 0; y < raster.height; ++y)
        for (int x = 0; x < raster.width; ++x) {
            glm::dvec3 sum{0};
            for (int j = 0; j < factor; ++j)
                for (int i = 0; i < factor; ++i)
                    sum +=
                        one * glm::dvec3(photo.linear_at(
                                  static_cast<std::size_t>(factor * y + j) * photo.size.x + factor * x + i));
            raster.colour.push_back({encode_srgb(sum.x), encode_srgb(sum.y), encode_srgb(sum.z)});
        }
    raster.opacity.assign(raster.colour.size(), 1.0);
    return raster;
}

} // namespace

NightLight::NightLight(const ViewImage& image, const ViewLook& look)
    : image_(image), ambient_lx_(look.ambient_lx), brighter_(std::exp2(look.stops)),
      backdrop_(look.sky, look.ambient_lx), glare_(make_glare(image)) {}

glm::dvec3 NightLight::at(std::size_t pixel) const {
    const OpenLight open = find_open_light(image_, ambient_lx_, pixel);
    const glm::dvec3 own =
        glm::max(glm::dvec3(0), glm::dvec3(image_.drawn_luminance()[pixel]) - open.luminance);
    return (own + glm::dvec3(glare_[pixel])) * brighter_ +
           backdrop_.fill_lx() * (glm::dvec3(image_.drawn_sky()[pixel]) - open.sky_return) +
           backdrop_.light_on(image_, pixel);
}

Raster make_night_raster(const NightLight& light, int first_row) {
    return make_raster(
        light.image(), true, [&](std::size_t i) { return night_colour(light.at(i)); }, first_row);
}

Raster make_night_raster(const ViewImage& image, const ViewLook& look, int first_row) {
    return make_night_raster(NightLight(image, look), first_row);
}

Raster make_day_raster(const ViewImage& image) {
    constexpr double sun_lx = 60'000, sky_lx = 15'000;
    constexpr double white = 17'000; // cd/m2 that fill the screen: white paint in the sun, nearly
    static const glm::dvec3 sun_colour = light_colour(5500);
    return make_raster(image, true, [&](std::size_t i) {
        const bool is_sky = image.surface[i] < 0;
        glm::dvec3 light = sun_lx * sun_colour * glm::dvec3(image.drawn_sun()[i]) +
                           sky_lx * glm::dvec3(image.drawn_sky()[i]);
        if (is_sky) // a little brighter than its light on the ground says, as skies near the sun's side are
            light *= 1.6;
        light /= white;
        // Highlights roll off instead of clipping.
        const auto shoulder = [](double c) {
            return c < 0.6 ? c : 0.6 + 0.4 * (1 - std::exp(-(c - 0.6) / 0.4));
        };
        return Colour{encode_srgb(shoulder(light.x)), encode_srgb(shoulder(light.y)),
                      encode_srgb(shoulder(light.z))};
    });
}

std::string draw_night_picture(const ViewImage& image, const ViewLook& look) {
    return draw_plain(image, look, make_night_raster(image, look), true);
}

std::string draw_night_pair(const ViewImage& before, const ViewImage& after, const ViewLook& look) {
    return draw_side_by_side(make_night_raster(before, look), make_night_raster(after, look));
}

std::string draw_day_picture(const ViewImage& image, const ViewLook& look) {
    return draw_plain(image, look, make_day_raster(image), false);
}

std::string draw_luminance_plate(const ViewImage& image, const ViewLook& look, const std::string& title,
                                 const std::string& detail) {
    const double wide = page_width - 2 * page_margin;
    const double high = wide * image.camera.height / image.camera.width;
    const Box box{page_margin, heading_height, page_margin + wide, heading_height + high};
    Canvas canvas(page_width, std::ceil(box.bottom + 60), picture_formats(false).front());
    canvas.text(title, {page_margin, 58}, Anchor::left, {.size = 32, .is_bold = true, .ink = text_ink});
    canvas.paragraph(detail, {page_margin, 84}, wide - 730, {.size = 15, .ink = quiet_ink});
    draw_luminance_scale(canvas);
    const std::vector<glm::vec3> pixels = luminance_with_lenses(image);
    canvas.image(make_raster(image, false,
                             [&](std::size_t i) {
                                 return dusk_colour(luminance_place(luminance_of(glm::dvec3(pixels[i]))));
                             }),
                 box, {}, true);
    draw_marks(canvas, find_marks(image, look.marks), look.marks, wide / image.camera.width, box, true);
    canvas.text(
        "Estimate; surfaces are taken as matt. Lamps, dirt, voltage and aiming shift it. Check after dark.",
        {page_margin, box.bottom + 30}, Anchor::left, {.size = 14, .ink = quiet_ink});
    return canvas.finish();
}

int find_shrink(glm::ivec2 size) {
    return std::max(1, (std::max(size.x, size.y) + most_across - 1) / most_across);
}

Raster make_photo_raster(const PhotoPixels& photo) {
    return shrink_photo(photo, find_shrink(photo.size));
}

Raster make_photo_raster(const ViewImage& night, const ViewLook& look) {
    const int factor = find_shrink({night.camera.width, night.camera.height});
    return make_night_raster(factor == 1 ? night : shrink_image(night, factor), look);
}

NightPicture::NightPicture(const Camera& camera, const ViewLook& look)
    : look_(look), box_(box_of(camera)), canvas_(box_.right, box_.bottom, picture_formats(false).front()) {}

void NightPicture::add(const ViewImage& strip, int from) {
    const Box box{0, static_cast<double>(from), box_.right, static_cast<double>(from + strip.camera.height)};
    canvas_.image(make_night_raster(strip, look_, from), box, {}, false);
    for (PictureMark mark : find_marks(strip, look_.marks)) {
        mark.place.y += from;
        marks_.push_back(mark);
    }
}

std::string NightPicture::finish() {
    sort_stably(marks_, [](const PictureMark& a, const PictureMark& b) { return a.fixture < b.fixture; });
    draw_marks(canvas_, marks_, look_.marks, 1, box_, true);
    return canvas_.finish();
}

std::string draw_photo_pair(const PhotoPixels& photo, const ViewImage& night, const ViewLook& look) {
    return draw_side_by_side(make_photo_raster(photo), make_night_raster(night, look));
}

} // namespace duskcast
