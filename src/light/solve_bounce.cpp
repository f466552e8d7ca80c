#include "duskcast/light/solve_bounce.hpp"

#include <algorithm>
#include <numeric>
#include <stdexcept>

#include "duskcast/base/parallel.hpp"
#include "duskcast/light/first_hits.hpp"
#include "duskcast/light/glow.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "exchange_levels.hpp"
#include "light_sum.hpp"

namespace duskcast {

namespace {

constexpr int most_bounces = 200; ///< never reached unless nothing absorbs

PatchLight operator+(const PatchLight& a, const PatchLight& b) {
    return {a.r + b.r, a.g + b.g, a.b + b.b, 0};
}
PatchLight operator*(float a, const PatchLight& b) {
    return {a * b.r, a * b.g, a * b.b, 0};
}
PatchLight operator*(const glm::vec3& a, const PatchLight& b) {
    return {a.x * b.r, a.y * b.g, a.z * b.b, 0};
}
double luminance_of(const PatchLight& light) {
    return duskcast::luminance_of(light.rgb());
}

constexpr std::size_t grain = 512;

/// One bounce: what each patch sends off (weighed by its balance) gathered by every other.
void gather(const Bounce& bounce, const std::vector<PatchLight>& sent, std::vector<PatchLight>& arriving) {
    parallel_ranges(sent.size(), grain, [&](std::size_t first, std::size_t last) {
        for (std::size_t i = first; i < last; ++i) {
            LinkReader link(bounce.link, bounce.row[i]);
            std::uint32_t left = bounce.row[i + 1] - bounce.row[i];
            const auto add_next = [&](LightSum& to) {
                link.next();
                to.add(link.exchange(), sent[link.partner()]);
            };
            LightSum a, b, c, d; // side by side, so that no addition waits for the one before
            for (; left >= 4; left -= 4) {
                add_next(a);
                add_next(b);
                add_next(c);
                add_next(d);
            }
            for (; left > 0; --left)
                add_next(a);
            const PatchLight sum = (a.light() + b.light()) + (c.light() + d.light());
            const float area = bounce.patches.area[i];
            arriving[i] = (area > 0 ? bounce.balance[i] / area : 0.0f) * sum;
        }
    });
}

/// What a patch sends off of the light that comes to it and, through leaves, to its other side.
PatchLight sent_by(const Patches& patches, const std::vector<PatchLight>& arriving, std::uint32_t i) {
    PatchLight sent = patches.reflectance[i] * arriving[i];
    if (patches.is_leaf(i))
        sent = sent + patches.transmittance(i) * arriving[patches.behind(i)];
    return sent;
}

/// Light on patches: lux times area.
double lumens_on(const Patches& patches, const std::vector<PatchLight>& light) {
    double sum = 0;
    for (std::size_t i = 0; i < light.size(); ++i)
        sum += static_cast<double>(patches.area[i]) * luminance_of(light[i]);
    return sum;
}

/// Steps of exchange between grid neighbours; lumens are kept.
void smooth(const Bounce& bounce, std::vector<PatchLight>& light) {
    for (int step = 0; step < smoothing_steps; ++step)
        for (const SmoothingLink& link : bounce.smoothing) {
            const PatchLight difference = light[link.second] + -1.0f * light[link.first];
            light[link.first] = light[link.first] + link.of_first * difference;
            light[link.second] = light[link.second] + -link.of_second * difference;
        }
}

/// The patches next to sensors by their links, and what they send off by that.
void read_patches(const Bounce& bounce, BouncedState& state) {
    const std::vector<SourceLight> lights = bounce.tree.gather_light(state.sent);
    const std::vector<std::uint32_t>& linked = bounce.linked_patch;
    parallel_ranges(linked.size(), grain, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const std::uint32_t patch = linked[i];
            state.bounced[patch] = bounce.patch_links.receive(i, lights, static_cast<float>(state.ambient));
            state.sent[patch] =
                bounce.patches.reflectance[patch] * (state.direct[patch] + state.bounced[patch]);
        }
    });
}

/// Lux, one a sensor; 0 at those that have no links and are not between any.
std::vector<double> read_sensors(const LinkedSensors& linked, std::span<const SourceLight> lights,
                                 double ambient, std::size_t sensors) {
    std::vector<double> of_row(linked.links.size());
    parallel_ranges(of_row.size(), grain, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i)
            of_row[i] = luminance_of(linked.links.receive(i, lights, static_cast<float>(ambient)));
    });
    const auto add_up = [&](std::uint32_t first, std::uint32_t last) {
        return std::accumulate(of_row.begin() + first, of_row.begin() + last, 0.0);
    };
    std::vector<double> lux(sensors, 0.0);
    for (std::size_t i = 0; i < linked.sensor.size(); ++i)
        lux[linked.sensor[i]] = add_up(linked.row[i], linked.row[i + 1]);
    for (const SensorBetween& between : linked.between)
        for (std::size_t k = 0; k < between.row.size(); ++k)
            lux[between.sensor] += static_cast<double>(between.weight[k]) *
                                   add_up(between.row[k], between.row[k] + between.rows[k]);
    // Past the last corner of a block light that runs straight would fall below none.
    for (double& one : lux)
        one = std::max(0.0, one);
    return lux;
}

glm::dvec3 blend(const PatchBlend& blend, const std::vector<PatchLight>& light) {
    glm::dvec3 sum(0);
    for (int i = 0; i < PatchBlend::spots; ++i) {
        if (!(blend.weight[i] > 0))
            continue;
        sum += static_cast<double>(blend.weight[i]) * light[blend.patch[i]].rgb();
    }
    return sum;
}

LensArrival find_arrival(const Bounce& bounce, const LitFixture& fixture, const LensTransport& transport) {
    const Patches& patches = bounce.patches;
    LensArrival arrival{.lumens = std::vector<float>(patches.size())};
    const std::vector<double> lumens = share_lumens(fixture);
    for (std::size_t i = 0; i < lumens.size(); ++i) {
        const std::uint32_t patch = transport.patch[i];
        if (patch >= LensTransport::sky)
            (patch == LensTransport::sky ? arrival.sky : arrival.lost) += lumens[i];
        else if (!(patches.area[patch] > 0)) // nearly all of it is buried; a ray met the rest
            arrival.lost += lumens[i];
        else
            arrival.lumens[patch] += static_cast<float>(lumens[i]);
    }
    // Where few rays land: the lumens at the spots, scaled to the sum of the rays.
    std::vector<float> layer(bounce.spots.sensors.size());
    evaluate_layer(transport.sight, bounce.spots.sensors, fixture.aim, fixture.table, fixture.scale, layer);
    double counted = 0, found = 0;
    for (std::uint32_t i = 0; i < patches.size(); ++i) {
        if (transport.is_dense[i])
            continue;
        counted += static_cast<double>(arrival.lumens[i]);
        const std::uint32_t first = bounce.spots.first_of(i), last = bounce.spots.first_of(i + 1);
        arrival.lumens[i] = patches.area[i] * bounce.spots.weight[i] *
                            std::accumulate(layer.begin() + first, layer.begin() + last, 0.0f);
        found += static_cast<double>(arrival.lumens[i]);
    }
    const auto match = static_cast<float>(found > 0 ? counted / found : 0);
    for (std::size_t i = 0; i < patches.size(); ++i)
        if (!transport.is_dense[i])
            arrival.lumens[i] *= match;
    return arrival;
}

/// Whether a fixture's light arrives as that of another in the same place did.
bool is_lit_alike(const LitFixture& a, const LitFixture& b) {
    return a.aim == b.aim && a.scale == b.scale && a.lumens == b.lumens &&
           &a.table.values() == &b.table.values(); // copies of a table share them
}

/// What a setup knows of a fixture's light, found if it knows nothing.
std::shared_ptr<const LensArrival> take_arrival(const BounceSetup& setup, const LitFixture& fixture,
                                                const std::shared_ptr<const LensTransport>& transport) {
    for (const BounceSetup::Arrived& one : setup.arrived)
        if (one.transport == transport && is_lit_alike(one.fixture, fixture))
            return one.arrival;
    return std::make_shared<const LensArrival>(find_arrival(*setup.bounce, fixture, *transport));
}

std::vector<std::shared_ptr<const LensArrival>> take_arrivals(const BounceSetup& setup,
                                                              const std::vector<LitFixture>& fixtures) {
    std::vector<std::shared_ptr<const LensArrival>> arrivals(fixtures.size());
    parallel_for(fixtures.size(),
                 [&](std::size_t f) { arrivals[f] = take_arrival(setup, fixtures[f], setup.transports[f]); });
    return arrivals;
}

/// The spots of a patch share out what they look at: their mean is as good as if each looked at all of it.
/// Patches of leaves have one or a few: there neighbours share it out.
glm::dvec3 mean_on_spots(const GlowLight& light, const PatchSpots& spots, std::uint32_t patch) {
    const std::uint32_t first = spots.first_of(patch), count = spots.first_of(patch + 1) - first;
    constexpr std::uint32_t parts = PatchSpots::on_flat;
    const std::uint32_t own = patch < spots.flat_patches ? 0 : patch / 2; // both sides of leaves see apart
    glm::dvec3 sum(0);
    for (std::uint32_t k = 0; k < count; ++k)
        sum += light.trace(spots.sensors.position(first + k), spots.sensors.normal(first + k),
                           {(own + k) % parts, parts});
    return static_cast<double>(spots.weight[patch]) * sum;
}

/// What glows, on the patches. As for a lens: where many of its rays land, light changes within a patch, and
/// their lumens count; elsewhere it is the mean over the patch's spots.
void find_glow(const Stage& stage, BounceSetup& setup) {
    constexpr std::uint32_t enough = 128;
    const Bounce& bounce = *setup.bounce;
    const Patches& patches = bounce.patches;
    std::vector<PatchLight> glow(stage.glow_sources.empty() ? 0 : patches.size());
    std::vector<std::vector<float>> glow_of;
    for (const GlowLight& light : make_glow_lights(stage)) {
        std::vector<std::uint32_t> rays_on(patches.size());
        for (const GlowLight::Landing& landing : light.trace_landings())
            if (const std::uint32_t patch =
                    patches.patch_at(landing.hit, landing.position(), landing.direction);
                patch != Patches::none)
                ++rays_on[patch];
        const glm::dvec3 each = pi * light.open_area() / GlowLight::landing_count * light.luminance(); // lm
        std::vector<float>& own = glow_of.emplace_back(patches.size());
        parallel_ranges(patches.size(), grain, [&](std::size_t begin, std::size_t end) {
            for (auto i = static_cast<std::uint32_t>(begin); i < end; ++i) {
                if (!(patches.area[i] > 0))
                    continue;
                const glm::dvec3 mean = rays_on[i] >= enough ? static_cast<double>(rays_on[i]) /
                                                                   static_cast<double>(patches.area[i]) * each
                                                             : mean_on_spots(light, bounce.spots, i);
                glow[i] = glow[i] + PatchLight{static_cast<float>(mean.r), static_cast<float>(mean.g),
                                               static_cast<float>(mean.b), 0};
                own[i] = static_cast<float>(duskcast::luminance_of(mean));
            }
        });
    }
    setup.glow = std::move(glow);
    setup.glow_of = std::make_shared<const std::vector<std::vector<float>>>(std::move(glow_of));
}

BouncedState solve_arrived(const Bounce& bounce, const std::vector<LitFixture>& fixtures,
                           const std::vector<std::shared_ptr<const LensArrival>>& arrivals, double ambient,
                           const std::vector<PatchLight>& glow) {
    const Patches& patches = bounce.patches;
    std::vector<PatchLight> direct(patches.size());
    double sky = 0, lost = 0;
    for (std::size_t f = 0; f < fixtures.size(); ++f) {
        sky += arrivals[f]->sky;
        lost += arrivals[f]->lost;
        const glm::vec3 colour(fixtures[f].colour);
        for (std::size_t i = 0; i < patches.size(); ++i)
            if (const float lumens = arrivals[f]->lumens[i]; lumens > 0)
                direct[i] =
                    direct[i] + lumens / patches.area[i] * PatchLight{colour.r, colour.g, colour.b, 0};
    }
    for (std::size_t i = 0; i < glow.size(); ++i)
        direct[i] = direct[i] + glow[i];
    BouncedState state = solve_bounce(bounce, std::move(direct), ambient);
    state.energy.emitted += sky + lost;
    state.energy.sky += sky;
    state.energy.sky_direct = sky;
    state.energy.lost += lost;
    return state;
}

BouncedLight make_bounced_light(const BounceSetup& setup, std::shared_ptr<const BouncedState> state) {
    return {[bounce = setup.bounce, state = std::move(state)](const Hit& hit, const glm::vec3& position,
                                                              const glm::vec3& facing) {
                return blend(bounce->patches.blend_at(hit, position, facing), state->bounced);
            },
            [bounce = setup.bounce, glow = setup.glow_of](const Hit& hit, const glm::vec3& position,
                                                          const glm::vec3& facing, std::span<float> lux) {
                const PatchBlend blend = bounce->patches.blend_at(hit, position, facing);
                if (std::none_of(blend.weight.begin(), blend.weight.end(),
                                 [](float weight) { return weight > 0; }))
                    return false;
                for (std::size_t g = 0; g < lux.size(); ++g) {
                    lux[g] = 0;
                    for (int i = 0; i < PatchBlend::spots; ++i)
                        if (blend.weight[i] > 0)
                            lux[g] += blend.weight[i] * (*glow)[g][blend.patch[i]];
                }
                return true;
            }};
}

} // namespace

LensTransport trace_transport(const Stage& stage, const Bounce& bounce, const Lens& lens, Sight* on_sensors) {
    const DirectionGrid& rays = lens_direction_grid();
    const std::vector<Hit> hits = trace_first_hits(stage, lens);
    const glm::vec3 origin = first_hit_origin(lens);
    LensTransport transport;
    transport.patch.resize(hits.size());
    parallel_for(hits.size(), [&](std::size_t place) {
        const Hit& hit = hits[place];
        const glm::vec3 ray = rays.direction(place);
        std::uint32_t& ends_at = transport.patch[rays.order()[place]];
        if (!hit) {
            ends_at = ray.z > 0 ? LensTransport::sky : LensTransport::lost;
            return;
        }
        const std::uint32_t patch = bounce.patches.patch_at(hit, origin + hit.distance * ray, ray);
        ends_at = patch != Patches::none && bounce.patches.area[patch] > 0 ? patch : LensTransport::lost;
    });
    constexpr std::uint32_t enough = 64;
    std::vector<std::uint32_t> rays_on(bounce.patches.size());
    for (const std::uint32_t patch : transport.patch)
        if (patch < LensTransport::sky)
            ++rays_on[patch];
    for (const std::uint32_t count : rays_on)
        transport.is_dense.push_back(count >= enough ? 1 : 0);
    std::vector<Lookers> lots{{&bounce.spots.sensors,
                               static_cast<std::uint32_t>(PatchSpots::on_flat * bounce.spots.flat_patches),
                               Shadows::usual}};
    if (on_sensors != nullptr)
        lots.push_back(lookers_of(stage));
    std::vector<Sight> sights = trace_sights(stage, lots, lens);
    transport.sight = std::move(sights.front());
    if (on_sensors != nullptr)
        *on_sensors = std::move(sights.back());
    return transport;
}

BouncedState solve_bounce(const Bounce& bounce, std::vector<PatchLight> direct, double ambient) {
    const Patches& patches = bounce.patches;
    const auto count = static_cast<std::uint32_t>(patches.size());
    BouncedState state;
    state.direct = std::move(direct);
    state.bounced.resize(count);
    std::vector<PatchLight> arriving(count), sent(count);
    for (std::uint32_t i = 0; i < count; ++i) {
        const float sky = static_cast<float>(ambient) * bounce.sky[i];
        state.bounced[i] = {sky, sky, sky, 0};
        arriving[i] = state.direct[i] + state.bounced[i];
    }
    state.energy.emitted = lumens_on(patches, arriving);
    double all = state.energy.emitted;
    while (state.bounces < most_bounces && all > 0) {
        for (std::uint32_t i = 0; i < count; ++i)
            sent[i] = bounce.balance[i] * sent_by(patches, arriving, i);
        gather(bounce, sent, arriving);
        for (std::uint32_t i = 0; i < count; ++i)
            state.bounced[i] = state.bounced[i] + arriving[i];
        ++state.bounces;
        const double added = lumens_on(patches, arriving);
        all += added;
        if (added < bounce_residual * all)
            break;
    }
    for (std::uint32_t i = 0; i < count; ++i)
        arriving[i] = state.direct[i] + state.bounced[i];
    for (std::uint32_t i = 0; i < count; ++i) {
        const double area = static_cast<double>(patches.area[i]);
        const double leaving = area * luminance_of(sent_by(patches, arriving, i));
        state.energy.absorbed += area * luminance_of(arriving[i]) - leaving;
        state.energy.sky += leaving * static_cast<double>(bounce.sky[i]);
        state.energy.lost += leaving * static_cast<double>(bounce.lost[i]);
    }
    for (std::uint32_t i = 0; i < count; ++i)
        sent[i] = sent_by(patches, arriving, i);
    state.sent = std::move(sent);
    state.ambient = ambient;
    read_patches(bounce, state);
    smooth(bounce, state.bounced);
    return state;
}

BouncedState solve_bounce(const Bounce& bounce, const std::vector<LitFixture>& fixtures,
                          const LensTransports& transports, double ambient,
                          const std::vector<PatchLight>& glow) {
    std::vector<std::shared_ptr<const LensArrival>> arrivals(fixtures.size());
    parallel_for(fixtures.size(), [&](std::size_t f) {
        arrivals[f] = std::make_shared<const LensArrival>(find_arrival(bounce, fixtures[f], *transports[f]));
    });
    return solve_arrived(bounce, fixtures, arrivals, ambient, glow);
}

BouncedState solve_bounce(const BounceSetup& setup, const std::vector<LitFixture>& fixtures) {
    return solve_arrived(*setup.bounce, fixtures, take_arrivals(setup, fixtures), setup.ambient, setup.glow);
}

std::vector<double> bounced_on_sensors(const Bounce& bounce, const BouncedState& state) {
    if (bounce.sensors.size() != bounce.patches.stage().sensors.size())
        throw std::logic_error("bounced light was traced for pictures alone");
    std::vector<double> lux(bounce.sensors.size());
    std::vector<std::uint8_t> is_linked(lux.size());
    for (const std::uint32_t sensor : bounce.from_rest.sensor)
        is_linked[sensor] = 1;
    for (const SensorBetween& between : bounce.from_rest.between)
        is_linked[between.sensor] = 1;
    parallel_ranges(lux.size(), grain, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i)
            if (!is_linked[i])
                lux[i] = duskcast::luminance_of(blend(bounce.sensors[i], state.bounced));
    });
    const std::vector<SourceLight> lights = bounce.tree.gather_light(state.sent);
    const std::vector<double> flat = read_sensors(bounce.from_flat_parts, lights, state.ambient, lux.size()),
                              rest = read_sensors(bounce.from_rest, lights, state.ambient, lux.size());
    for (std::size_t i = 0; i < lux.size(); ++i)
        if (is_linked[i])
            lux[i] = flat[i] + rest[i];
    return lux;
}

BounceSetup set_up_bounce(const Stage& stage, const std::vector<LitFixture>& fixtures, double ambient,
                          const Progress& progress, BounceUse use) {
    BounceSetup setup{.use = use};
    update_bounce(stage, fixtures, ambient, setup, progress);
    return setup;
}

namespace {

/// Adds transports of lenses that are not known, and what the stage's sensors see of those that `sights` does
/// not hold; null: nothing.
void trace_missing(const Stage& stage, const Bounce& bounce, const std::vector<LitFixture>& fixtures,
                   LensTransports& known, std::vector<Sight>* sights) {
    struct Missing {
        Lens lens;
        bool is_sight_wanted;
        std::shared_ptr<const LensTransport> transport{};
        Sight sight{};
    };
    std::vector<Missing> all;
    for (const LitFixture& fixture : fixtures) {
        const Lens& lens = fixture.lens;
        const auto is_of_lens = [&](const Sight& sight) { return sight.lens == lens; };
        if (std::none_of(known.begin(), known.end(),
                         [&](const auto& one) { return is_of_lens(one->sight); }) &&
            std::none_of(all.begin(), all.end(), [&](const Missing& one) { return one.lens == lens; }))
            all.push_back(
                {lens, sights != nullptr && std::none_of(sights->begin(), sights->end(), is_of_lens)});
    }
    parallel_for(all.size(), [&](std::size_t i) {
        Sight* const on_sensors = all[i].is_sight_wanted ? &all[i].sight : nullptr;
        all[i].transport =
            std::make_shared<const LensTransport>(trace_transport(stage, bounce, all[i].lens, on_sensors));
    });
    for (Missing& one : all) {
        known.push_back(std::move(one.transport));
        if (one.is_sight_wanted)
            sights->push_back(std::move(one.sight));
    }
}

/// `sights`: as for trace_missing.
void update_along(const Stage& stage, const std::vector<LitFixture>& fixtures, double ambient,
                  BounceSetup& setup, const Progress& progress, std::vector<Sight>* sights) {
    constexpr std::size_t most_spare = 64; // some 100 MB
    if (!setup.bounce || !setup.bounce->is_for(fixtures.size())) {
        setup = {.bounce = trace_bounce(stage, {.use = setup.use, .lenses = fixtures.size()}, progress),
                 .use = setup.use};
        find_glow(stage, setup);
        setup.ambient = -1; // so that it is new
    }
    if (setup.ambient != ambient) {
        setup.ambient = ambient;
        setup.steady_alone.reset();
        if (ambient > 0 || !setup.glow.empty())
            setup.steady_alone = std::make_shared<const BouncedState>(
                solve_bounce(*setup.bounce, {}, {}, ambient, setup.glow));
    }
    LensTransports known = std::move(setup.spare), found;
    known.insert(known.end(), setup.transports.begin(), setup.transports.end());
    trace_missing(stage, *setup.bounce, fixtures, known, sights);
    for (const LitFixture& fixture : fixtures)
        found.push_back(*std::find_if(known.begin(), known.end(),
                                      [&](const auto& one) { return one->sight.lens == fixture.lens; }));
    std::erase_if(known,
                  [&](const auto& one) { return std::find(found.begin(), found.end(), one) != found.end(); });
    if (known.size() > most_spare)
        known.erase(known.begin(), known.end() - most_spare);
    setup.spare = std::move(known);
    setup.transports = std::move(found);
    const std::vector<std::shared_ptr<const LensArrival>> arrivals = take_arrivals(setup, fixtures);
    setup.arrived.clear();
    for (std::size_t f = 0; f < fixtures.size(); ++f)
        setup.arrived.push_back({fixtures[f], setup.transports[f], arrivals[f]});
}

} // namespace

void update_bounce(const Stage& stage, const std::vector<LitFixture>& fixtures, double ambient,
                   BounceSetup& setup, const Progress& progress) {
    update_along(stage, fixtures, ambient, setup, progress, nullptr);
}

BouncedLight find_bounced_light(const BounceSetup& setup, const std::vector<LitFixture>& fixtures) {
    return make_bounced_light(setup, std::make_shared<const BouncedState>(solve_bounce(setup, fixtures)));
}

void add_bounce(const BounceSetup& setup, Lighting& lighting) {
    auto state = std::make_shared<const BouncedState>(solve_bounce(setup, lighting.fixtures));
    lighting.bounced_lx = bounced_on_sensors(*setup.bounce, *state);
    lighting.energy = state->energy;
    lighting.energy.sky_steady = setup.steady_alone ? setup.steady_alone->energy.sky : 0;
    lighting.bounced_on_planes = [bounce = setup.bounce, steady = setup.steady_alone,
                                  state](const Sensors& planes) {
        std::vector<double> lux = bounced_on_planes(*bounce, *state, planes);
        if (steady) { // the same rays: what is left is the fixtures' to the last digits
            const std::vector<double> without = bounced_on_planes(*bounce, *steady, planes);
            for (std::size_t i = 0; i < lux.size(); ++i)
                lux[i] = std::max(0.0, lux[i] - without[i]);
        }
        return lux;
    };
    lighting.bounced_at = make_bounced_light(setup, std::move(state));
}

Lighting trace_all_light(const Stage& stage, std::vector<LitFixture> fixtures, double ambient,
                         BounceSetup& setup, const Progress& progress, std::span<const Sight> known) {
    std::vector<Sight> sights(known.begin(), known.end());
    update_along(stage, fixtures, ambient, setup, progress, &sights);
    Lighting lighting = trace_lighting(stage, std::move(fixtures), {}, sights);
    add_bounce(setup, lighting);
    return lighting;
}

} // namespace duskcast
