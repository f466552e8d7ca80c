#include "view_tracer.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "duskcast/base/random.hpp"
#include "duskcast/site/finish.hpp"

namespace duskcast {

namespace {

/// Places within a pixel: its middle and a triangle about it, then pairs on opposite sides of it, by the
/// additive recurrence of the plastic number. So the pilots, and all of them together, have the middle for
/// their mean. The same in every pixel, so that smooth light stays smooth.
const std::array<glm::dvec2, all_samples> pixel_spots = [] {
    constexpr double radius = 0.35, turn = 0.3;
    static_assert(pilot_samples == 4 && all_samples % 2 == 0);
    std::array<glm::dvec2, all_samples> spots;
    spots[0] = glm::dvec2(0.5);
    for (int i = 0; i < 3; ++i) {
        const double angle = turn + i * 2 * pi / 3;
        spots[1 + i] = 0.5 + radius * glm::dvec2(std::cos(angle), std::sin(angle));
    }
    for (int i = pilot_samples; i < all_samples; i += 2) {
        const double x = plastic_step * i, y = other_plastic_step * i;
        spots[i] = {x - std::floor(x), y - std::floor(y)};
        spots[i + 1] = 1.0 - spots[i];
    }
    return spots;
}();

/// Beside fifteen times as much light, the shadows that a relief throws on itself do not matter.
constexpr double least_share_cast = 0.06;

} // namespace

float place_on_screen(double luminance) {
    const auto y = static_cast<float>(luminance);
    const float scaled = y / (y + 0.5f); // about the night picture's tone curve
    return std::sqrt(scaled);
}

float place_on_screen(const glm::vec3& luminance) {
    return place_on_screen(luminance_of(glm::dvec3(luminance)));
}

glm::vec3 open_sky_return() {
    return sky_colour / static_cast<float>(pi);
}

ViewTracer::ViewTracer(const Stage& stage, const std::vector<LitFixture>& fixtures, const Camera& camera,
                       double ambient_lx, const BouncedLight& bounced, const RayKernel& seen,
                       const CloseUps* close_ups, const LeafLook* leaf_look, bool is_fine, bool has_sun)
    : stage_(stage), seen_(leaf_look ? leaf_look->kernel() : seen), close_ups_(close_ups),
      leaf_look_(leaf_look), is_fine_(is_fine), textures_(stage), camera_(camera),
      ambient_(static_cast<float>(ambient_lx)), bounced_(bounced), sun_(sun_direction(camera)),
      ground_(stage.base_ground), lighter_(stage, fixtures, bounced, sun_, has_sun) {
    if (close_ups && bounced)
        round_bounce_ = RoundBounce(stage, bounced);
    for (std::size_t i = 0; i < stage.opaque.size(); ++i)
        if (stage.opaque.surface[i] == ground_)
            base_ = &stage.materials[stage.opaque.material[i]];
    for (const GroundKind kind : {GroundKind::lawn, GroundKind::bed, GroundKind::paving, GroundKind::mulch})
        if (base_ && base_->name == finish_of(kind).name)
            base_kind_ = kind;
}

void ViewTracer::trace(const std::vector<std::uint32_t>& pixels, std::size_t from, std::size_t to, int first,
                       int last, std::vector<Sums>& sums, std::vector<std::uint8_t>& differs,
                       ViewImage& image) const {
    Block block;
    block.spots.reserve((to - from) * (last - first));
    std::vector<glm::vec3> directions;
    directions.reserve((to - from) * (last - first));
    for (std::size_t i = from; i < to; ++i) {
        const glm::dvec2 corner(pixels[i] % camera_.width, pixels[i] / camera_.width);
        for (int sample = first; sample < last; ++sample)
            directions.emplace_back(camera_.direction_at(corner + pixel_spots[sample]));
    }
    const std::vector<Hit> hits = find_hits(directions);
    block.ranges.resize(to - from);
    const auto count = static_cast<std::size_t>(last - first);
    for (std::size_t i = 0; i < to - from; ++i)
        begin(pixels[from + i], i, first,
              {glm::vec3(camera_.eye), std::span(directions).subspan(i * count, count),
               std::span(hits).subspan(i * count, count)},
              sums, block, image);
    lighter_.light(block.spots, block.rays, block.arrivals);
    lighter_.light(block.mirrored, block.mirrored_rays, block.arrivals);
    light_close_ups(block);
    for (ShadingPoint& spot : block.spots)
        finish(spot, block, sums);
    for (std::size_t i = 0; i < to - from; ++i) {
        const PixelRanges& ranges = block.ranges[i];
        std::uint8_t& own = differs[pixels[from + i]];
        const bool is_uneven = ranges.night.width() > 0.03f || ranges.day.width() > 0.08f;
        if (is_uneven)
            own |= differs_even;
        // Frames and reflections have edges of their own; the courses of a wall are averaged already.
        if (ranges.has_edges && ranges.fine.width() > 0.05f)
            own |= differs_close_by;
        // The sky behind the picture may be brighter than the rays tell.
        if ((is_uneven && are_much_apart(ranges.night.low, ranges.night.high)) ||
            (ranges.open > 0 && ranges.open < last - first))
            own |= differs_even | differs_much;
    }
}

std::vector<Hit> ViewTracer::find_hits(const std::vector<glm::vec3>& directions) const {
    const DirectionGrid grid(directions);
    std::vector<Hit> in_order(directions.size()), hits(directions.size());
    seen_.find_hits(glm::vec3(camera_.eye), grid, 1e-3f, far_away, in_order);
    for (std::size_t place = 0; place < hits.size(); ++place)
        hits[grid.order()[place]] = in_order[place];
    if (leaf_look_)
        for (std::size_t i = 0; i < hits.size(); ++i)
            look_past_leaves(directions[i], hits[i]);
    return hits;
}

void ViewTracer::look_past_leaves(const glm::vec3& direction, Hit& hit) const {
    const glm::vec3 eye(camera_.eye);
    while (hit.kind == FacetKind::leaf && leaf_look_->is_open(hit.facet, eye + hit.distance * direction))
        hit = seen_.find_hit(eye, direction, hit.distance * (1 + 1e-6f) + 1e-4f, far_away);
}

Returned ViewTracer::far_light(const glm::vec3& direction) const {
    const bool is_ground = direction.z < -1e-6f && ground_ >= 0;
    const glm::vec3 back = (is_ground ? base_->reflectance : glm::vec3(1)) / static_cast<float>(pi);
    return {ambient_ * back * sky_colour, back * sky_colour,
            is_ground ? back * std::max(0.0f, sun_.z) : glm::vec3(0)};
}

bool ViewTracer::are_alike(const EyeRays& rays, std::size_t a, std::size_t b) const {
    constexpr float most_apart = 0.15f; // metres: from near a lamp light changes over more
    const Hit &first = rays.hits[a], &second = rays.hits[b];
    if (first.kind != second.kind || first.facet != second.facet)
        return false;
    const glm::vec3 here = rays.place_of(a), there = rays.place_of(b);
    if (glm::distance(here, there) > most_apart)
        return false;
    if (first.kind == FacetKind::leaf)
        return true;
    const Triangles& triangles = first.kind == FacetKind::cutout ? stage_.cutouts : stage_.opaque;
    if (stage_.surfaces[triangles.surface[first.facet]].kind == SurfaceKind::ground)
        return stage_.ground_cover_at(glm::dvec2(here)) == stage_.ground_cover_at(glm::dvec2(there));
    return triangles.uv.empty() || stage_.materials[triangles.material[first.facet]].texture < 0;
}

ShadingPoint ViewTracer::make_spot(std::size_t pixel, const glm::vec3& position, const glm::vec3& direction,
                                   const Hit& hit) const {
    ShadingPoint spot{.pixel = pixel, .hit = hit, .position = position};
    spot.facing = glm::dot(spot.hit.normal, direction) > 0 ? -spot.hit.normal : spot.hit.normal;
    spot.glow = stage_.luminance_at(spot.hit, spot.position, direction);
    // A pilot's share of the pixel, as large as it is on the facet.
    const double wide = static_cast<double>(spot.hit.distance) / camera_.pixels_per_tangent;
    const double slant = std::max(0.05, std::abs(glm::dot(glm::dvec3(direction), glm::dvec3(spot.facing))));
    const auto area = static_cast<float>(wide * wide / (slant * pilot_samples));
    spot.reflectance = textures_.reflectance_at(spot.hit, spot.position, area);
    spot.width = std::sqrt(area);
    spot.transmittance = spot.hit.kind == FacetKind::leaf
                             ? stage_.materials[stage_.leaves.material[spot.hit.facet]].transmittance
                             : glm::vec3(0);
    return spot;
}

void ViewTracer::begin(std::uint32_t pixel, std::size_t place, int first, const EyeRays& rays,
                       std::vector<Sums>& sums, Block& block, ViewImage& image) const {
    Sums& sum = sums[pixel];
    const std::size_t count = rays.hits.size();
    if (!sum.is_done)
        sum.samples += static_cast<int>(count);
    sum.fine.samples += static_cast<int>(count);
    if (first == 0) {
        const glm::vec3& direction = rays.directions[0];
        const bool is_far_ground = !rays.hits[0] && direction.z < -1e-6f && ground_ >= 0;
        image.distance[pixel] = rays.hits[0]    ? rays.hits[0].distance
                                : is_far_ground ? -rays.origin.z / direction.z
                                                : std::numeric_limits<float>::infinity();
        image.surface[pixel] = is_far_ground ? ground_ : stage_.surface_of(rays.hits[0], rays.place_of(0));
    }
    // Of the points that make a pilot's area even. Later rays lie between the pilots.
    const float point_share = first == 0 ? 1.0f : 0.25f;
    std::array<bool, all_samples> is_taken{};
    for (std::size_t i = 0; i < count; ++i) {
        if (is_taken[i])
            continue;
        if (!rays.hits[i]) {
            const Returned far = far_light(rays.directions[i]);
            if (!sum.is_done)
                sum.add(far, 1);
            sum.fine.add(far, 1);
            sum.fine.open += 1;
            block.ranges[place].open += 1;
            block.ranges[place].night.add(place_on_screen(far.luminance));
            continue;
        }
        const auto first_ray = static_cast<std::uint32_t>(block.rays.size());
        glm::vec3 sum_of_places(0);
        std::array<std::size_t, all_samples> own{};
        for (std::size_t k = i; k < count; ++k)
            if (!is_taken[k] && rays.hits[k] && (k == i || are_alike(rays, i, k))) {
                is_taken[k] = true;
                own[block.rays.size() - first_ray] = k;
                block.rays.push_back({.position = rays.place_of(k), .sample = first + static_cast<int>(k)});
                sum_of_places += block.rays.back().position;
            }
        const auto ray_count = static_cast<std::uint32_t>(block.rays.size()) - first_ray;
        // The ray next to the middle, as ground of one cover may lie on both sides of another.
        const glm::vec3 middle = sum_of_places / static_cast<float>(ray_count);
        const auto off_middle = [&](std::size_t k) { return glm::distance(rays.place_of(k), middle); };
        const std::size_t chosen =
            *std::min_element(own.begin(), own.begin() + ray_count,
                              [&](std::size_t a, std::size_t b) { return off_middle(a) < off_middle(b); });
        ShadingPoint spot =
            make_spot(pixel, rays.place_of(chosen), rays.directions[chosen], rays.hits[chosen]);
        spot.place = place;
        spot.first_ray = first_ray;
        spot.ray_count = ray_count;
        block.spots.push_back(spot);
        if (!close_ups_)
            continue;
        for (std::uint32_t r = 0; r < ray_count; ++r) {
            SpotRay& ray = block.rays[first_ray + r];
            CloseUp found;
            if (!close_ups_->find(rays.hits[own[r]], ray.position, rays.directions[own[r]],
                                  spot.width * spot.width, spot.reflectance, point_share, found,
                                  block.points))
                continue;
            ray.close_up = static_cast<int>(block.close_ups.size());
            block.close_ups.push_back(found);
            look_into_mirror(spot, ray, found, block);
        }
    }
}

void ViewTracer::look_into_mirror(const ShadingPoint& spot, const SpotRay& ray, const CloseUp& close_up,
                                  Block& block) const {
    block.mirrors.push_back(-1);
    block.far.emplace_back();
    if (!(close_up.mirror > 0))
        return;
    const glm::vec3 origin = step_off(ray.position, close_up.out);
    const Hit hit = stage_.kernel->find_hit(origin, close_up.mirrored, 0, far_away);
    if (!hit) {
        block.far.back() = far_light(close_up.mirrored);
        return;
    }
    block.mirrors.back() = static_cast<int>(block.mirrored.size());
    const glm::vec3 position = origin + hit.distance * close_up.mirrored;
    block.mirrored.push_back(make_spot(spot.pixel, position, close_up.mirrored, hit));
    block.mirrored.back().first_ray = static_cast<std::uint32_t>(block.mirrored_rays.size());
    block.mirrored.back().ray_count = 1;
    block.mirrored_rays.push_back({.position = position, .sample = ray.sample});
}

Returned ViewTracer::find_returned(ShadingPoint& spot) const {
    // A uniform sky over level ground, nothing in the way: (1 + cos) / 2 of it is before a face.
    const float before = 0.5f * (1 + spot.facing.z);
    const glm::vec3 sky = sky_colour * (spot.reflectance * before + spot.transmittance * (1 - before));
    if (bounced_) {
        spot.before += glm::vec3(bounced_(spot.hit, spot.position, spot.facing)) + spot.soft_before;
        if (spot.hit.kind == FacetKind::leaf)
            spot.behind += glm::vec3(bounced_(spot.hit, spot.position, -spot.facing)) + spot.soft_behind;
    }
    glm::vec3 luminance =
        spot.glow + (spot.reflectance * spot.before + spot.transmittance * spot.behind) * by_pi;
    if (!bounced_)
        luminance += ambient_ * by_pi * sky;
    return {luminance, by_pi * sky, by_pi * spot.sun};
}

void ViewTracer::light_close_ups(Block& block) {
    std::vector<double> all(block.close_ups.size());
    for (const Arrival& arrival : block.arrivals)
        all[arrival.close_up] += luminance_of(glm::dvec3(arrival.lux));
    for (const Arrival& arrival : block.arrivals) {
        CloseUp& close_up = block.close_ups[arrival.close_up];
        const bool is_cast = luminance_of(glm::dvec3(arrival.lux)) > least_share_cast * all[arrival.close_up];
        close_up.lit += CloseUps::light(close_up, block.points, arrival.lux, arrival.way, is_cast);
    }
}

bool ViewTracer::is_on_opening(const ShadingPoint& spot) const {
    const int surface = stage_.surface_of(spot.hit, spot.position);
    return surface >= 0 && stage_.surfaces[static_cast<std::size_t>(surface)].kind == SurfaceKind::opening;
}

glm::vec3 ViewTracer::find_smooth_bounce(const ShadingPoint& spot, const CloseUp& close_up) const {
    constexpr int places = 24;
    constexpr float reach = 1.0f; // metres
    glm::vec3 sum(0);
    float weights = 0;
    for (int i = 0; i < places; ++i) {
        const float out = std::sqrt((static_cast<float>(i) + 0.5f) / places);
        const glm::vec2 off = reach * out * circle_point(static_cast<float>(golden_angle) * float(i));
        const glm::vec3 place =
            spot.position + off.x * close_up.across + off.y * glm::cross(close_up.out, close_up.across);
        const glm::vec3 lux(bounced_(spot.hit, place, spot.facing));
        if (lux == glm::vec3(0))
            continue;
        const float weight = 1 - out * out;
        sum += weight * lux, weights += weight;
    }
    return weights > 0 ? sum / weights : glm::vec3(0);
}

Returned ViewTracer::find_fine(const ShadingPoint& spot, const SpotRay& ray, const glm::vec3& direct,
                               std::optional<glm::vec3>& smooth, Block& block) const {
    const auto index = static_cast<std::size_t>(ray.close_up);
    const CloseUp& close_up = block.close_ups[index];
    const float before = 0.5f * (1 + spot.facing.z);
    const glm::vec3 sky = before * (close_up.sky + close_up.room) * sky_colour;
    glm::vec3 bounced = spot.before - direct;
    // Boards on a wall have the wall's light: what lies round about is lit otherwise, beside a gable or a
    // corner.
    if (bounced_ && close_up.is_sharp && is_on_opening(spot)) {
        if (!smooth)
            smooth = find_smooth_bounce(spot, close_up);
        bounced = *smooth + spot.soft_before;
    } else if (close_up.round && !round_bounce_.is_empty())
        bounced = round_bounce_.at(spot.hit) + spot.soft_before;
    Returned returned;
    returned.luminance =
        close_up.glow * spot.glow + by_pi * (close_up.lit + (close_up.even + close_up.room) * bounced);
    if (!bounced_)
        returned.luminance += ambient_ * by_pi * sky;
    returned.sky = by_pi * sky;
    const float cosine = glm::dot(sun_, spot.facing);
    if (ray.is_sunlit && cosine > 0)
        returned.sun =
            by_pi * CloseUps::light(close_up, block.points, glm::vec3(cosine), far_away * sun_, true);
    if (close_up.mirror > 0) {
        const int mirror = block.mirrors[index];
        const Returned far =
            mirror >= 0 ? find_returned(block.mirrored[static_cast<std::size_t>(mirror)]) : block.far[index];
        returned.luminance += close_up.mirror * far.luminance;
        returned.sky += close_up.mirror * far.sky;
        returned.sun += close_up.mirror * far.sun;
    }
    return returned;
}

bool ViewTracer::has_ground_look(const ShadingPoint& spot) const {
    return is_fine_ && spot.hit.kind == FacetKind::opaque && spot.glow == glm::vec3(0) &&
           stage_.surfaces[stage_.opaque.surface[spot.hit.facet]].kind == SurfaceKind::ground;
}

GroundKind ViewTracer::ground_kind_at(const glm::vec3& position) const {
    const GroundCover* cover = stage_.ground_cover_at(glm::dvec2(position));
    return cover ? cover->kind : base_kind_;
}

void ViewTracer::finish(ShadingPoint& spot, Block& block, std::vector<Sums>& sums) const {
    const glm::vec3 direct = spot.before;
    const Returned even = find_returned(spot);
    const bool has_own_ground = has_ground_look(spot);
    const GroundKind ground_kind = has_own_ground ? ground_kind_at(spot.position) : GroundKind::water;
    Sums& sum = sums[spot.pixel];
    PixelRanges& ranges = block.ranges[spot.place];
    const std::span<const SpotRay> rays = spot.rays_of(block.rays);
    std::optional<glm::vec3> smooth;
    for (const SpotRay& ray : rays) {
        Returned fine = ray.close_up >= 0 ? find_fine(spot, ray, direct, smooth, block) : even;
        if (leaf_look_ && spot.hit.kind == FacetKind::leaf)
            fine.scale(glm::vec3(leaf_look_->level(spot.hit.facet, ray.position, spot.width)));
        if (has_own_ground)
            fine.scale(ground_level(ground_kind, glm::vec2(ray.position), spot.width));
        sum.fine.add(fine, 1);
        ranges.fine.add(place_on_screen(fine.luminance));
        if (ray.close_up >= 0 && block.close_ups[static_cast<std::size_t>(ray.close_up)].is_sharp)
            ranges.has_edges = true;
    }
    if (!sum.is_done)
        sum.add(even, static_cast<int>(rays.size()));
    const double luminance = luminance_of(glm::dvec3(even.luminance));
    ranges.night.add(place_on_screen(luminance + static_cast<double>(spot.above_mean)));
    ranges.night.add(place_on_screen(std::max(0.0, luminance - static_cast<double>(spot.below_mean))));
    const auto lit =
        std::count_if(rays.begin(), rays.end(), [](const SpotRay& ray) { return ray.is_sunlit; });
    if (lit < static_cast<std::ptrdiff_t>(rays.size()))
        ranges.day.add(0);
    if (lit > 0)
        ranges.day.add(
            place_on_screen(2.0f * static_cast<float>(rays.size()) / static_cast<float>(lit) * spot.sun));
}

} // namespace duskcast
