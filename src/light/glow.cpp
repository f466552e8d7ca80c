#include "duskcast/light/glow.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/base/frame.hpp"
#include "duskcast/base/parallel.hpp"
#include "duskcast/base/random.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

/// From so many times its reach a face counts as a point: 2e-4 too much or too little at most.
constexpr double far_off = 60;

/// Lux that are worth no ray: a thousandth of starlight.
constexpr double least_lux = 1e-6;

/// Lux below which the pilots are enough, of which half may agree at one point, and a quarter of them: by
/// chance sixteen spots are off by an eighth of it, four by a quarter.
constexpr double faint_lux = 0.02, faintest_lux = 0.005;

/// What a body gives to a facet is not cut off by the facet's own plane and needs no faces.
std::optional<double> ball_lux(const GlowBall& ball, const glm::dvec3& position, const glm::dvec3& normal) {
    const glm::dvec3 way = ball.centre - position;
    const double square = glm::dot(way, way), along = glm::dot(way, normal);
    if (!(along > ball.radius) || !(square > ball.radius * ball.radius))
        return {};
    // Configuration factor of a sphere, (r / d)^2 cos (Howell's catalogue B-41, from memory).
    return pi * ball.radius * ball.radius * along / (square * std::sqrt(square));
}

using Corners = std::vector<glm::dvec3>;

/// Clips polygons by planes through the origin (Sutherland and Hodgman 1974); keeps its memory.
class PolygonClipper {
public:
    void start(const Corners& corners, const glm::dvec3& origin) {
        kept_.clear();
        for (const glm::dvec3& corner : corners)
            kept_.push_back(corner - origin);
    }

    /// Keeps what is on the side of `normal`.
    void keep_before(const glm::dvec3& normal) {
        std::swap(kept_, whole_);
        kept_.clear();
        for (std::size_t i = 0; i < whole_.size(); ++i) {
            const glm::dvec3 &here = whole_[i], &next = whole_[(i + 1) % whole_.size()];
            const double above = glm::dot(here, normal), next_above = glm::dot(next, normal);
            if (above > 0)
                kept_.push_back(here);
            if ((above > 0) != (next_above > 0))
                kept_.push_back(here + above / (above - next_above) * (next - here));
        }
    }

    const Corners& kept() const { return kept_; }

private:
    Corners kept_, whole_;
};

/// Whether a point is before the aperture, so that it sees the source only through it.
bool is_before(const Corners& aperture, const glm::dvec3& position) {
    if (aperture.empty())
        return false;
    const glm::dvec3 normal = glm::cross(aperture[1] - aperture[0], aperture[2] - aperture[0]);
    return glm::dot(normal, position - aperture[0]) > 1e-6 * glm::length(normal);
}

/// Calls act(normal) with the planes through `position` and the aperture's edges; normals point to its
/// inside.
template <class Act>
void for_each_edge_plane(const Corners& aperture, const glm::dvec3& position, const Act& act) {
    for (std::size_t i = 0; i < aperture.size(); ++i)
        act(glm::cross(aperture[(i + 1) % aperture.size()] - position, aperture[i] - position));
}

double face_lux(const GlowFace& face, const Corners& aperture, const glm::dvec3& position,
                const glm::dvec3& normal, PolygonClipper& clipper) {
    const glm::dvec3 way = face.centre - position;
    const double before = -glm::dot(way, face.normal), above = glm::dot(way, normal);
    if (!(before > 1e-9) || above < -face.reach)
        return 0;
    const double square = glm::dot(way, way);
    if (aperture.empty() && square > far_off * far_off * face.reach * face.reach)
        return above > 0 ? face.area * before * above / (square * square) : 0;
    clipper.start(face.corners, position);
    clipper.keep_before(normal);
    if (is_before(aperture, position))
        for_each_edge_plane(aperture, position, [&](const glm::dvec3& plane) { clipper.keep_before(plane); });
    const Corners& kept = clipper.kept();
    double sum = 0;
    for (std::size_t i = 0; i < kept.size(); ++i) {
        const glm::dvec3& here = kept[i];
        const glm::dvec3& next = kept[(i + 1) % kept.size()];
        const glm::dvec3 square_to_both = glm::cross(here, next);
        const double size = glm::length(square_to_both);
        if (size > 0)
            sum -= std::atan2(size, glm::dot(here, next)) * glm::dot(square_to_both, normal) / size;
    }
    return std::max(0.0, sum / 2);
}

/// The share of the way along `face`'s list at which spot `index` is taken: halves, then quarters, eighths.
double spread(std::uint32_t index) {
    double sum = 0;
    for (double step = 0.5; index > 0; index /= 2, step /= 2)
        sum += (index % 2) * step;
    return sum;
}

/// Draws points of a face one after the other, evenly spread.
class FaceSpots {
public:
    explicit FaceSpots(const GlowFace& face) : face_(face), frame_(face.normal) {
        for (const glm::dvec3& corner : face.corners)
            outline_.push_back(flat(corner));
        low_ = high_ = outline_.front();
        for (const glm::dvec2& point : outline_) {
            low_ = glm::min(low_, point);
            high_ = glm::max(high_, point);
        }
    }

    glm::dvec3 draw() {
        constexpr int most_tries = 10'000; // a sliver of an outline
        glm::dvec2 at(0);
        for (int i = 0; i < most_tries; ++i) {
            ++tries_;
            const double x = 0.5 + plastic_step * tries_, y = 0.5 + other_plastic_step * tries_;
            at = low_ + glm::dvec2(x - std::floor(x), y - std::floor(y)) * (high_ - low_);
            if (is_inside(outline_, at))
                return face_.centre + at.x * frame_.first + at.y * frame_.second;
        }
        return face_.centre;
    }

private:
    glm::dvec2 flat(const glm::dvec3& point) const {
        return {glm::dot(point - face_.centre, frame_.first), glm::dot(point - face_.centre, frame_.second)};
    }

    const GlowFace& face_;
    TangentFrame<double> frame_;
    std::vector<glm::dvec2> outline_;
    glm::dvec2 low_, high_;
    int tries_ = 0;
};

} // namespace

GlowLight::GlowLight(const Stage& stage, const GlowSource& source) : stage_(stage), source_(source) {
    glm::dvec3 low(1e9), high(-1e9);
    for (const GlowFace& face : source.faces)
        for (const glm::dvec3& corner : face.corners) {
            low = glm::min(low, corner);
            high = glm::max(high, corner);
        }
    centre_ = (low + high) / 2.0;
    radius_ = glm::length(high - low) / 2;
    // Of a body at most half the faces look to a sensor.
    const int count = source.faces.size() > 1 ? 3 * most_spots : most_spots;
    std::vector<FaceSpots> faces(source.faces.begin(), source.faces.end());
    for (int i = 0; i < count; ++i) {
        double left = spread(static_cast<std::uint32_t>(i)) * source.area;
        std::size_t f = 0;
        for (; f + 1 < source.faces.size() && left >= source.faces[f].area; ++f)
            left -= source.faces[f].area;
        const glm::dvec3 at = faces[f].draw();
        const bool is_ground = stage.surfaces[source.surface].kind == SurfaceKind::ground;
        spots_.push_back({glm::vec3(at), glm::vec3(source.faces[f].normal),
                          is_ground && stage.ground_surface_at(glm::dvec2(at)) != source.surface});
    }
}

double GlowLight::open_lux(const glm::dvec3& position, const glm::dvec3& normal) const {
    if (source_.ball)
        if (const std::optional<double> lux = ball_lux(*source_.ball, position, normal))
            return *lux;
    PolygonClipper clipper;
    double sum = 0;
    for (const GlowFace& face : source_.faces)
        sum += face_lux(face, source_.aperture, position, normal, clipper);
    return sum;
}

double GlowLight::most_lux(const glm::dvec3& position, const glm::dvec3& normal) const {
    const glm::dvec3 way = centre_ - position;
    const double distance = glm::length(way) - radius_, above = glm::dot(way, normal) + radius_;
    if (!(above > 0))
        return 0;
    if (!(distance > 0))
        return pi;
    return std::min(pi, source_.area * std::min(1.0, above / distance) / (distance * distance));
}

double GlowLight::reach_of(double lux) const {
    return lux > pi ? 0 : radius_ + std::sqrt(source_.area / lux);
}

float GlowLight::weigh(const Spot& spot, const glm::vec3& position, const glm::vec3& normal) const {
    const glm::vec3 way = spot.position - position;
    const float before = -glm::dot(way, spot.normal), above = glm::dot(way, normal);
    if (!(before > 0) || !(above > 0))
        return 0;
    bool is_seen = true;
    if (const glm::dvec3 from(position); is_before(source_.aperture, from))
        for_each_edge_plane(source_.aperture, from, [&](const glm::dvec3& plane) {
            is_seen = is_seen && glm::dot(plane, glm::dvec3(way)) > 0;
        });
    const float square = glm::dot(way, way);
    return is_seen ? before * above / (square * square) : 0;
}

double GlowLight::measure_share(const glm::vec3& position, const glm::vec3& normal, double lux,
                                GlowPart part) const {
    const int parts = static_cast<int>(part.count),
              first_spots = lux < faint_lux && parts == 1 ? pilots / 2 : pilots / parts;
    const int most = (lux < faintest_lux ? pilots / 4 : lux < faint_lux ? pilots : most_spots) / parts;
    const glm::vec3 origin = step_off(position, normal);
    std::array<Ray, most_spots> rays;
    std::array<float, most_spots> weights;
    std::size_t count = 0;
    double all = 0, seen = 0;
    const auto trace = [&] {
        stage_.kernel->find_occluded(std::span(rays).first(count), Coherence::incoherent);
        for (std::size_t i = 0; i < count; ++i)
            seen += rays[i].is_occluded() ? 0 : static_cast<double>(weights[i]);
        count = 0;
    };
    int facing = 0;
    // Spots that follow one another lie far apart, so that a run of them is spread evenly as well.
    const std::size_t first = spots_.size() * part.index / part.count;
    for (std::size_t i = 0; i < spots_.size(); ++i) {
        const Spot& spot = spots_[(first + i) % spots_.size()];
        const float weight = weigh(spot, position, normal);
        if (!(weight > 0))
            continue;
        all += static_cast<double>(weight);
        if (!spot.is_covered) {
            rays[count] = make_shadow_ray(origin, spot.position);
            weights[count++] = weight;
        }
        if (++facing == most)
            break;
        if (facing == first_spots) {
            trace();
            if (seen == 0 || seen > all * (1 - 1e-6))
                break;
        }
    }
    if (count > 0)
        trace();
    return all > 0 ? seen / all : 1; // a sliver that no spot lies in
}

glm::dvec3 GlowLight::trace(const glm::vec3& position, const glm::vec3& normal, GlowPart part) const {
    const double open = open_lux(glm::dvec3(position), glm::dvec3(normal));
    const double lux = open * luminance_of(luminance());
    if (!(lux > least_lux))
        return glm::dvec3(0);
    // Held to a float's digits, as a lamp's light is: the last ones of an arc tangent differ from one C
    // library to the next.
    const auto seen = static_cast<float>(open * measure_share(position, normal, lux, part));
    return static_cast<double>(seen) * luminance();
}

std::optional<glm::vec3> GlowLight::find_spot(const glm::vec3& position, const glm::vec3& normal,
                                              int index) const {
    const Spot* found = nullptr;
    for (const Spot& spot : spots_)
        if (weigh(spot, position, normal) > 0) {
            found = &spot;
            if (index-- == 0)
                break;
        }
    return found == nullptr || found->is_covered ? std::nullopt : std::optional(found->position);
}

std::vector<GlowLight> make_glow_lights(const Stage& stage) {
    std::vector<GlowLight> lights;
    for (const GlowSource& source : stage.glow_sources)
        lights.emplace_back(stage, source);
    return lights;
}

double GlowLight::open_area() const {
    const auto open =
        std::count_if(spots_.begin(), spots_.end(), [](const Spot& spot) { return !spot.is_covered; });
    return source_.area * static_cast<double>(open) / static_cast<double>(spots_.size());
}

std::vector<GlowLight::Landing> GlowLight::trace_landings() const {
    std::vector<Spot> open;
    for (const Spot& spot : spots_)
        if (!spot.is_covered)
            open.push_back(spot);
    std::vector<Landing> landings(open.empty() ? 0 : landing_count);
    parallel_for(landings.size(), [&](std::size_t i) {
        // A sunflower's points of the disk below, lifted to the hemisphere (Vogel 1979).
        const Spot& spot = open[i % open.size()];
        const TangentFrame<double> frame(glm::dvec3(spot.normal));
        const double square = (static_cast<double>(i) + 0.5) / landing_count,
                     angle = golden_angle * static_cast<double>(i);
        Landing& landing = landings[i];
        landing.from = step_off(spot.position, spot.normal);
        landing.direction =
            glm::vec3(std::sqrt(square) * (std::cos(angle) * frame.first + std::sin(angle) * frame.second) +
                      std::sqrt(1 - square) * glm::dvec3(spot.normal));
        landing.hit = stage_.kernel->find_hit(landing.from, landing.direction, 0, 1e5f);
    });
    return landings;
}

std::vector<glm::dvec3> trace_glow(const Stage& stage, const Sensors& sensors) {
    const std::vector<GlowLight> lights = make_glow_lights(stage);
    std::vector<glm::dvec3> sum(lights.empty() ? 0 : sensors.size(), glm::dvec3(0));
    parallel_ranges(sum.size(), 256, [&](std::size_t from, std::size_t to) {
        for (const GlowLight& light : lights)
            for (std::size_t i = from; i < to; ++i)
                sum[i] += light.trace(sensors.position(i), sensors.normal(i));
    });
    return sum;
}

std::vector<double> glow_on_sensors(const Stage& stage, const Sensors& sensors) {
    std::vector<double> lux;
    for (const glm::dvec3& colour : trace_glow(stage, sensors))
        lux.push_back(luminance_of(colour));
    return lux;
}

} // namespace duskcast
