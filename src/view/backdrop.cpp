#include "duskcast/view/backdrop.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/random.hpp"
#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {
namespace {

glm::dvec3 tinted(double luminance, const glm::dvec3& tint) {
    return luminance / luminance_of(tint) * tint;
}

constexpr double smooth_step(double from, double to, double value) {
    const double t = std::clamp((value - from) / (to - from), 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

/// A number 0..1 for a place on the horizon, always the same.
double chance(std::uint64_t place, std::uint64_t salt) {
    return static_cast<double>(mix_bits(join_seeds(place, salt)) >> 11) * 0x1p-53;
}

/// Round heads side by side, 0 to 1: in every cell of the horizon one, as wide and as high as chance has it.
/// `foot`: how high it is where it ends, as a share of its top.
double heads(double azimuth, int cells, double lowest, double foot, std::uint64_t salt) {
    const double turn = azimuth / (2 * pi);
    const double at = (turn - std::floor(turn)) * cells;
    const int own = static_cast<int>(at);
    double highest = 0;
    for (int cell = own - 1; cell <= own + 1; ++cell) {
        const auto number = static_cast<std::uint64_t>((cell + cells) % cells);
        const double middle = cell + 0.2 + 0.6 * chance(number, salt);
        const double half = 0.7 + 0.5 * chance(number, salt + 1);
        const double off = (at - middle) / half;
        if (std::abs(off) < 1)
            highest = std::max(highest, (lowest + (1 - lowest) * chance(number, salt + 2)) *
                                            (foot + (1 - foot) * std::sqrt(1 - off * off)));
    }
    return highest;
}

/// Crowns with boughs of 3 m and clumps of leaves of 1 m and 0.4 m on their outline, seen from 200 m (by
/// eye).
double foliage(double azimuth, std::uint64_t salt) {
    return 0.0060 * heads(azimuth, 410, 0.2, 0, salt) + 0.0042 * heads(azimuth, 1270, 0, 0, salt + 3) +
           0.0022 * heads(azimuth, 3310, 0, 0, salt + 6);
}

/// Lux on level ground of a sky of exp(-sine / k) cd/m2: 2 pi times the integral of sine exp(-sine / k).
double fading_sky_lux(double k) {
    return 2 * pi * k * k * (1 - std::exp(-1 / k) * (1 + 1 / k));
}

constexpr double horizon_fall = 0.22, glow_fall = 0.07; ///< in the sine of the height

constexpr double tallest_tree = 0.1; ///< no far_trees_height is more

constexpr double fading = 0.0012; ///< over which the outline of far trees fades, radians

} // namespace

double far_trees_height(double azimuth) {
    // 8 to 15 m high and some 200 m away (by eye).
    return std::max(0.055 * heads(azimuth, 150, 0.45, 0.55, 1), 0.07 * heads(azimuth, 67, 0.29, 0.55, 11)) +
           0.016 + foliage(azimuth, 31);
}

Backdrop::Backdrop(NightSky sky, double ambient_lx) {
    // Luminances by eye, so that at one exposure lit walls stand out at every hour; the colours as well. An
    // hour after sunset a clear sky gives some 0.1 lux with street glow, half an hour after it some units
    // (from memory). What lies under a sky is lit by that sky.
    switch (sky) {
    case NightSky::late:
        zenith_ = tinted(0.040, {0.66, 0.94, 1.75});
        horizon_ = tinted(0.110, {0.82, 0.98, 1.38});
        break;
    case NightSky::blue_hour:
        zenith_ = tinted(0.16, {0.36, 0.86, 2.9});
        horizon_ = tinted(0.50, {0.66, 0.96, 1.95});
        glow_ = tinted(0.16, {1.30, 0.92, 0.95});
        break;
    case NightSky::dusk:
        zenith_ = tinted(0.45, {0.48, 0.92, 2.3});
        horizon_ = tinted(1.25, {0.90, 0.98, 1.40});
        glow_ = tinted(1.5, {1.75, 0.84, 0.50});
        break;
    }
    fill_ = pi * luminance_of(zenith_) + fading_sky_lux(horizon_fall) * luminance_of(horizon_ - zenith_) +
            fading_sky_lux(glow_fall) * luminance_of(glow_);
    const double more = std::max(1.0, ambient_lx / fill_);
    zenith_ *= more, horizon_ *= more, glow_ *= more;
    fill_ = std::max(0.0, fill_ - ambient_lx);
}

glm::dvec3 Backdrop::sky_at(double sine) const {
    const double up = std::max(0.0, sine);
    return zenith_ + (horizon_ - zenith_) * std::exp(-up / horizon_fall) + glow_ * std::exp(-up / glow_fall);
}

glm::dvec3 Backdrop::trees() const {
    constexpr double haze = 0.16; // of the sky's light before them
    return haze * (horizon_ + 0.5 * glow_);
}

glm::dvec3 Backdrop::light_from(const glm::dvec3& direction) const {
    const double height = std::asin(std::clamp(direction.z, -1.0, 1.0));
    if (height > tallest_tree)
        return sky_at(direction.z);
    const double azimuth = std::atan2(direction.x, direction.y), top = far_trees_height(azimuth);
    const double is_sky = smooth_step(top - fading, top + fading, height);
    // A row before them stands darker, and the feet of all lie in more haze than their tops.
    constexpr double darker = 0.22;
    const double row = 0.033 * heads(azimuth + 1, 113, 0.2, 0.4, 51) + 0.8 * foliage(azimuth + 1, 61);
    const double is_row = 1 - smooth_step(row - fading, row + fading, height);
    const double haze = 1 - smooth_step(0, top, height);
    const glm::dvec3 before = trees() * (1 + 0.35 * haze) * (1 - darker * is_row * (1 - haze * haze));
    return glm::mix(before, sky_at(direction.z), is_sky);
}

glm::dvec3 Backdrop::light_on(const ViewImage& image, std::size_t pixel) const {
    if (image.open_share.empty())
        return glm::dvec3(0);
    const auto width = static_cast<std::size_t>(image.camera.width);
    const glm::dvec2 middle(static_cast<double>(pixel % width) + 0.5,
                            static_cast<double>(pixel / width) + 0.5);
    const glm::dvec3 direction = image.camera.direction_at(middle);
    const double open = image.open_share[pixel];
    glm::dvec3 light = open > 0 ? open * light_from(direction) : glm::dvec3(0);
    const double distance = image.distance[pixel];
    constexpr double level = 0.02; // metres off the ground
    if (open < 1 && direction.z < 0 && image.camera.eye.z + distance * direction.z < level) {
        constexpr double near_by = 20, reach = 55; // metres
        const double off = std::max(0.0, distance - near_by) / reach;
        light += (1 - open) * (1 - std::exp(-off * off)) * 1.35 * trees();
    }
    return light;
}

OpenLight find_open_light(const ViewImage& image, double ambient_lx, std::size_t pixel) {
    if (image.open_share.empty() || !(image.open_share[pixel] > 0))
        return {};
    const double share = image.open_share[pixel];
    // Beyond the stage's ground nothing stands, so that a pixel with such ground has nothing else.
    OpenLight open{.sky_return = share * glm::min(glm::dvec3(open_sky_return()),
                                                  glm::dvec3(image.sky_return[pixel]) / share)};
    open.luminance = ambient_lx * open.sky_return;
    return open;
}

} // namespace duskcast
