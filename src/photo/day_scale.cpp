// The photo by day: the site as its camera sees it, and how bright the daylight was.

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/problem.hpp"
#include "relight_state.hpp"

namespace duskcast {
namespace {

constexpr double day_lx = 1e7; // so bright that what glows counts for nothing beside it
constexpr double most_coarse_pixels = 1e6, most_plant_pixels = 0.3e6;

// A fair day (working figures, as those of the day picture), and grass and paving round about.
constexpr double sun_lx = 60'000, clear_sky_lx = 15'000, ground_reflectance = 0.2;

/// The sun on a photo by what the site's own solids leave of it. Light of it that comes by way of other
/// surfaces is that of even ground alone.
class Sunlight {
public:
    explicit Sunlight(const PhotoSun& sun);

    /// Of a lux of all daylight on open level ground, what the sky gives.
    float sky_share() const { return sky_share_; }
    bool is_before(const glm::vec3& facing) const { return glm::dot(directions_.front(), facing) > 0; }
    /// And what the sun gives to a face, lux, by way of the ground too; to both sides of a thin one.
    float on(const RayKernel& kernel, const glm::vec3& position, const glm::vec3& facing, bool is_thin) const;

private:
    std::array<glm::vec3, 5> directions_{};
    float sun_share_ = 0, sky_share_ = 1, thrown_back_ = 0;
};

/// The same view in at most so many pixels.
Camera make_small(const Camera& camera, double most) {
    const double step = std::max(1.0, std::sqrt(static_cast<double>(camera.width) * camera.height / most));
    Camera small = camera;
    small.width = static_cast<int>(std::ceil(camera.width / step));
    small.height = static_cast<int>(std::ceil(camera.height / step));
    small.pixels_per_tangent /= step;
    small.axis_offset /= step;
    return small;
}

std::set<int> find_panes(const Site& site, const Stage& stage) {
    std::set<int> panes;
    const auto add = [&](const std::string& face, const std::vector<Opening>& openings) {
        for (const Opening& opening : openings)
            if (opening.kind == OpeningKind::window)
                panes.insert(stage.find_surface(face + "." + opening.id));
    };
    for (const Wall& wall : site.walls) {
        add(wall.id, wall.openings);
        for (const Projection& projection : wall.projections)
            add(wall.id + "." + projection.id, projection.openings);
    }
    panes.erase(-1);
    return panes;
}

} // namespace

Sunlight::Sunlight(const PhotoSun& sun) {
    constexpr double off = 0.5 * pi / 180; // the sun's own quarter degree, and what marks are off
    const glm::dvec3 way(std::sin(sun.azimuth) * std::cos(sun.elevation),
                         std::cos(sun.azimuth) * std::cos(sun.elevation), std::sin(sun.elevation));
    const glm::dvec3 across(std::cos(sun.azimuth), -std::sin(sun.azimuth), 0), up = glm::cross(across, way);
    directions_ = {glm::vec3(way), glm::vec3(glm::normalize(way + off * across)),
                   glm::vec3(glm::normalize(way - off * across)), glm::vec3(glm::normalize(way + off * up)),
                   glm::vec3(glm::normalize(way - off * up))};
    const double level = sun_lx * std::max(0.0, way.z) + clear_sky_lx;
    sun_share_ = static_cast<float>(sun_lx / level);
    sky_share_ = static_cast<float>(clear_sky_lx / level);
    thrown_back_ = static_cast<float>(ground_reflectance * sun_lx * std::max(0.0, way.z) / level);
}

float Sunlight::on(const RayKernel& kernel, const glm::vec3& position, const glm::vec3& facing,
                   bool is_thin) const {
    const float from_ground = thrown_back_ * 0.5f * (1 - facing.z);
    const float cosine = glm::dot(directions_.front(), facing);
    if (!(is_thin ? cosine != 0 : cosine > 0))
        return from_ground;
    int open = 0;
    for (const glm::vec3& way : directions_)
        open += kernel.find_hit(step_off(position, cosine > 0 ? facing : -facing), way, 0, 1e4f) ? 0 : 1;
    return from_ground +
           sun_share_ * std::abs(cosine) * static_cast<float>(open) / static_cast<float>(directions_.size());
}

double median_of(std::vector<float>& values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return static_cast<double>(*middle);
}

double overcast_gain(double normal_up) {
    const auto sky_share = [](double up) {
        const double slope = std::acos(std::clamp(up, -1.0, 1.0)), half = std::sin(slope / 2);
        return (1 + up) / 2 + 4 / (7 * pi) * (std::sin(slope) - slope * std::cos(slope) - pi * half * half);
    };
    const double upright = 2 * sky_share(0);
    return normal_up >= 0 ? sky_share(normal_up) / ((1 + normal_up) / 2)
                          : upright - normal_up * (1 - upright);
}

RelightPlan::State::State(const Stage& of, const Camera& view)
    : stage(of), camera(view), coarse(make_small(view, most_coarse_pixels)),
      small(make_small(view, most_plant_pixels)), on_coarse(view, coarse), on_small(view, small),
      solid(of, SeenPart::Keep::all_but_plants), plants(of, SeenPart::Keep::plants) {}

/// What the camera sees of the site, and how bright it would be by day.
void RelightPlan::State::look(const Site& site, const Photo& photo, const BounceSetup& setup,
                              const Progress& progress) {
    const std::optional<Sunlight> sun =
        photo.sun ? std::optional<Sunlight>(std::in_place, *photo.sun) : std::nullopt;
    std::vector<glm::vec3> sunlit; // cd/m2 per lux of daylight
    if (sun)
        sunlit.assign(static_cast<std::size_t>(coarse.width) * static_cast<std::size_t>(coarse.height),
                      glm::vec3(0));
    face = find_faces(stage, solid.kernel(), camera, static_cast<int>(on_coarse.step()));
    const std::size_t coarse_count =
        static_cast<std::size_t>(coarse.width) * static_cast<std::size_t>(coarse.height);
    reflectance.assign(coarse_count, 0);
    std::vector<float> gain(coarse_count, 1);
    coarse_look = look_at_stage(
        stage, solid.kernel(), coarse,
        [&](std::size_t pixel, const Hit& hit, const glm::vec3& position, const glm::vec3& facing) {
            reflectance[pixel] = y_of(stage.reflectance_at(hit, position));
            if (sun) // the shadows of plants stay: no two crowns are alike
                sunlit[pixel] = static_cast<float>(1 / pi) * stage.reflectance_at(hit, position) *
                                sun->on(solid.kernel(), position, facing, false);
            else
                gain[pixel] =
                    static_cast<float>(overcast_gain(static_cast<double>(facing.z)) / overcast_gain(0));
        });
    is_pure.assign(coarse_count, 1);
    const auto width = static_cast<std::size_t>(coarse.width);
    for (std::size_t pixel = 0; pixel < coarse_count; ++pixel)
        for (const std::size_t beside : {pixel + 1, pixel + width})
            if (beside < coarse_count && coarse_look.face[beside] != coarse_look.face[pixel])
                is_pure[pixel] = is_pure[beside] = 0;

    const BounceSetup daylight{.bounce = setup.bounce,
                               .transports = {},
                               .spare = {},
                               .ambient = day_lx,
                               .glow = {},
                               .steady_alone = nullptr};
    const BouncedLight bounced = find_bounced_light(daylight, {});
    coarse_day = trace_view(
                     stage, {}, coarse, 0, bounced,
                     [&](double done) {
                         if (progress)
                             progress(0.8 * done);
                     },
                     &solid.kernel())
                     .luminance;
    for (std::size_t pixel = 0; pixel < coarse_count; ++pixel)
        coarse_day[pixel] *= gain[pixel] / static_cast<float>(day_lx);
    plants_day = trace_view(stage, {}, small, 0, bounced, {}, &plants.kernel()).luminance;
    for (glm::vec3& value : plants_day)
        value /= static_cast<float>(day_lx);
    if (sun) {
        for (std::size_t pixel = 0; pixel < coarse_count; ++pixel)
            coarse_day[pixel] = sun->sky_share() * coarse_day[pixel] + sunlit[pixel];
        sunlit.assign(plants_day.size(), glm::vec3(0));
        look_at_stage(
            stage, plants.kernel(), small,
            [&](std::size_t pixel, const Hit& hit, const glm::vec3& position, const glm::vec3& facing) {
                const bool is_leaf = hit.kind == FacetKind::leaf;
                const bool is_before = sun->is_before(facing);
                const glm::vec3 sent = is_leaf && !is_before
                                           ? stage.materials[stage.leaves.material[hit.facet]].transmittance
                                           : stage.reflectance_at(hit, position);
                sunlit[pixel] =
                    static_cast<float>(1 / pi) * sent * sun->on(*stage.kernel, position, facing, is_leaf);
            });
        for (std::size_t pixel = 0; pixel < plants_day.size(); ++pixel)
            plants_day[pixel] = sun->sky_share() * plants_day[pixel] + sunlit[pixel];
    }
    panes = find_panes(site, stage);
}

/// The light beside the white thing by what it sends to the picture, by channel: its colour is the
/// daylight's.
std::optional<glm::dvec3> RelightPlan::State::scale_by_white(const PhotoWhite& white,
                                                             const PhotoPixels& picture) {
    const glm::dvec2 place(white.pixel[0], white.pixel[1]);
    const int reach = std::max(1, picture.size.x / 480);
    std::array<std::vector<float>, 3> channels;
    std::size_t blown_out = 0;
    for (int y = static_cast<int>(place.y) - reach; y <= static_cast<int>(place.y) + reach; ++y)
        for (int x = static_cast<int>(place.x) - reach; x <= static_cast<int>(place.x) + reach; ++x) {
            if (x < 0 || y < 0 || x >= picture.size.x || y >= picture.size.y)
                continue;
            const std::size_t pixel = static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.size.x) +
                                      static_cast<std::size_t>(x);
            blown_out += picture.is_blown_out(pixel) ? 1 : 0;
            const glm::vec3 linear = picture.linear_at(pixel);
            for (std::size_t i = 0; i < 3; ++i)
                channels[i].push_back(linear[static_cast<int>(i)]);
        }
    if (channels[0].empty())
        refuse("the white place lies outside the picture", "give pixels from the upper left corner, up to " +
                                                               std::to_string(picture.size.x) + ", " +
                                                               std::to_string(picture.size.y));
    scan.is_white_blown_out = 2 * blown_out > channels[0].size();
    if (scan.is_white_blown_out)
        return std::nullopt;
    glm::dvec3 linear;
    for (std::size_t i = 0; i < 3; ++i)
        linear[static_cast<int>(i)] = std::max(1e-4, median_of(channels[i]));
    // Of the wall round it, which glass and trim are set into.
    const glm::dvec2 middle = on_coarse(place);
    const double near = 0.04 * coarse.width;
    double sum = 0, weights = 0;
    for (int y = 0; y < coarse.height; ++y)
        for (int x = 0; x < coarse.width; ++x) {
            const std::size_t at = static_cast<std::size_t>(y) * static_cast<std::size_t>(coarse.width) +
                                   static_cast<std::size_t>(x);
            const double off = glm::distance(middle, glm::dvec2(x + 0.5, y + 0.5));
            if (off > near || !is_pure[at] || !(reflectance[at] > 0.01f))
                continue;
            const SurfaceKind kind =
                stage.surfaces[static_cast<std::size_t>(surface_of(coarse_look.face[at]))].kind;
            // Where no wall is near, whatever is.
            const double weight = kind == SurfaceKind::wall || kind == SurfaceKind::projection ? 1 : 1e-4;
            sum += weight * pi * static_cast<double>(y_of(coarse_day[at]) / reflectance[at]);
            weights += weight;
        }
    if (!(weights > 0))
        refuse("the white place is on nothing of the site",
               "point at white trim or a grey card at a wall of the site");
    return white.reflectance * sum / weights / pi / linear;
}

/// By how much the faces of the site would have to be brighter than on the picture; 0: none is seen.
double RelightPlan::State::scale_by_faces(bool only_walls, const PhotoPixels& picture,
                                          const std::vector<std::uint16_t>& masks) const {
    const int inside = std::max(2, camera.width / 240);
    double model = 0, file = 0;
    for (int y = inside; y < camera.height - inside; y += 2)
        for (int x = inside; x < camera.width - inside; x += 2) {
            const std::size_t pixel = static_cast<std::size_t>(y) * static_cast<std::size_t>(camera.width) +
                                      static_cast<std::size_t>(x);
            if (part[pixel] != PhotoPart::solid || masks[pixel] > 0 || picture.is_blown_out(pixel))
                continue;
            const SurfaceKind kind = stage.surfaces[static_cast<std::size_t>(surface_of(face[pixel]))].kind;
            const bool is_wall = kind == SurfaceKind::wall || kind == SurfaceKind::projection;
            const auto row = static_cast<std::size_t>(inside) * static_cast<std::size_t>(camera.width),
                       column = static_cast<std::size_t>(inside);
            if (only_walls && !is_wall)
                continue;
            if (face[pixel - row] != face[pixel] || face[pixel + row] != face[pixel] ||
                face[pixel - column] != face[pixel] || face[pixel + column] != face[pixel])
                continue;
            model += static_cast<double>(y_of(coarse_at(coarse_day, pixel)));
            file += static_cast<double>(y_of(picture.linear_at(pixel)));
        }
    return file > 0 ? model / file : 0;
}

/// cd/m2 per lux of daylight and linear value of the file, by channel.
glm::dvec3 RelightPlan::State::find_scale(const Photo& photo, const PhotoPixels& picture,
                                          const std::vector<std::uint16_t>& masks) {
    if (photo.white)
        if (const auto scale = scale_by_white(*photo.white, picture)) {
            scan.daylight_from = DaylightFrom::white;
            return *scale;
        }
    for (const bool only_walls : {true, false})
        if (const double scale = scale_by_faces(only_walls, picture, masks); scale > 0) {
            scan.daylight_from = only_walls ? DaylightFrom::walls : DaylightFrom::surfaces;
            return glm::dvec3(scale);
        }
    refuse("the photo shows no wall, ground or other surface of the site",
           "check its marks: the camera that fits them looks elsewhere");
}

} // namespace duskcast
