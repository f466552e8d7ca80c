#include "duskcast/measure/spill.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <tbb/parallel_for.h>

namespace duskcast {

namespace {

Landing::Place place_of(const Stage& stage, const std::vector<Region>& targets, const glm::vec3& from,
                        const glm::vec3& direction) {
    const Hit hit = stage.kernel->find_hit(from, direction, surface_offset, 1e5f);
    if (!hit) // the ground goes on beyond its rectangle
        return direction.z < 0 ? Landing::Place::ground : Landing::Place::sky;
    const glm::vec3 point = from + hit.distance * direction;
    const int surface = stage.surface_of(hit, point);
    for (const Region& target : targets)
        if (target.contains(surface, glm::dvec3(point)))
            return Landing::Place::target;
    return stage.surfaces[surface].kind == SurfaceKind::ground ? Landing::Place::ground
                                                               : Landing::Place::other;
}

} // namespace

glm::vec3 landing_direction(int index) {
    // Spherical Fibonacci points: equal bands of z, golden-angle steps round (Hannay and Nye 2004).
    const double z = 1 - (2.0 * index + 1) / Landing::directions;
    const double level = std::sqrt(1 - z * z);
    const double angle = 2.399963229728653 * index;
    return {static_cast<float>(level * std::cos(angle)), static_cast<float>(level * std::sin(angle)),
            static_cast<float>(z)};
}

Landing trace_landing(const Stage& stage, const Lens& lens, const std::vector<Region>& targets) {
    Landing landing;
    landing.place.resize(Landing::directions);
    // A lens let into the ground looks out just above it.
    glm::vec3 from = lens.centre;
    from.z = std::max(from.z, 2 * surface_offset);
    tbb::parallel_for(0, Landing::directions, [&](int i) {
        landing.place[i] = place_of(stage, targets, from, landing_direction(i));
    });
    return landing;
}

void add_spill(const Landing& landing, const LitFixture& fixture, Spill& spill) {
    const glm::mat3 lamp_from_world(glm::transpose(world_from_fixture(fixture.aim)));
    std::array<double, 4> candela{};
    for (int i = 0; i < Landing::directions; ++i)
        candela[static_cast<std::size_t>(landing.place[i])] +=
            static_cast<double>(fixture.table.candela(lamp_from_world * landing_direction(i))) *
            fixture.lens.open_share(landing_direction(i).z);
    const double sum = std::accumulate(candela.begin(), candela.end(), 0.0);
    spill.emitted_lm += fixture.lumens;
    if (!(sum > 0))
        return;
    // Weighted by the lamp's lumens, not by equal parts of 4 pi, so that the parts add up to them.
    const auto lumens_on = [&](Landing::Place place) {
        return fixture.lumens * candela[static_cast<std::size_t>(place)] / sum;
    };
    spill.sky_lm += lumens_on(Landing::Place::sky);
    spill.ground_lm += lumens_on(Landing::Place::ground);
    spill.other_lm += lumens_on(Landing::Place::other);
    spill.target_lm += lumens_on(Landing::Place::target);
}

} // namespace duskcast
