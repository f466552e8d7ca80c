#include "duskcast/app/lamp_steps.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/base/sort_stably.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast {
namespace {

/// Each about 0.7 of the one before: a change that is plainly seen (working figures).
constexpr std::array<double, 5> dimming_steps{0.25, 0.35, 0.5, 0.7, 1.0};
constexpr double same_beam = 0.15;        ///< share by which beams called alike may differ
constexpr double least_difference = 0.02; ///< share of candela below which two lamps are equally bright

const std::string& name_of(const Lamp& lamp) {
    return lamp.name.empty() ? lamp.id : lamp.name;
}

bool is_taken_by(const Site& site, const Fixture& fixture, const Lamp& lamp) {
    if (const FixtureModel* model = find_model(site.catalogue, fixture.model))
        return is_fitting(*model, lamp);
    const Lamp* own = find_lamp(site, fixture.lamp);
    return own == nullptr || own->socket.empty() || lamp.socket == own->socket;
}

/// Whether one stands for the other in a design: nobody takes out an LED that is too bright for a halogen
/// lamp of five times its watts.
bool is_of_kind(const Lamp& lamp, const Lamp& own) {
    return lamp.draw == own.draw && lamp.is_regulated == own.is_regulated;
}

} // namespace

std::vector<LampChoice> list_fitting_lamps(const Site& site, const Fixture& fixture,
                                           const std::filesystem::path& folder) {
    std::vector<LampChoice> choices;
    for (const std::vector<Lamp>* lamps : {&site.lamps, &site.catalogue.lamps})
        for (const Lamp& lamp : *lamps) {
            if (find_lamp(site, lamp.id) != &lamp) // the site's own stands for the catalogue's
                continue;
            if (lamp.id != fixture.lamp && !is_taken_by(site, fixture, lamp))
                continue;
            const LampLight light = make_lamp_light(lamp, folder);
            choices.push_back({.lamp = &lamp,
                               .watts = light.watts,
                               .lumens = light.lumens,
                               .centre_candela = measure_centre_candela(light.distribution),
                               .beam_angle = measure_full_angle(light.distribution, 0.5)});
        }
    sort_stably(choices,
                [](const LampChoice& a, const LampChoice& b) { return a.centre_candela < b.centre_candela; });
    return choices;
}

std::optional<LampStep> find_lamp_step(const Site& site, const Fixture& fixture, StepWay way,
                                       const std::filesystem::path& folder) {
    const bool is_up = way == StepWay::brighter;
    if (is_up && fixture.dimming < 1)
        for (const double step : dimming_steps)
            if (step > fixture.dimming + 1e-9)
                return LampStep{.dimming = step};
    const std::vector<LampChoice> choices = list_fitting_lamps(site, fixture, folder);
    const auto own = std::find_if(choices.begin(), choices.end(),
                                  [&](const LampChoice& choice) { return choice.lamp->id == fixture.lamp; });
    if (own != choices.end() && (is_up || fixture.dimming >= 1)) {
        const LampChoice* next = nullptr;
        bool is_next_alike = false;
        for (const LampChoice& choice : choices) {
            const double ratio = choice.centre_candela / own->centre_candela;
            if (!is_of_kind(*choice.lamp, *own->lamp) ||
                (is_up ? choice.watts < own->watts : choice.watts > own->watts))
                continue;
            if (is_up ? ratio < 1 + least_difference : ratio > 1 - least_difference)
                continue;
            const bool is_alike =
                std::abs(choice.beam_angle - own->beam_angle) <= same_beam * own->beam_angle;
            const bool is_nearer = next == nullptr || (is_up ? choice.centre_candela < next->centre_candela
                                                             : choice.centre_candela > next->centre_candela);
            if (next == nullptr || (is_alike && !is_next_alike) || (is_alike == is_next_alike && is_nearer)) {
                next = &choice;
                is_next_alike = is_alike;
            }
        }
        if (next != nullptr)
            return LampStep{.lamp = next->lamp->id};
    }
    if (!is_up)
        for (auto step = dimming_steps.rbegin(); step != dimming_steps.rend(); ++step)
            if (*step < fixture.dimming - 1e-9)
                return LampStep{.dimming = *step};
    return std::nullopt;
}

std::string print_lamp_step(const Site& site, const Fixture& fixture, const LampStep& step) {
    if (step.dimming)
        return *step.dimming < 1 ? fmt::format("dimmed to {}", print_share(*step.dimming))
                                 : std::string("at full power");
    const Lamp* from = find_lamp(site, fixture.lamp);
    const Lamp* to = find_lamp(site, step.lamp);
    return fmt::format("{} in place of {}", to ? name_of(*to) : step.lamp,
                       from ? name_of(*from) : fixture.lamp);
}

} // namespace duskcast
