#include "duskcast/measure/spill.hpp"

#include <algorithm>
#include <array>

#include "duskcast/base/parallel.hpp"
#include "duskcast/light/first_hits.hpp"
#include "duskcast/light/glow.hpp"
#include "duskcast/photometry/light_colour.hpp"

namespace duskcast {

namespace {

LandingPlace place_of(const Stage& stage, const std::vector<Region>& targets, const Hit& hit,
                      const glm::vec3& from, const glm::vec3& direction) {
    if (!hit) // the ground goes on beyond its rectangle
        return direction.z < 0 ? LandingPlace::ground : LandingPlace::sky;
    const glm::vec3 point = from + hit.distance * direction;
    const int surface = stage.surface_of(hit, point);
    for (const Region& target : targets)
        if (target.contains(surface, glm::dvec3(point)))
            return LandingPlace::target;
    return stage.surfaces[surface].kind == SurfaceKind::ground ? LandingPlace::ground : LandingPlace::other;
}

/// What is met first in directions of a beam's own.
LandingPlaces find_places(const Stage& stage, const Lens& lens, const std::vector<Region>& targets,
                          const std::vector<glm::vec3>& directions) {
    const glm::vec3 from = first_hit_origin(lens);
    LandingPlaces places(directions.size());
    parallel_for(places.size(), [&](std::size_t i) {
        const Hit hit = stage.kernel->find_hit(from, directions[i], surface_offset, 1e5f);
        places[i] = place_of(stage, targets, hit, from, directions[i]);
    });
    return places;
}

} // namespace

LandingPlaces find_places(const Stage& stage, const Lens& lens, const std::vector<Region>& targets) {
    const DirectionGrid& rays = lens_direction_grid();
    const std::vector<Hit> hits = trace_first_hits(stage, lens);
    const glm::vec3 from = first_hit_origin(lens);
    LandingPlaces places(hits.size());
    parallel_for(hits.size(), [&](std::size_t place) {
        places[rays.order()[place]] = place_of(stage, targets, hits[place], from, rays.direction(place));
    });
    return places;
}

std::vector<GlowReport> measure_glow(const Stage& stage, const std::vector<Region>& targets) {
    std::vector<GlowReport> reports;
    const std::vector<GlowLight> lights = make_glow_lights(stage);
    for (std::size_t g = 0; g < lights.size(); ++g) {
        const Surface& surface = stage.surfaces[stage.glow_sources[g].surface];
        GlowReport report{.id = surface.id,
                          .kind = surface.kind,
                          .area = lights[g].open_area(),
                          .luminance = luminance_of(lights[g].luminance())};
        report.lumens = pi * report.area * report.luminance;
        const std::vector<GlowLight::Landing> landings = lights[g].trace_landings();
        std::vector<LandingPlace> places(landings.size());
        parallel_for(landings.size(), [&](std::size_t i) {
            places[i] = place_of(stage, targets, landings[i].hit, landings[i].from, landings[i].direction);
        });
        const auto lumens_on = [&](LandingPlace place) {
            return report.lumens * static_cast<double>(std::count(places.begin(), places.end(), place)) /
                   GlowLight::landing_count;
        };
        report.target_lm = lumens_on(LandingPlace::target);
        report.other_lm = lumens_on(LandingPlace::other);
        report.ground_lm = lumens_on(LandingPlace::ground);
        report.sky_lm = lumens_on(LandingPlace::sky);
        reports.push_back(report);
    }
    return reports;
}

void add_spill(const Stage& stage, const std::vector<Region>& targets, const LandingPlaces& places,
               const LitFixture& fixture, Spill& spill) {
    const std::vector<double> share = share_lumens(fixture);
    std::array<double, 4> lumens{};
    if (is_narrow(share)) {
        const BeamRays beam = make_beam_rays(fixture);
        const LandingPlaces landing = find_places(stage, fixture.lens, targets, beam.directions);
        for (std::size_t i = 0; i < landing.size(); ++i)
            lumens[static_cast<std::size_t>(landing[i])] += beam.lumens[i];
    } else {
        for (std::size_t i = 0; i < share.size(); ++i)
            lumens[static_cast<std::size_t>(places[i])] += share[i];
    }
    const auto lumens_on = [&](LandingPlace place) { return lumens[static_cast<std::size_t>(place)]; };
    spill.add({.emitted_lm = fixture.lumens,
               .target_lm = lumens_on(LandingPlace::target),
               .other_lm = lumens_on(LandingPlace::other),
               .ground_lm = lumens_on(LandingPlace::ground),
               .sky_lm = lumens_on(LandingPlace::sky)});
}

void Spill::add(const Spill& more) {
    emitted_lm += more.emitted_lm;
    target_lm += more.target_lm;
    other_lm += more.other_lm;
    ground_lm += more.ground_lm;
    sky_lm += more.sky_lm;
    sky_bounced_lm += more.sky_bounced_lm;
}

} // namespace duskcast
