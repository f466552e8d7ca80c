#include "duskcast/light/lighting.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "duskcast/light/glow.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/site/layout.hpp"

namespace duskcast {

double measure_leaving_lumens(const LitFixture& fixture) {
    const double all = fixture.table.lumens() * fixture.scale;
    if (!fixture.lens.is_covered())
        return all;
    // Even steps in s = sin(gamma / 2), as in the table, are finest where narrow beams are.
    constexpr int rings = 1000, spokes = 72;
    const glm::dmat3 world_from_lamp = world_from_fixture(fixture.aim);
    double open = 0, sum = 0;
    for (int ring = 0; ring < rings; ++ring) {
        const double s = (ring + 0.5) / rings;
        for (int spoke = 0; spoke < spokes; ++spoke) {
            const glm::dvec3 direction = direction_at(2 * pi * spoke / spokes, 2 * std::asin(s));
            const double weight = s * static_cast<double>(fixture.table.candela(glm::vec3(direction)));
            if (!(weight > 0))
                continue;
            sum += weight;
            open += weight * fixture.lens.open_share((world_from_lamp * direction).z);
        }
    }
    return sum > 0 ? all * open / sum : 0;
}

FixtureMaker::KnownLamp& FixtureMaker::find(const Lamp& lamp) {
    for (KnownLamp& known : known_)
        if (known.lamp == lamp)
            return known;
    return known_.emplace_back(KnownLamp{lamp, make_lamp_light(lamp, folder_), {}});
}

LitFixture FixtureMaker::make(const Site& site, const Fixture& description) {
    LitFixture fixture = make_without_lumens(site, description);
    fixture.lumens = measure_leaving_lumens(fixture);
    return fixture;
}

LitFixture FixtureMaker::make_without_lumens(const Site& site, const Fixture& description) {
    const PlacedFixture placed = place_fixture(site, description);
    const Lamp* lamp = find_lamp(site, description.lamp);
    if (lamp == nullptr)
        throw InputError(
            Problem{.what = "fixture " + description.id + " has no lamp \"" + description.lamp + "\"",
                    .remedy = "name one of the site's lamps"});
    KnownLamp& known = find(*lamp);
    const LampLight& light = known.light;

    const bool is_well = description.kind == FixtureKind::in_ground;
    Shield shield{.lens_diameter = lens_diameter_of(description, light.opening_diameter),
                  .shroud_length = description.shroud_length,
                  .hood_length = description.hood_length};
    LitFixture fixture;
    fixture.id = description.id;
    fixture.lens = {.centre = glm::vec3(placed.position),
                    .diameter = static_cast<float>(shield.lens_diameter),
                    .is_flush = is_well};
    (is_well ? fixture.lens.rim : shield.rim) = description.rim;
    (is_well ? fixture.lens.louvre : shield.louvre) = description.louvre;
    fixture.aim = placed.aim;
    auto table = std::find_if(known.tables.begin(), known.tables.end(),
                              [&](const KnownTable& one) { return one.shield == shield; });
    if (table == known.tables.end())
        table = known.tables.insert(table, {shield, IntensityTable(light.distribution, shield)});
    fixture.table = table->table;
    fixture.loss = light_loss_of(site, description);
    // LM-63 counts tilt from the beam straight down.
    fixture.scale = fixture.loss.total() * description.dimming * light.tilt.factor_at(pi - placed.aim.tilt);
    fixture.watts = light.watts * description.dimming;
    fixture.colour = light_colour(lamp->cct);
    return fixture;
}

std::vector<LitFixture> FixtureMaker::make_all(const Site& site) {
    std::vector<LitFixture> fixtures;
    for (const Fixture& description : site.fixtures)
        fixtures.push_back(make(site, description));
    return fixtures;
}

std::vector<LitFixture> make_fixtures(const Site& site, const std::filesystem::path& folder) {
    return FixtureMaker(folder).make_all(site);
}

Lighting trace_lighting(const Stage& stage, std::vector<LitFixture> fixtures, const Progress& progress,
                        std::span<const Sight> known) {
    Lighting lighting{.stage = &stage};
    lighting.fixtures = std::move(fixtures);
    lighting.direct_lx.assign(stage.sensors.size(), 0.0);
    for (std::size_t i = 0; i < lighting.fixtures.size(); ++i) {
        const Lens& lens = lighting.fixtures[i].lens;
        const auto held =
            std::find_if(known.begin(), known.end(), [&](const Sight& sight) { return sight.lens == lens; });
        lighting.sights.push_back(held != known.end() ? *held : trace_sight(stage, lens));
        const std::vector<float> layer = fixture_layer(lighting, i);
        for (std::size_t s = 0; s < layer.size(); ++s)
            lighting.direct_lx[s] += static_cast<double>(layer[s]);
        if (progress)
            progress(static_cast<double>(i + 1) / static_cast<double>(lighting.fixtures.size()));
    }
    lighting.glow_lx = glow_on_sensors(stage, stage.sensors);
    for (std::size_t s = 0; s < lighting.glow_lx.size(); ++s)
        lighting.direct_lx[s] += lighting.glow_lx[s];
    return lighting;
}

std::vector<float> fixture_layer(const Lighting& lighting, std::size_t fixture) {
    const LitFixture& lit = lighting.fixtures[fixture];
    const Sensors& sensors = lighting.stage->sensors;
    std::vector<float> layer(sensors.size());
    evaluate_layer(lighting.sights[fixture], sensors, lit.aim, lit.table, lit.scale, layer);
    return layer;
}

void add_direct_light(const Stage& stage, const LitFixture& fixture, const Sensors& sensors, double least,
                      std::span<double> sums) {
    if (fixture.table.values().empty())
        return;
    const FixtureCandela candela(fixture);
    const Lens& lens = fixture.lens;
    const float near_distance = Sight::near_range * lens.diameter;
    Sensors reached;
    std::vector<std::size_t> places;
    for (std::size_t i = 0; i < sensors.size(); ++i) {
        const glm::vec3 position = sensors.position(i), normal = sensors.normal(i);
        const glm::vec3 way = position - lens.centre;
        const float square = glm::dot(way, way), facing = -glm::dot(way, normal);
        if (square > near_distance * near_distance) {
            const float distance = std::sqrt(square);
            if (!(facing > 0) || candela.towards(way / distance) * static_cast<double>(facing) <
                                     least * static_cast<double>(square * distance))
                continue;
        }
        reached.add(position, normal, sensors.area[i]);
        places.push_back(i);
    }
    const Sight sight = trace_sight(stage, reached, 0, lens);
    std::vector<float> layer(reached.size());
    evaluate_layer(sight, reached, fixture.aim, fixture.table, fixture.scale, layer);
    for (std::size_t i = 0; i < places.size(); ++i)
        sums[places[i]] += static_cast<double>(layer[i]);
}

void change_aim(Lighting& lighting, std::size_t fixture, const Aim& aim) {
    const std::vector<float> before = fixture_layer(lighting, fixture);
    LitFixture& turned = lighting.fixtures[fixture];
    turned.aim = aim;
    turned.lumens = measure_leaving_lumens(turned);
    const std::vector<float> after = fixture_layer(lighting, fixture);
    for (std::size_t i = 0; i < after.size(); ++i)
        lighting.direct_lx[i] += static_cast<double>(after[i]) - static_cast<double>(before[i]);
}

} // namespace duskcast
