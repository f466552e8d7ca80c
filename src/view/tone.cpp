#include <algorithm>
#include <cmath>

#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/view/tone.hpp"

namespace duskcast {
namespace {

constexpr double glare_reach = 4; // degrees

/// f1 and f2 per steradian, theta in degrees. f0, the core, is the lens itself.
double glare_at(double theta) {
    const double off = theta + 0.02;
    return 0.478 * 20.91 / (off * off * off) + 0.154 * 72.37 / (off * off);
}

constexpr double glare_share = 1 - 0.368;

/// Shares of a disk on the pixels round it, by 4 x 4 spots a pixel; at least a pixel wide, so that it is met.
template <class Visit> void cover_disk(const Camera& camera, const SeenLens& lens, const Visit& visit) {
    const double radius = std::max(lens.radius, 0.7);
    const int left = static_cast<int>(std::floor(lens.place.x - radius));
    const int top = static_cast<int>(std::floor(lens.place.y - radius));
    const int size = static_cast<int>(std::ceil(2 * radius)) + 2;
    constexpr int parts = 4;
    std::vector<int> covered;
    int all = 0;
    for (int y = top; y < top + size; ++y)
        for (int x = left; x < left + size; ++x) {
            int count = 0;
            for (int j = 0; j < parts; ++j)
                for (int i = 0; i < parts; ++i) {
                    const glm::dvec2 spot(x + (i + 0.5) / parts, y + (j + 0.5) / parts);
                    count += glm::distance(spot, lens.place) < radius ? 1 : 0;
                }
            covered.push_back(count);
            all += count;
        }
    if (all == 0)
        return;
    std::size_t at = 0;
    for (int y = top; y < top + size; ++y)
        for (int x = left; x < left + size; ++x, ++at)
            if (covered[at] > 0 && x >= 0 && y >= 0 && x < camera.width && y < camera.height)
                visit(x, y, static_cast<double>(covered[at]) / all);
}

void add_disk(const ViewImage& image, const SeenLens& lens, double share, std::vector<glm::vec3>& pixels) {
    cover_disk(image.camera, lens, [&](int x, int y, double part) {
        const double omega = image.camera.solid_angle_at({x + 0.5, y + 0.5});
        pixels[image.pixel_at(x, y)] += glm::vec3(lens.eye_lx * (share * part / omega));
    });
}

/// encode_srgb to about 1e-7, in a third of its time.
double encode_quickly(double linear) {
    const float c = static_cast<float>(std::clamp(linear, 0.0, 1.0));
    return c <= 0.0031308f ? 12.92f * c : 1.055f * std::pow(c, 1 / 2.4f) - 0.055f;
}

double scale_for_eye(double luminance) {
    return 0.18 * std::sqrt(luminance * (luminance + night_toe) /
                            (night_adaptation * (night_adaptation + night_toe)));
}

/// night_tone of a luminance that the exposure is already in.
double tone_of(double luminance) {
    static const double white = scale_for_eye(night_white);
    const double s = scale_for_eye(std::max(0.0, luminance));
    return std::min(1.0, s * (1 + s / (white * white)) / (1 + s));
}

} // namespace

double night_tone(double luminance, double stops) {
    return tone_of(luminance * std::exp2(stops));
}

glm::dvec3 night_white_colour() {
    constexpr double lamp_kelvin = 2700, adapted = 0.66;
    static const glm::dvec3 white = glm::mix(glm::dvec3(1), light_colour(lamp_kelvin), adapted);
    return white;
}

glm::dvec3 night_grey_colour() {
    static const glm::dvec3 grey = [] {
        const glm::dvec3 tint(0.86, 0.98, 1.30);
        return tint / luminance_of(tint);
    }();
    return grey;
}

double night_colourfulness(double luminance) {
    constexpr double none = 0.003, all = 1;
    return luminance <= none ? 0 : luminance >= all ? 1 : std::log(luminance / none) / std::log(all / none);
}

Colour night_colour(const glm::dvec3& luminance, double stops) {
    const double y = luminance_of(luminance);
    if (!(y > 0))
        return {0, 0, 0};
    glm::dvec3 hue = glm::max(luminance, glm::dvec3(0)) / night_white_colour();
    hue /= luminance_of(hue);
    hue = glm::mix(night_grey_colour(), hue, night_colourfulness(y));
    const double brighter = stops == 0 ? 1 : std::exp2(stops), tone = tone_of(brighter * y);
    // What the screen cannot show that bright in that colour loses colour, not brightness.
    const double most = std::max({hue.x, hue.y, hue.z});
    const double keep = most * tone > 1 && most > 1 ? std::max(0.0, (1 / tone - 1) / (most - 1)) : 1;
    const glm::dvec3 even = tone * glm::mix(glm::dvec3(1), hue, keep);
    // By itself that draws a line round the hot core of a beam on brick; a curve for each channel does not.
    Colour colour;
    for (int i = 0; i < 3; ++i)
        colour[i] = encode_quickly(0.5 * (even[i] + tone_of(brighter * (y * hue[i]))));
    return colour;
}

std::vector<glm::vec3> make_glare(const ViewImage& image) {
    const Camera& camera = image.camera;
    std::vector<glm::vec3> glare(image.luminance.size(), glm::vec3(0));
    for (const SeenLens& lens : image.lenses) {
        add_disk(image, lens, 1 - glare_share, glare);
        // Pixels are counted beyond the image's edge as well, so that the sum is the light's, wherever it is.
        const double degree = radians_from_degrees(1) * camera.pixels_per_tangent;
        const int reach = static_cast<int>(std::ceil(glare_reach * degree));
        const int middle_x = static_cast<int>(std::floor(lens.place.x));
        const int middle_y = static_cast<int>(std::floor(lens.place.y));
        if (middle_y + reach < 0 || middle_y - reach >= camera.height)
            continue;
        const auto weight_at = [&](int x, int y) {
            // A lens of some size is spread from all of its disk: no sharper than that.
            const double off = glm::distance(glm::dvec2(x + 0.5, y + 0.5), lens.place);
            const double theta = std::max(0.35, std::hypot(off, lens.radius)) / degree;
            return theta < glare_reach ? glare_at(theta) * (1 - theta / glare_reach) : 0.0;
        };
        double all = 0;
        for (int y = middle_y - reach; y <= middle_y + reach; ++y)
            for (int x = middle_x - reach; x <= middle_x + reach; ++x)
                all += weight_at(x, y);
        for (int y = std::max(0, middle_y - reach); y <= std::min(camera.height - 1, middle_y + reach); ++y)
            for (int x = std::max(0, middle_x - reach); x <= std::min(camera.width - 1, middle_x + reach);
                 ++x) {
                const double omega = camera.solid_angle_at({x + 0.5, y + 0.5});
                glare[image.pixel_at(x, y)] +=
                    glm::vec3(lens.eye_lx * (glare_share * weight_at(x, y) / all / omega));
            }
    }
    return glare;
}

double luminance_place(double luminance) {
    if (!(luminance > luminance_low))
        return 0;
    return std::min(1.0, std::log(luminance / luminance_low) / std::log(luminance_high / luminance_low));
}

std::vector<glm::vec3> luminance_with_lenses(const ViewImage& image) {
    std::vector<glm::vec3> pixels = image.luminance;
    for (const SeenLens& lens : image.lenses)
        add_disk(image, lens, 1, pixels);
    return pixels;
}

} // namespace duskcast
