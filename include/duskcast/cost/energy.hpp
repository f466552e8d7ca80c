#pragma once
// What the lighting draws in a year, and what that costs.

#include <cstdint>
#include <optional>

#include "duskcast/cost/money.hpp"
#include "duskcast/power/load.hpp"

namespace duskcast {

struct EnergyUse {
    double watts = 0; ///< at the meter: lamps, cable and transformer
    double hours_a_night = 0;
    double nights = 365; ///< a year
};

struct YearlyEnergy {
    EnergyUse use;
    double kilowatt_hours = 0;
    std::optional<std::int64_t> price; ///< of a kWh, millionths of the currency
    std::optional<Cents> cost;         ///< to the nearest cent; absent where the price is not known
};

/// What the meter counts while the lights are on: lamps and what the cable loses, watts. Of runs without an
/// operating point what their lamps ask for; the transformers' own losses are not in it.
double measure_drawn_watts(const LoadReport& report);

/// Energy = power x time. Throws InputError (place left empty) for watts below 0, hours outside 0 to 24 or
/// nights outside 0 to 366.
YearlyEnergy find_yearly_energy(const EnergyUse& use, std::optional<std::int64_t> price = std::nullopt);

} // namespace duskcast
