#include "duskcast/measure/stray.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "duskcast/light/first_hits.hpp"
#include "duskcast/light/glow.hpp"
#include "duskcast/measure/report.hpp"

namespace duskcast {

namespace {

constexpr int worst_planes = 72;

/// The eyes of views, then those that the site names.
std::vector<Eye> list_eyes(const Site& site) {
    std::vector<Eye> eyes;
    for (const View& view : site.views)
        eyes.push_back({.id = view.id, .at = view.eye, .look_at = view.look_at});
    eyes.insert(eyes.end(), site.eyes.begin(), site.eyes.end());
    return eyes;
}

double measure_visible_share(const Stage& stage, const Lens& lens, const glm::vec3& eye) {
    const std::size_t count = lens.diameter > 0 ? Sight::lens_samples : 1;
    std::vector<Ray> rays(count);
    for (std::size_t i = 0; i < count; ++i) {
        const glm::vec3 end = lens.diameter > 0 ? lens_spot(lens, eye, static_cast<int>(i)) : lens.centre;
        rays[i] = make_shadow_ray(eye, end);
    }
    stage.kernel->find_occluded(rays, Coherence::coherent);
    const auto seen =
        std::count_if(rays.begin(), rays.end(), [](const Ray& ray) { return !ray.is_occluded(); });
    return static_cast<double>(seen) / static_cast<double>(count);
}

FixtureInView measure_fixture_in_view(const Stage& stage, const LitFixture& fixture, const Eye& eye) {
    FixtureInView seen{.eye = eye.id, .fixture = fixture.id};
    const glm::dvec3 lens(fixture.lens.centre);
    const glm::dvec3 way = eye.at - lens;
    seen.distance = glm::length(way);
    if (!(seen.distance > 2 * static_cast<double>(surface_offset)))
        return seen; // an eye in the lens: there is no direction to speak of
    seen.visible_share = measure_visible_share(stage, fixture.lens, glm::vec3(eye.at));
    seen.candela = seen.visible_share * FixtureCandela(fixture).towards(glm::vec3(way / seen.distance));
    if (eye.look_at) {
        const glm::dvec3 sight = glm::normalize(*eye.look_at - eye.at);
        seen.off_sight = std::acos(std::clamp(glm::dot(sight, -way) / seen.distance, -1.0, 1.0));
    }
    return seen;
}

/// The limit's own count: in the upper half of the sphere, whether or not something is in the way there.
double measure_upward_lumens(const LitFixture& fixture) {
    const std::span<const glm::vec3> rays = lens_directions();
    const std::vector<double> lumens = share_lumens(fixture);
    double up = 0;
    for (std::size_t i = 0; i < rays.size(); ++i)
        up += rays[i].z > 0 ? lumens[i] : 0;
    return up;
}

std::vector<WatchReport> measure_watch_points(const Site& site, const Stage& stage, const Lighting& lighting,
                                              const std::vector<double>& bounced_lx) {
    const WatchPlanes planes = make_watch_planes(site);
    const std::size_t count = planes.sensors.size();
    std::vector<double> direct_lx(count, 0.0);
    std::vector<std::vector<float>> layers;
    for (const LitFixture& fixture : lighting.fixtures) {
        std::vector<float>& layer = layers.emplace_back(count);
        if (count > 0) {
            const Sight sight =
                trace_sight(stage, planes.sensors, static_cast<std::uint32_t>(count), fixture.lens);
            evaluate_layer(sight, planes.sensors, fixture.aim, fixture.table, fixture.scale, layer);
        }
        for (std::size_t i = 0; i < count; ++i)
            direct_lx[i] += static_cast<double>(layer[i]);
    }
    const std::vector<double> glow_lx = glow_on_sensors(stage, planes.sensors);
    const auto bounced_at = [&](std::size_t i) { return i < bounced_lx.size() ? bounced_lx[i] : 0.0; };
    std::vector<WatchReport> reports;
    for (std::size_t p = 0; p < site.watch_points.size(); ++p) {
        const WatchPoint& point = site.watch_points[p];
        std::size_t brightest = planes.first[p];
        for (std::size_t i = brightest; i < planes.first[p + 1]; ++i)
            if (direct_lx[i] + bounced_at(i) > direct_lx[brightest] + bounced_at(brightest))
                brightest = i;
        WatchReport report{.id = point.id,
                           .kind = point.kind,
                           .position = point.at,
                           .facing = planes.facing[brightest],
                           .is_worst = !point.facing,
                           .direct_lx = direct_lx[brightest],
                           .bounced_lx = bounced_at(brightest),
                           .glow_lx = glow_lx.empty() ? 0 : glow_lx[brightest]};
        for (std::size_t f = 0; f < layers.size(); ++f)
            if (const auto lux = static_cast<double>(layers[f][brightest]); lux > report.most_lx) {
                report.most_lx = lux;
                report.most_from = lighting.fixtures[f].id;
            }
        reports.push_back(report);
    }
    return reports;
}

} // namespace

ZoneLimits limits_of(Zone zone) {
    // CIE 150:2003 and EN 12193:2008 as a secondary source quotes them. The figures marked as
    // remembered have not been looked up. E0 has no figures of light on properties. The edition of 2017 makes
    // the candela depend on distance and bright area; these flat ones are the older edition's.
    constexpr LimitSource quoted = LimitSource::quoted, remembered = LimitSource::remembered;
    struct Row {
        std::optional<double> vertical, late_vertical, upward;
        double candela, late_candela;
    };
    const std::array<Row, 5> rows{{{{}, {}, {}, 0, 0},
                                   {2, 0.1, 0.00, 2500, 0},
                                   {5, 1, 0.05, 7500, 500},
                                   {10, 2, 0.15, 10000, 1000},
                                   {25, 5, 0.25, 25000, 2500}}};
    const Row& row = rows[static_cast<std::size_t>(zone)];
    const auto limit = [](const std::optional<double>& value, LimitSource source) {
        return value ? std::optional(StrayLimit{*value, source}) : std::nullopt;
    };
    return {.vertical_lx = limit(row.vertical, quoted),
            .late_vertical_lx = limit(row.late_vertical, remembered),
            .candela = limit(row.candela, zone == Zone::e0 ? remembered : quoted),
            .late_candela = limit(row.late_candela, remembered),
            .upward_share = limit(row.upward, quoted)};
}

WatchPlanes make_watch_planes(const Site& site) {
    WatchPlanes planes;
    for (const WatchPoint& point : site.watch_points) {
        planes.first.push_back(planes.sensors.size());
        const int count = point.facing ? 1 : worst_planes;
        for (int i = 0; i < count; ++i) {
            const double azimuth = point.facing.value_or(2 * pi * i / worst_planes);
            planes.sensors.add(glm::vec3(point.at), {std::sin(azimuth), std::cos(azimuth), 0}, 0);
            planes.facing.push_back(azimuth);
        }
    }
    planes.first.push_back(planes.sensors.size());
    return planes;
}

bool asks_for_stray(const Site& site) {
    return site.zone || !site.watch_points.empty() || !site.eyes.empty();
}

StrayReport measure_stray(const Site& site, const Stage& stage, const Lighting& lighting, const Spill& spill,
                          const std::vector<double>& bounced_lx) {
    StrayReport report;
    report.zone = site.zone;
    if (site.zone)
        report.limits = limits_of(*site.zone);
    report.watch_points = measure_watch_points(site, stage, lighting, bounced_lx);
    for (const Eye& eye : list_eyes(site))
        for (const LitFixture& fixture : lighting.fixtures)
            report.fixtures_in_view.push_back(measure_fixture_in_view(stage, fixture, eye));
    if (spill.emitted_lm > 0) {
        double upward_lm = 0;
        for (const LitFixture& fixture : lighting.fixtures)
            upward_lm += measure_upward_lumens(fixture);
        report.upward_share = upward_lm / spill.emitted_lm;
        report.sky_share = spill.sky_lm / spill.emitted_lm;
    }
    return report;
}

} // namespace duskcast
