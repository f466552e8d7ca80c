#include "close_up.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/parallel.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "mirror.hpp"

namespace duskcast {
namespace {

constexpr float lowest_out = 0.01f; ///< more grazing light is taken as that

/// The way to the light from `height` metres before the flat face.
glm::vec3 lift(const glm::vec3& way, float height) {
    return {way.x, way.y, std::max(way.z, lowest_out * glm::length(way)) - height};
}

/// By how much the lux on a face square to one axis changes with the way, beside what its cosine does.
float fall_off(const glm::vec3& from, const glm::vec3& to) {
    const float ratio = glm::dot(from, from) / glm::dot(to, to);
    return ratio * std::sqrt(ratio);
}

/// So wide a part of a surface is looked at in one point, metres: about a joint.
constexpr float point_width = 0.008f;
constexpr int most_points = 6;

/// What a curtain or a dark room gets and gives back of the light outside: in and out of the glass, each time
/// as of light from all sides. 0.84: what a pane lets through of it (n = 1.52; Walsh 1926, from memory).
constexpr float diffuse_passing = 0.84f;

/// What a pane lets through of light from one direction, by what it does of light from all sides.
float passing_beside_diffuse(const glm::vec3& way) {
    const float cosine = std::clamp(way.z / std::max(glm::length(way), 1e-6f), 0.0f, 1.0f);
    return (1 - static_cast<float>(pane_reflection(static_cast<double>(cosine), glass_index))) /
           diffuse_passing;
}

/// Places about `middle` that fill a square `width` wide evenly.
glm::vec2 place_about(const glm::vec2& middle, float width, int index, int count) {
    if (count == 1)
        return middle;
    const glm::vec2 spread((static_cast<float>(index) + 0.5f) / static_cast<float>(count),
                           wrap_unit(0.5 + 0.618034 * index));
    return middle + width * (glm::vec2(spread.y, spread.x) - 0.5f);
}

} // namespace

ReliefLight::ReliefLight(const Relief& relief) : relief_(relief) {
    if (!(relief.course() > 0))
        return;
    // Of three metres along and eight courses up.
    constexpr int side = 40;
    std::vector<Point> points;
    std::vector<glm::vec3> reflectances;
    for (int y = 0; y < side; ++y)
        for (int x = 0; x < side; ++x) {
            const auto place = static_cast<std::uint64_t>(side * y + x);
            const glm::vec2 cell(static_cast<float>(x) + hash_to_unit(place, 0),
                                 static_cast<float>(y) + hash_to_unit(place, 1));
            points.push_back(point(cell / float(side) * glm::vec2(3, 8 * relief.course())));
            reflectances.push_back(relief.spot(points.back().at).reflectance);
            mean_ += reflectances.back() / float(side * side);
            mean_height_ += points.back().height / float(side * side);
        }
    Openness seen{0, 0};
    double all = 0;
    for (std::size_t k = 0; k < points.size(); ++k) {
        const Openness own = openness(points[k]);
        const auto weight = static_cast<float>(luminance_of(glm::dvec3(reflectances[k])));
        seen.round_about += weight * own.round_about, seen.sky += weight * own.sky;
        all += static_cast<double>(weight);
    }
    if (all > 0)
        mean_openness_ = {seen.round_about / static_cast<float>(all), seen.sky / static_cast<float>(all)};
    gains_.resize(static_cast<std::size_t>(turns) * rises);
    parallel_for(gains_.size(), [&](std::size_t i) {
        const float out = std::pow(lowest_out, 1 - static_cast<float>(i / turns) / (rises - 1));
        const glm::vec2 round =
            circle_point(static_cast<float>(2 * pi) * static_cast<float>(i % turns) / turns);
        const glm::vec3 towards(std::sqrt(1 - out * out) * round, out);
        constexpr float far_off = 1e4f;
        glm::dvec3 sum(0);
        for (std::size_t k = 0; k < points.size(); ++k)
            sum += glm::dvec3(reflectances[k] * gain(points[k], far_off * towards));
        const auto mean_of = [&] {
            return glm::vec3(sum / double(points.size())) / glm::max(mean_, glm::vec3(1e-6f));
        };
        const glm::vec3 direct = mean_of();
        for (std::size_t k = 0; k < points.size(); ++k)
            sum += glm::dvec3(reflectances[k] * thrown(points[k], direct));
        gains_[i] = mean_of();
    });
}

float ReliefLight::gain(const Point& point, const glm::vec3& way, bool is_cast) const {
    const glm::vec3 open = lift(way, 0), own = lift(way, point.height);
    const float cosine =
        (own.z - glm::dot(point.slope, glm::vec2(own))) / std::sqrt(1 + glm::dot(point.slope, point.slope));
    if (!(cosine > 0) || (is_cast && is_shadowed(point, own)))
        return 0;
    return cosine / open.z * fall_off(open, own);
}

ReliefLight::Openness ReliefLight::openness(const Point& point) const {
    // A plane aslant gets (1 + cos) / 2 of light from all sides, and of the sky.
    const float length = std::sqrt(1 + glm::dot(point.slope, point.slope));
    Openness open{0.5f * (1 + 1 / length), 1 - point.slope.y / length};
    if (relief_.joint() > 0) // what stands out round a joint throws light into it instead
        return open;
    // What stands out above, such as the butt of the next board, hides the sky from an angle up. Of light on
    // an upright face its sine comes from below that.
    constexpr float near_by = 0.005f; // metres
    const float rise =
        (relief_.height(point.at + glm::vec2(0, near_by)) - point.height) / near_by - point.slope.y;
    if (rise > 0) {
        const float sine = 1 / std::sqrt(1 + rise * rise);
        open.round_about *= 0.5f * (1 + sine), open.sky *= sine;
    }
    return open;
}

bool ReliefLight::is_shadowed(const Point& point, const glm::vec3& towards) const {
    const float level = glm::length(glm::vec2(towards));
    if (!(level > 1e-4f))
        return false;
    const float rise = towards.z / level; // metres out for each along
    const float reach = -point.height / rise;
    const glm::vec2 way = glm::vec2(towards) / level;
    const float step = std::max(0.0008f, reach / 20);
    for (float gone = std::max(0.5f * step, relief_.clearance(point.at)); gone < reach; gone += step)
        if (relief_.height(point.at + gone * way) > point.height + gone * rise + 2e-5f)
            return true;
    return false;
}

glm::vec3 ReliefLight::mean_gain(const glm::vec3& way) const {
    const glm::vec3 open = lift(way, 0), own = lift(way, mean_height_), towards = glm::normalize(own);
    const float out = std::clamp(towards.z, lowest_out, 1.0f);
    const float rise = (1 - std::log(out) / std::log(lowest_out)) * (rises - 1);
    const float turn =
        (std::atan2(towards.y, towards.x) / static_cast<float>(2 * pi) + 1) * static_cast<float>(turns);
    const int low = std::min(static_cast<int>(rise), rises - 2), left = static_cast<int>(turn);
    const auto at = [&](int i, int j) { return gains_[static_cast<std::size_t>(i * turns + j % turns)]; };
    const float right_share = turn - static_cast<float>(left);
    const glm::vec3 mean = glm::mix(glm::mix(at(low, left), at(low, left + 1), right_share),
                                    glm::mix(at(low + 1, left), at(low + 1, left + 1), right_share),
                                    rise - static_cast<float>(low));
    return mean * (own.z / open.z * fall_off(open, own));
}

glm::vec3 ReliefLight::thrown(const Point& point, const glm::vec3& mean_gain) const {
    if (!(relief_.joint() > 0))
        return glm::vec3(0);
    // Of an endless trench, the share of what lies before the middle of its floor that its sides take up.
    const float below = std::max(0.0f, mean_height_ - point.height), half = relief_.joint() / 2;
    return (1 - half / std::sqrt(half * half + below * below)) * mean_ * mean_gain;
}

CloseUps::CloseUps(const Stage& stage) : stage_(stage), round_(stage) {
    for (const ReliefArea& area : stage.reliefs) {
        by_surface_.resize(stage.surfaces.size());
        by_surface_[static_cast<std::size_t>(area.surface)].push_back(&area);
        std::unique_ptr<ReliefLight>& light = lights_[area.relief.get()];
        if (!light)
            light = std::make_unique<ReliefLight>(*area.relief);
    }
    for (const GroundCover& cover : stage.ground_areas)
        has_water_ = has_water_ || cover.kind == GroundKind::water;
    for (const Surface& surface : stage.surfaces)
        has_water_ = has_water_ || surface.kind == SurfaceKind::water;
}

const ReliefArea* CloseUps::find_area(int surface, const glm::vec3& position, glm::dvec2& at) const {
    const std::vector<const ReliefArea*>& areas = by_surface_[static_cast<std::size_t>(surface)];
    for (std::size_t i = areas.size(); i-- > 0;) {
        at = unfold(areas[i]->run, areas[i]->foot, glm::dvec3(position));
        if (areas[i]->outline.empty() || is_inside(areas[i]->outline, at))
            return areas[i];
    }
    return nullptr;
}

bool CloseUps::find(const Hit& hit, const glm::vec3& position, const glm::vec3& direction, float area,
                    const glm::vec3& reflectance, float share, CloseUp& found, Points& points) const {
    if (is_empty() || hit.kind != FacetKind::opaque || glm::dot(hit.normal, direction) >= 0)
        return false;
    const float cosine = -glm::dot(hit.normal, direction);
    const int surface = stage_.opaque.surface[hit.facet];
    found.out = hit.normal;
    const SurfaceKind kind = stage_.surfaces[static_cast<std::size_t>(surface)].kind;
    if (kind == SurfaceKind::ground || kind == SurfaceKind::water) {
        const GroundCover* cover = has_water_ && kind == SurfaceKind::ground
                                       ? stage_.ground_cover_at(glm::dvec2(position))
                                       : nullptr;
        if (kind != SurfaceKind::water && (!cover || cover->kind != GroundKind::water))
            return false;
        const glm::vec2 slope = ripple_slope(glm::vec2(position), std::sqrt(area));
        const glm::vec3 normal = glm::normalize(glm::vec3(-slope, 1));
        const float facing = std::max(0.02f, -glm::dot(normal, direction));
        found.mirror = static_cast<float>(face_reflection(static_cast<double>(facing), water_index));
        found.mirrored = glm::reflect(direction, normal);
        found.mirrored.z = std::max(found.mirrored.z, 0.01f);
        const float kept = (1 - found.mirror) / (1 - static_cast<float>(face_reflection(1, water_index)));
        found.reflectance = found.even = found.sky = kept * reflectance;
        found.glow = kept;
        return true;
    }
    if (const auto spot = round_.find(hit, position, hit.normal, std::sqrt(area))) {
        found.round = spot->normal;
        found.reflectance = found.even = found.sky = spot->level * reflectance;
        return true;
    }
    glm::dvec2 at(0);
    const ReliefArea* own = by_surface_.empty() ? nullptr : find_area(surface, position, at);
    if (!own)
        return false;
    const ReliefLight& light = *lights_.at(own->relief.get());
    found.relief = &light;
    found.is_sharp = light.relief().course() == 0;
    found.across = glm::cross(glm::vec3(0, 0, 1), hit.normal);
    const float width = std::sqrt(area);
    float looked_at = width;
    long least_points = 1;
    if (const float course = light.relief().course(); course > 0) {
        const float pixels = 2 * width / course; // a pixel is four such areas
        found.fade = std::clamp((pixels - 0.22f) / 0.43f, 0.0f, 1.0f);
        // Looked at as far as the middles of the pixels round it, so that courses do not beat with the rows
        // of pixels.
        looked_at *= 1 + 1.2f * std::clamp((pixels - 0.08f) / 0.12f, 0.0f, 1.0f);
        // One point would be a whole joint in shadow, or none of it: dashes in place of a line.
        least_points += std::lround(2 * std::clamp((pixels - 0.05f) / 0.06f, 0.0f, 1.0f));
    }
    look_at_relief(light, glm::vec2(at), looked_at, least_points, share, cosine, found, points);
    if (found.mirror > 0)
        found.mirrored = glm::reflect(direction, hit.normal);
    return true;
}

void CloseUps::look_at_relief(const ReliefLight& light, const glm::vec2& at, float width, long least_points,
                              float share, float cosine, CloseUp& found, Points& points) const {
    found.first = static_cast<std::uint32_t>(points.places.size());
    // On the even face of a brick or a stone one point stands for all.
    const bool is_even = least_points > 1 && light.relief().clearance(at) > 0.5f * width;
    if (found.fade < 1 && is_even)
        found.count = 1;
    else if (found.fade < 1) {
        const long wanted = std::clamp(std::lround(width * width / (point_width * point_width)), least_points,
                                       long{most_points});
        found.count = static_cast<std::uint32_t>(std::ceil(share * static_cast<float>(wanted)));
    }
    const auto count = static_cast<int>(found.count);
    float glass = 0, glow = 0;
    for (int i = 0; i < count; ++i) {
        const glm::vec2 place = place_about(at, width, i, count);
        const ReliefSpot spot = light.relief().spot(place);
        const float part = 1 / static_cast<float>(count);
        points.places.push_back(light.point(place));
        points.reflectances.push_back(part * (1 - found.fade) * spot.reflectance);
        const ReliefLight::Openness open = light.openness(points.places.back());
        found.reflectance += points.reflectances.back();
        found.even += open.round_about / light.mean_openness().round_about * points.reflectances.back();
        found.sky += open.sky / light.mean_openness().sky * points.reflectances.back();
        found.room += part * spot.room;
        glass += spot.is_glass ? part : 0;
        glow += part * spot.glow;
    }
    const glm::vec3 mean = found.fade * light.mean_reflectance();
    found.reflectance += mean, found.even += mean, found.sky += mean;
    if (count == 0)
        return;
    found.glow = glow;
    if (!(glass > 0))
        return;
    const auto reflected = static_cast<float>(pane_reflection(static_cast<double>(cosine), glass_index));
    const float kept = (1 - reflected) / (1 - static_cast<float>(pane_reflection(1, glass_index)));
    found.mirror = glass * reflected;
    found.glow *= kept;
    found.room *= (1 - reflected) * diffuse_passing;
}

glm::vec3 CloseUps::light(const CloseUp& close_up, const Points& points, const glm::vec3& lux,
                          const glm::vec3& way, bool is_cast) {
    if (close_up.round) {
        // The lux is that of the flat facet. Where light grazes that, a round stem gets much more of it.
        constexpr float least = 0.2f;
        const float length = std::max(glm::length(way), 1e-6f);
        const float flat = std::max(least, glm::dot(way, close_up.out) / length);
        const float round = std::max(0.0f, glm::dot(way, *close_up.round) / length);
        return lux * close_up.reflectance * (round / flat);
    }
    if (!close_up.relief)
        return lux * close_up.reflectance;
    const ReliefLight& relief = *close_up.relief;
    const glm::vec3 own(glm::dot(way, close_up.across), way.z, glm::dot(way, close_up.out));
    glm::vec3 returned = close_up.room * passing_beside_diffuse(own);
    const glm::vec3 mean_gain = relief.has_mean() ? relief.mean_gain(own) : glm::vec3(0);
    for (std::uint32_t i = close_up.first; i < close_up.first + close_up.count; ++i)
        if (points.reflectances[i] != glm::vec3(0))
            returned += points.reflectances[i] * (relief.gain(points.places[i], own, is_cast) +
                                                  relief.thrown(points.places[i], mean_gain));
    if (close_up.fade > 0)
        returned += close_up.fade * relief.mean_reflectance() * mean_gain;
    return lux * returned;
}

} // namespace duskcast
