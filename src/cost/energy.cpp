#include "duskcast/cost/energy.hpp"

#include <cmath>
#include <fmt/format.h>

#include "duskcast/base/problem.hpp"

namespace duskcast {

namespace {

constexpr double greatest_watts = 1e9;

void check_range(const char* what, double value, double greatest) {
    if (value >= 0 && value <= greatest) // not a number is in no range
        return;
    throw InputError(Problem{.what = fmt::format("{} {} out of range", value, what),
                             .remedy = fmt::format("it must be 0 to {}", greatest)});
}

} // namespace

double measure_drawn_watts(const LoadReport& report) {
    double watts = 0;
    for (const RunLoad& run : report.runs)
        watts += run.is_found ? run.watts + run.lost : run.asked_watts;
    return watts;
}

YearlyEnergy find_yearly_energy(const EnergyUse& use, std::optional<std::int64_t> price) {
    check_range("watts are", use.watts, greatest_watts);
    check_range("hours a night are", use.hours_a_night, 24);
    check_range("nights a year are", use.nights, 366);
    YearlyEnergy energy{use, use.watts * use.hours_a_night * use.nights / 1000, price, std::nullopt};
    if (price)
        energy.cost = std::llround(energy.kilowatt_hours * static_cast<double>(*price) * cents_per_unit /
                                   millionths_per_one);
    return energy;
}

} // namespace duskcast
