#include "duskcast/light/lighting.hpp"

#include <map>
#include <utility>

#include "duskcast/site/layout.hpp"

namespace duskcast {

namespace {

std::vector<float> make_layer(const LitFixture& fixture, const Sight& sight, const Stage& stage) {
    std::vector<float> layer(stage.sensors.size());
    evaluate_layer(sight, stage.sensors, fixture.aim, fixture.table, fixture.scale, layer);
    return layer;
}

/// Changes a fixture and exchanges its part in the sum.
template <class Change>
void replace_layer(Lighting& lighting, const Stage& stage, std::size_t index, Change change) {
    LitFixture& fixture = lighting.fixtures[index];
    const std::vector<float> before = make_layer(fixture, lighting.sights[index], stage);
    change(fixture);
    const std::vector<float> after = make_layer(fixture, lighting.sights[index], stage);
    for (std::size_t i = 0; i < after.size(); ++i)
        lighting.direct_lx[i] += static_cast<double>(after[i]) - static_cast<double>(before[i]);
}

} // namespace

std::vector<LitFixture> make_fixtures(const Site& site, const std::filesystem::path& folder) {
    std::vector<LitFixture> fixtures;
    struct Read {
        Distribution distribution;
        Lm63Tilt tilt;
    };
    std::map<std::string, Read> lamps; // each file is read once, however many fixtures use it
    for (const Fixture& description : site.fixtures) {
        const PlacedFixture placed = place_fixture(site, description);
        const Lamp* lamp = find_lamp(site, description.lamp);
        if (lamp == nullptr)
            throw InputError(
                Problem{.what = "fixture " + description.id + " has no lamp \"" + description.lamp + "\"",
                        .remedy = "name one of the site's lamps"});
        LitFixture fixture;
        fixture.id = description.id;
        fixture.lens = {.centre = glm::vec3(placed.position),
                        .diameter = static_cast<float>(description.lens_diameter),
                        .is_flush = description.kind == FixtureKind::in_ground};
        fixture.aim = placed.aim;
        auto read = lamps.find(lamp->id);
        if (read == lamps.end())
            read = lamps.emplace(lamp->id, Read{lamp_distribution(*lamp, folder), lamp_tilt(*lamp, folder)})
                       .first;
        fixture.table = IntensityTable(read->second.distribution,
                                       Shroud{description.shroud_length, description.lens_diameter});
        // LM-63 counts tilt from the beam straight down.
        fixture.scale = description.light_loss_factor * description.dimming *
                        read->second.tilt.factor_at(pi - placed.aim.tilt);
        fixture.lumens = fixture.table.lumens() * fixture.scale;
        fixtures.push_back(std::move(fixture));
    }
    return fixtures;
}

Lighting trace_lighting(const Stage& stage, std::vector<LitFixture> fixtures, const Progress& progress) {
    Lighting lighting;
    lighting.fixtures = std::move(fixtures);
    lighting.direct_lx.assign(stage.sensors.size(), 0.0);
    for (std::size_t i = 0; i < lighting.fixtures.size(); ++i) {
        lighting.sights.push_back(trace_sight(stage, lighting.fixtures[i].lens));
        const std::vector<float> layer = fixture_layer(lighting, stage, i);
        for (std::size_t s = 0; s < layer.size(); ++s)
            lighting.direct_lx[s] += static_cast<double>(layer[s]);
        if (progress)
            progress(static_cast<double>(i + 1) / static_cast<double>(lighting.fixtures.size()));
    }
    return lighting;
}

std::vector<float> fixture_layer(const Lighting& lighting, const Stage& stage, std::size_t fixture) {
    return make_layer(lighting.fixtures[fixture], lighting.sights[fixture], stage);
}

void change_aim(Lighting& lighting, const Stage& stage, std::size_t fixture, const Aim& aim) {
    replace_layer(lighting, stage, fixture, [&](LitFixture& turned) { turned.aim = aim; });
}

void change_lamp(Lighting& lighting, const Stage& stage, std::size_t fixture, IntensityTable table,
                 double scale) {
    replace_layer(lighting, stage, fixture, [&](LitFixture& changed) {
        changed.table = std::move(table);
        changed.scale = scale;
        changed.lumens = changed.table.lumens() * scale;
    });
}

} // namespace duskcast
