#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "close_up.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/light/glow.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/view/view_trace.hpp"
#include "filtered_textures.hpp"
#include "ground_look.hpp"
#include "leaf_look.hpp"

namespace duskcast {
namespace {

constexpr int pilot_samples = 4;
constexpr int all_samples = Sight::lens_samples;
constexpr int tile_side = 16; // pixels that lie together look past the same facets
constexpr std::size_t block_size = tile_side * tile_side;
constexpr float far_away = 1e5f;

/// Why a pixel takes more rays.
constexpr std::uint8_t differs_even = 1, differs_close_by = 2;

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

/// Moonlit or street-lit night sky: a little bluer than the screen's white (by eye), of luminance 1.
const glm::vec3 sky_colour = [] {
    const glm::dvec3 tint(0.80, 0.98, 1.45);
    return glm::vec3(tint / luminance_of(tint));
}();

/// A lamp ready for look-ups.
struct Source {
    const LitFixture* fixture;
    FixtureCandela candela;
};

struct LightSum {
    glm::vec3 luminance{0}, sky{0}, sun{0};
    int samples = 0;
    int open = 0; ///< of them met nothing

    void add(const glm::vec3& more, const glm::vec3& more_sky, const glm::vec3& more_sun) {
        luminance += more;
        sky += more_sky;
        sun += more_sun;
    }
};

struct Sums : LightSum {
    LightSum fine;        ///< with close-ups
    bool is_done = false; ///< only `fine` takes more samples
};

/// What one ray of a pixel met.
struct ShadingPoint {
    std::size_t sums; ///< place in the block
    int sample;
    Hit hit;
    glm::vec3 position, facing, reflectance, transmittance;
    glm::vec3 glow{0};                        ///< cd/m2 per channel of its own
    glm::vec3 before{0}, behind{0};           ///< lux per channel on the two sides
    glm::vec3 soft_before{0}, soft_behind{0}; ///< of what is known between patches alone
    glm::vec3 sun{0};
    int close_up = -1; ///< place in the block's
    float width = 0;   ///< metres that the ray stands for
};

constexpr auto by_pi = static_cast<float>(1 / pi);

/// What comes back from there.
struct Returned {
    glm::vec3 luminance{0}, sky{0}, sun{0};

    void scale(const glm::vec3& by) { luminance *= by, sky *= by, sun *= by; }
};

/// Light on its way to a close-up, which is lit when all of it is known.
struct Arrival {
    std::uint32_t close_up;
    glm::vec3 lux, way;
};

/// Lux from what glows, nothing in the way, below which the edges of its shadows do not matter.
constexpr double faint_glow = 0.3;

/// Beside fifteen times as much light, the shadows that a relief throws on itself do not matter.
constexpr double least_share_cast = 0.06;

/// What a block of pixels meets.
struct Block {
    std::vector<ShadingPoint> spots;
    std::vector<CloseUp> close_ups;
    CloseUps::Points points;
    std::vector<Arrival> arrivals;
    std::vector<int> mirrors;           ///< one a close-up: place in `mirrored`; -1: none
    std::vector<Returned> far;          ///< one a close-up: what the mirrored ray brings that meets nothing
    std::vector<ShadingPoint> mirrored; ///< what mirrored rays meet
};

float place_on_screen(const glm::vec3& luminance) {
    const float y = static_cast<float>(luminance_of(glm::dvec3(luminance)));
    const float scaled = y / (y + 0.5f); // about the night picture's tone curve
    return std::sqrt(scaled);
}

class ViewTracer {
public:
    ViewTracer(const Stage& stage, const std::vector<LitFixture>& fixtures, const Camera& camera,
               double ambient_lx, const BouncedLight& bounced, const RayKernel& seen,
               const CloseUps* close_ups, const LeafLook* leaf_look, bool is_fine, bool has_sun)
        : stage_(stage), seen_(leaf_look ? leaf_look->kernel() : seen), has_sun_(has_sun),
          close_ups_(close_ups), leaf_look_(leaf_look), is_fine_(is_fine),
          glow_lights_(make_glow_lights(stage)), textures_(stage), camera_(camera),
          ambient_(static_cast<float>(ambient_lx)), bounced_(bounced), sun_(sun_direction(camera)),
          ground_(stage.find_surface("ground")) {
        for (std::size_t i = 0; i < stage.opaque.size(); ++i)
            if (stage.opaque.surface[i] == ground_)
                base_ = &stage.materials[stage.opaque.material[i]];
        for (const GroundKind kind :
             {GroundKind::lawn, GroundKind::bed, GroundKind::paving, GroundKind::mulch})
            if (base_ && base_->name == finish_of(kind).name)
                base_kind_ = kind;
        for (const LitFixture& fixture : fixtures)
            if (!fixture.table.values().empty() && fixture.scale > 0)
                sources_.push_back({&fixture, FixtureCandela(fixture)});
    }

    /// Adds the samples first..last-1 of some pixels. True per pixel where its samples differ.
    void trace(const std::vector<std::uint32_t>& pixels, std::size_t from, std::size_t to, int first,
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
        for (std::size_t i = from, ray = 0; i < to; ++i)
            for (int sample = first; sample < last; ++sample, ++ray)
                begin(pixels[i], sample, directions[ray], hits[ray], sums, block, image);
        for (std::vector<ShadingPoint>* spots : {&block.spots, &block.mirrored}) {
            for (const Source& source : sources_)
                add_source(source, *spots, block.arrivals);
            const SoftGlow soft = find_soft_glow(*spots);
            for (std::size_t g = 0; g < glow_lights_.size(); ++g)
                add_glow(g, soft, *spots, block.arrivals);
            if (has_sun_)
                add_sun(*spots);
        }
        light_close_ups(block);
        for (ShadingPoint& spot : block.spots)
            finish(spot, block, sums, differs);
    }

private:
    std::vector<Hit> find_hits(const std::vector<glm::vec3>& directions) const {
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

    /// On to what lies behind, where a ray passes between the blades of a leaf's outline.
    void look_past_leaves(const glm::vec3& direction, Hit& hit) const {
        const glm::vec3 eye(camera_.eye);
        while (hit.kind == FacetKind::leaf && leaf_look_->is_open(hit.facet, eye + hit.distance * direction))
            hit = seen_.find_hit(eye, direction, hit.distance * (1 + 1e-6f) + 1e-4f, far_away);
    }

    /// The light of the sky or, below the horizon, of far ground: beyond the ground's rectangle.
    Returned far_light(const glm::vec3& direction) const {
        const bool is_ground = direction.z < -1e-6f && ground_ >= 0;
        const glm::vec3 back = (is_ground ? base_->reflectance : glm::vec3(1)) / static_cast<float>(pi);
        return {ambient_ * back * sky_colour, back * sky_colour,
                is_ground ? back * std::max(0.0f, sun_.z) : glm::vec3(0)};
    }

    /// `area`: square to the ray, for which it stands at a distance of one metre.
    ShadingPoint make_spot(std::size_t pixel, int sample, const glm::vec3& origin, const glm::vec3& direction,
                           const Hit& hit, float& area) const {
        ShadingPoint spot{.sums = pixel, .sample = sample, .hit = hit};
        spot.position = origin + spot.hit.distance * direction;
        spot.facing = glm::dot(spot.hit.normal, direction) > 0 ? -spot.hit.normal : spot.hit.normal;
        spot.glow = stage_.luminance_at(spot.hit, spot.position, direction);
        // A pilot's share of the pixel, as large as it is on the facet.
        const double wide = static_cast<double>(spot.hit.distance) / camera_.pixels_per_tangent;
        const double slant =
            std::max(0.05, std::abs(glm::dot(glm::dvec3(direction), glm::dvec3(spot.facing))));
        area = static_cast<float>(wide * wide / (slant * pilot_samples));
        spot.reflectance = textures_.reflectance_at(spot.hit, spot.position, area);
        spot.width = std::sqrt(area);
        spot.transmittance = spot.hit.kind == FacetKind::leaf
                                 ? stage_.materials[stage_.leaves.material[spot.hit.facet]].transmittance
                                 : glm::vec3(0);
        return spot;
    }

    /// What an eye ray met, or the light of the sky or far ground where it met nothing.
    void begin(std::uint32_t pixel, int sample, const glm::vec3& direction, const Hit& hit,
               std::vector<Sums>& sums, Block& block, ViewImage& image) const {
        const glm::vec3 eye(camera_.eye);
        Sums& sum = sums[pixel];
        if (!sum.is_done)
            sum.samples += 1;
        sum.fine.samples += 1;
        if (!hit) {
            const Returned far = far_light(direction);
            if (!sum.is_done)
                sum.add(far.luminance, far.sky, far.sun);
            sum.fine.add(far.luminance, far.sky, far.sun);
            sum.fine.open += 1;
            if (sample == 0) {
                const bool is_ground = direction.z < -1e-6f && ground_ >= 0;
                image.distance[pixel] =
                    is_ground ? -eye.z / direction.z : std::numeric_limits<float>::infinity();
                image.surface[pixel] = is_ground ? ground_ : -1;
            }
            return;
        }
        float area = 0;
        ShadingPoint spot = make_spot(pixel, sample, eye, direction, hit, area);
        if (sample == 0) {
            image.distance[pixel] = spot.hit.distance;
            image.surface[pixel] = stage_.surface_of(spot.hit, spot.position);
        }
        if (CloseUp found; close_ups_ && close_ups_->find(hit, spot.position, direction, area,
                                                          spot.reflectance, found, block.points)) {
            spot.close_up = static_cast<int>(block.close_ups.size());
            block.close_ups.push_back(found);
            look_into_mirror(spot, found, block);
        }
        block.spots.push_back(spot);
    }

    void look_into_mirror(const ShadingPoint& spot, const CloseUp& close_up, Block& block) const {
        block.mirrors.push_back(-1);
        block.far.emplace_back();
        if (!(close_up.mirror > 0))
            return;
        const glm::vec3 origin = step_off(spot.position, close_up.out);
        const Hit hit = stage_.kernel->find_hit(origin, close_up.mirrored, 0, far_away);
        if (!hit) {
            block.far.back() = far_light(close_up.mirrored);
            return;
        }
        float area = 0;
        block.mirrors.back() = static_cast<int>(block.mirrored.size());
        block.mirrored.push_back(make_spot(spot.sums, spot.sample, origin, close_up.mirrored, hit, area));
    }

    /// The lux of one lamp where nothing is in the way, then a look whether something is.
    void add_source(const Source& source, std::vector<ShadingPoint>& spots,
                    std::vector<Arrival>& arrivals) const {
        std::vector<std::pair<std::uint32_t, glm::vec3>> waiting;
        std::vector<SpotSensor> sensors;
        std::vector<glm::vec3> ways; // from each to the spot on the lens
        const LitFixture& fixture = *source.fixture;
        const Lens& lens = fixture.lens;
        const float near_range = Sight::near_range * lens.diameter;
        bool has_leaves = false;
        for (std::size_t i = 0; i < spots.size(); ++i) {
            const ShadingPoint& spot = spots[i];
            const bool is_leaf = spot.hit.kind == FacetKind::leaf;
            glm::vec3 way = lens.centre - spot.position;
            if (!is_leaf && glm::dot(way, spot.facing) <= -lens.diameter)
                continue;
            const glm::vec3 end =
                lens.diameter > 0 ? lens_spot(lens, spot.position, spot.sample) : lens.centre;
            // As in evaluate_layer: close by, each spot of the lens has its own direction and distance.
            if (glm::dot(way, way) < near_range * near_range)
                way = end - spot.position;
            const float square = glm::dot(way, way);
            if (square < 4 * surface_offset * surface_offset)
                continue;
            const float distance = std::sqrt(square);
            const float cosine = glm::dot(way, spot.facing) / distance;
            if (is_leaf ? cosine == 0 : !(cosine > 0))
                continue;
            const double lux = source.candela.towards(-way / distance) * std::abs(cosine) / square;
            if (!(lux > 1e-7)) // a hundred-thousandth of starlight
                continue;
            const glm::vec3 origin = step_off(spot.position, cosine > 0 ? spot.facing : -spot.facing);
            ways.push_back(end - origin);
            sensors.push_back({origin, end_before(glm::length(ways.back()))});
            waiting.emplace_back(static_cast<std::uint32_t>(2 * i + (cosine > 0 ? 0 : 1)),
                                 glm::vec3(lux * fixture.colour));
            has_leaves = has_leaves || is_leaf;
        }
        const SpotPlan one_spot{.coherence = has_leaves ? Coherence::incoherent : Coherence::coherent};
        const auto make_spots = [&](std::size_t sensor, int, int, float* x, float* y, float* z) {
            *x = ways[sensor].x, *y = ways[sensor].y, *z = ways[sensor].z;
        };
        std::vector<SpotsSeen> seen(sensors.size());
        stage_.kernel->find_visible(spot_bounds(lens), one_spot, make_spots, sensors, seen);
        for (std::size_t r = 0; r < seen.size(); ++r)
            if (seen[r].visible != 0) {
                ShadingPoint& spot = spots[waiting[r].first / 2];
                (waiting[r].first % 2 == 0 ? spot.before : spot.behind) += waiting[r].second;
                if (spot.close_up >= 0)
                    arrivals.push_back(
                        {static_cast<std::uint32_t>(spot.close_up), waiting[r].second, ways[r]});
            }
    }

    /// Lux from each source that glows on a point and, after those, on its other side; below 0: not known.
    using SoftGlow = std::vector<float>;

    SoftGlow find_soft_glow(const std::vector<ShadingPoint>& spots) const {
        const std::size_t count = glow_lights_.size();
        SoftGlow soft(2 * count * spots.size(), -1.0f);
        if (count == 0 || !bounced_.glow())
            return soft;
        for (std::size_t i = 0; i < spots.size(); ++i) {
            const ShadingPoint& spot = spots[i];
            const auto put = [&](bool is_before) {
                const std::span<float> lux =
                    std::span(soft).subspan((2 * i + (is_before ? 0 : 1)) * count, count);
                if (!bounced_.glow()(spot.hit, spot.position, is_before ? spot.facing : -spot.facing, lux))
                    std::fill(lux.begin(), lux.end(), -1.0f);
            };
            put(true);
            if (spot.hit.kind == FacetKind::leaf)
                put(false);
        }
        return soft;
    }

    /// The same of something that glows, on both sides of a leaf. Where it is faint its shadows are soft.
    void add_glow(std::size_t source, const SoftGlow& soft, std::vector<ShadingPoint>& spots,
                  std::vector<Arrival>& arrivals) const {
        const GlowLight& light = glow_lights_[source];
        const double luminance = luminance_of(light.luminance());
        const glm::vec3 colour(light.luminance() / luminance);
        struct Waiting {
            glm::vec3* to;
            int close_up;
            glm::vec3 lux;
        };
        std::vector<Ray> rays;
        std::vector<Waiting> waiting;
        for (std::size_t i = 0; i < spots.size(); ++i)
            for (const bool is_before : {true, false}) {
                ShadingPoint& spot = spots[i];
                if (!is_before && spot.hit.kind != FacetKind::leaf)
                    continue;
                const float known = soft[(2 * i + (is_before ? 0 : 1)) * glow_lights_.size() + source];
                if (known >= 0 && light.most_lux(glm::dvec3(spot.position)) * luminance < faint_glow) {
                    (is_before ? spot.soft_before : spot.soft_behind) += known * colour;
                    continue;
                }
                const glm::vec3 facing = is_before ? spot.facing : -spot.facing;
                const glm::dvec3 lux =
                    light.open_lux(glm::dvec3(spot.position), glm::dvec3(facing)) * light.luminance();
                if (!(luminance_of(lux) > 1e-6))
                    continue;
                const std::optional<glm::vec3> end = light.find_spot(spot.position, facing, spot.sample);
                if (!end)
                    continue;
                rays.push_back(make_shadow_ray(step_off(spot.position, facing), *end));
                waiting.push_back({is_before ? &spot.before : &spot.behind, spot.close_up, glm::vec3(lux)});
            }
        stage_.kernel->find_occluded(rays, Coherence::incoherent);
        for (std::size_t r = 0; r < rays.size(); ++r)
            if (!rays[r].is_occluded()) {
                *waiting[r].to += waiting[r].lux;
                if (waiting[r].close_up >= 0)
                    arrivals.push_back(
                        {static_cast<std::uint32_t>(waiting[r].close_up), waiting[r].lux, rays[r].direction});
            }
    }

    void add_sun(std::vector<ShadingPoint>& spots) const {
        std::vector<Ray> rays;
        std::vector<std::pair<std::uint32_t, glm::vec3>> waiting;
        for (std::size_t i = 0; i < spots.size(); ++i) {
            const ShadingPoint& spot = spots[i];
            const float cosine = glm::dot(sun_, spot.facing);
            const glm::vec3 returned = cosine > 0 ? spot.reflectance : spot.transmittance;
            if (returned == glm::vec3(0))
                continue;
            Ray ray;
            ray.origin = step_off(spot.position, cosine > 0 ? spot.facing : -spot.facing);
            ray.direction = sun_;
            ray.far_end = far_away;
            rays.push_back(ray);
            waiting.emplace_back(static_cast<std::uint32_t>(i), returned * std::abs(cosine));
        }
        stage_.kernel->find_occluded(rays, Coherence::incoherent);
        for (std::size_t r = 0; r < rays.size(); ++r)
            if (!rays[r].is_occluded())
                spots[waiting[r].first].sun = waiting[r].second;
    }

    /// What comes back from a spot whose light is known, bounced light included.
    Returned find_returned(ShadingPoint& spot) const {
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

    /// Direct light on close-ups, and the sun's.
    static void light_close_ups(Block& block) {
        std::vector<double> all(block.close_ups.size());
        for (const Arrival& arrival : block.arrivals)
            all[arrival.close_up] += luminance_of(glm::dvec3(arrival.lux));
        for (const Arrival& arrival : block.arrivals) {
            CloseUp& close_up = block.close_ups[arrival.close_up];
            const bool is_cast =
                luminance_of(glm::dvec3(arrival.lux)) > least_share_cast * all[arrival.close_up];
            close_up.lit += CloseUps::light(close_up, block.points, arrival.lux, arrival.way, is_cast);
        }
    }

    /// The bounced light round about on a door or a pane, which is known by fewer rays than that on walls and
    /// differs by chance from foot to foot: what changes over less than that is not shown.
    glm::vec3 find_smooth_bounce(const ShadingPoint& spot, const CloseUp& close_up) const {
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

    /// The same as find_returned, close by. `direct`: what of the spot's lux has been told apart by its ways.
    Returned find_fine(const ShadingPoint& spot, const glm::vec3& direct, Block& block) const {
        const auto index = static_cast<std::size_t>(spot.close_up);
        const CloseUp& close_up = block.close_ups[index];
        const float before = 0.5f * (1 + spot.facing.z);
        const glm::vec3 all = close_up.reflectance + close_up.room;
        const glm::vec3 sky = before * all * sky_colour;
        glm::vec3 bounced = spot.before - direct;
        if (bounced_ && close_up.is_sharp)
            bounced = find_smooth_bounce(spot, close_up) + spot.soft_before;
        Returned returned;
        returned.luminance = close_up.glow * spot.glow + by_pi * (close_up.lit + all * bounced);
        if (!bounced_)
            returned.luminance += ambient_ * by_pi * sky;
        returned.sky = by_pi * sky;
        const float cosine = glm::dot(sun_, spot.facing);
        if (spot.sun != glm::vec3(0) && cosine > 0)
            returned.sun =
                by_pi * CloseUps::light(close_up, block.points, glm::vec3(cosine), far_away * sun_, true);
        if (close_up.mirror > 0) {
            const int mirror = block.mirrors[index];
            const Returned far = mirror >= 0 ? find_returned(block.mirrored[static_cast<std::size_t>(mirror)])
                                             : block.far[index];
            returned.luminance += close_up.mirror * far.luminance;
            returned.sky += close_up.mirror * far.sky;
            returned.sun += close_up.mirror * far.sun;
        }
        return returned;
    }

    /// Ground that shows grass and grains; what its own light is looked through shows none.
    bool has_ground_look(const ShadingPoint& spot) const {
        return is_fine_ && spot.hit.kind == FacetKind::opaque && spot.glow == glm::vec3(0) &&
               stage_.surfaces[stage_.opaque.surface[spot.hit.facet]].kind == SurfaceKind::ground;
    }

    GroundKind ground_kind_at(const glm::vec3& position) const {
        const GroundCover* cover = stage_.ground_cover_at(glm::dvec2(position));
        return cover ? cover->kind : base_kind_;
    }

    void finish(ShadingPoint& spot, Block& block, std::vector<Sums>& sums,
                std::vector<std::uint8_t>& differs) const {
        const glm::vec3 direct = spot.before;
        const Returned even = find_returned(spot);
        Returned fine = spot.close_up >= 0 ? find_fine(spot, direct, block) : even;
        if (leaf_look_ && spot.hit.kind == FacetKind::leaf)
            fine.scale(glm::vec3(leaf_look_->level(spot.hit.facet, spot.position, spot.width)));
        if (has_ground_look(spot))
            fine.scale(ground_level(ground_kind_at(spot.position), glm::vec2(spot.position), spot.width));
        Sums& sum = sums[spot.sums];
        if (spot.sample > 0 && spot.sample < pilot_samples) {
            const auto mean = static_cast<float>(1.0 / std::max(1, spot.sample));
            const bool night =
                std::abs(place_on_screen(even.luminance) - place_on_screen(mean * sum.luminance)) > 0.03f;
            const bool day = std::abs(place_on_screen(2.0f * spot.sun) -
                                      place_on_screen(2.0f * mean * sum.sun / by_pi)) > 0.08f;
            if (night || day)
                differs[spot.sums] |= differs_even;
            // Frames and reflections have edges of their own; the courses of a wall are averaged already.
            if (spot.close_up >= 0 && block.close_ups[static_cast<std::size_t>(spot.close_up)].is_sharp &&
                std::abs(place_on_screen(fine.luminance) - place_on_screen(mean * sum.fine.luminance)) >
                    0.05f)
                differs[spot.sums] |= differs_close_by;
        }
        if (!sum.is_done)
            sum.add(even.luminance, even.sky, even.sun);
        sum.fine.add(fine.luminance, fine.sky, fine.sun);
    }

    const Stage& stage_;
    const RayKernel& seen_;
    bool has_sun_;
    const CloseUps* close_ups_; ///< null: not wanted
    const LeafLook* leaf_look_; ///< null: leaves as the stage has them
    bool is_fine_;              ///< pictures' detail is wanted
    std::vector<GlowLight> glow_lights_;
    FilteredTextures textures_;
    const Camera& camera_;
    float ambient_;
    const BouncedLight& bounced_;
    glm::vec3 sun_;
    int ground_;
    const Material* base_ = nullptr;           ///< of the ground; null: there is none
    GroundKind base_kind_ = GroundKind::water; ///< that a picture adds nothing to
    std::vector<Source> sources_;
};

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

glm::vec3 open_sky_return() {
    return sky_colour / static_cast<float>(pi);
}

std::vector<SeenLens> find_lenses(const Stage& stage, const std::vector<LitFixture>& fixtures,
                                  const Camera& camera) {
    std::vector<SeenLens> found;
    const glm::vec3 eye(camera.eye);
    for (std::size_t i = 0; i < fixtures.size(); ++i) {
        const LitFixture& fixture = fixtures[i];
        const std::optional<glm::dvec2> place = camera.project(fixture.lens.centre);
        if (!place || fixture.table.values().empty())
            continue;
        const glm::vec3 way = eye - fixture.lens.centre;
        const float distance = glm::length(way);
        const glm::vec3 direction = way / distance;
        const double candela = FixtureCandela(fixture).towards(direction);
        if (!(candela > 0))
            continue;
        std::vector<Ray> rays;
        for (int spot = 0; spot < Sight::lens_samples; ++spot)
            rays.push_back(make_ray(eye, lens_spot(fixture.lens, eye, spot), end_before(distance / 2)));
        stage.kernel->find_occluded(rays, Coherence::coherent);
        const auto seen =
            std::count_if(rays.begin(), rays.end(), [](const Ray& ray) { return !ray.is_occluded(); });
        if (seen == 0)
            continue;
        const double share = static_cast<double>(seen) / Sight::lens_samples;
        const double tilt = fixture.lens.is_flush
                                ? std::abs(direction.z)
                                : std::abs(glm::dot(glm::dvec3(direction), beam_axis(fixture.aim)));
        const double radius = std::max(fixture.lens.diameter / 2.0, 0.005);
        const double area = pi * radius * radius * std::max(tilt, 0.1);
        SeenLens lens{.fixture = i, .place = *place};
        lens.radius = camera.pixels_per_tangent * radius / glm::dot(glm::dvec3(-way), camera.forward);
        lens.eye_lx = candela * share / (distance * distance) * fixture.colour;
        lens.luminance = candela / area * fixture.colour;
        found.push_back(lens);
    }
    return found;
}

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
        if (image.surface[a] != image.surface[b] || std::abs(place(a) - place(b)) > 0.05f)
            for (const std::size_t i : {a, b})
                differs[i] |= differs_even;
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
    trace_pixels(pixels, pilot_samples, all_samples, 0.4, 0.6);
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
