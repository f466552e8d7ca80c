#include "duskcast/power/wire.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {
namespace {

// IEC 60028: annealed copper at 20 C, its temperature coefficient at 20 C.
constexpr double copper_resistivity = 1e-6 / 58; ///< ohm m
constexpr double copper_coefficient = 0.00393;   ///< per kelvin
constexpr double stranding =
    1.02; ///< the lay makes strands longer; NEC's stranded over solid: 1.018 to 1.025

struct Row {
    int gauge;
    double nec_ohms_per_kft; ///< NEC chapter 9 table 8, stranded, uncoated copper, 75 C
    double trade_constant;
};

constexpr Row rows[] = {{18, 7.95, 1380}, {16, 4.99, 2200},  {14, 3.14, 3500},
                        {12, 1.98, 7500}, {10, 1.24, 11920}, {8, 0.778, 18960}};

const Row* find_row(int gauge) {
    const auto* found =
        std::find_if(std::begin(rows), std::end(rows), [&](const Row& row) { return row.gauge == gauge; });
    return found == std::end(rows) ? nullptr : found;
}

} // namespace

double wire_diameter(int gauge) {
    return 0.127e-3 * std::pow(92.0, (36.0 - gauge) / 39.0);
}

double wire_area(int gauge) {
    const double diameter = wire_diameter(gauge);
    return pi / 4 * diameter * diameter;
}

double wire_resistance(int gauge, const WireChoice& choice) {
    const Row* row = find_row(gauge);
    if (row == nullptr)
        throw InputError(Problem{.what = fmt::format("{} AWG is not a gauge of low-voltage cable", gauge),
                                 .remedy = fmt::format("known are {}", fmt::join(cable_gauges, ", "))});
    if (choice.table == WireTable::nec)
        return row->nec_ohms_per_kft / (1000 * metres_per_foot);
    const double warming = 1 + copper_coefficient * (choice.soil_celsius - 20);
    return copper_resistivity * warming * stranding / wire_area(gauge);
}

double trade_cable_constant(int gauge) {
    const Row* row = find_row(gauge);
    return row == nullptr ? 0 : row->trade_constant;
}

} // namespace duskcast
