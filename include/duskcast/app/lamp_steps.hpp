#pragma once
// Too bright, too dim: what a fixture can be given next.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/site/site.hpp"

namespace duskcast {

/// A lamp that a fixture takes, with what tells it from the others.
struct LampChoice {
    const Lamp* lamp = nullptr; ///< of the site or its catalogue
    double watts = 0;
    double lumens = 0;
    double centre_candela = 0;
    double beam_angle = 0; ///< full, radians
};

/// What the fixture's socket takes: by its model, else of the lamps that name the same socket as the one it
/// has, where that names one, else of all. Faintest first, by centre-beam intensity.
std::vector<LampChoice> list_fitting_lamps(const Site& site, const Fixture& fixture,
                                           const std::filesystem::path& folder);

enum class StepWay { brighter, dimmer };

/// The next state of a fixture, by one setting: its lamp or its dimming.
struct LampStep {
    std::string lamp;              ///< empty: as it is
    std::optional<double> dimming; ///< none: as it is
};

/// Brighter: a dimmed lamp is turned up first, then the next brighter lamp is taken. Dimmer: the next fainter
/// lamp, and where there is none a dimmed one. Lamps of about the same beam come before all others, and an
/// LED is never replaced by a halogen lamp or the reverse; brighter never takes fewer watts, nor dimmer more.
/// None where there is nothing further.
std::optional<LampStep> find_lamp_step(const Site& site, const Fixture& fixture, StepWay way,
                                       const std::filesystem::path& folder);

/// "brighter 5 W, 24° in place of standard 4 W, 36°", "dimmed to 70 %".
std::string print_lamp_step(const Site& site, const Fixture& fixture, const LampStep& step);

} // namespace duskcast
