#pragma once
// Copper cable by American wire gauge: diameter, area, resistance.

#include "duskcast/site/network.hpp"

namespace duskcast {

/// Where a conductor's resistance comes from.
enum class WireTable {
    iec, ///< area of the AWG law, copper of IEC 60028 at the soil's temperature, stranded
    nec  ///< NEC chapter 9 table 8, stranded uncoated copper at 75 C
};

struct WireChoice {
    WireTable table = WireTable::iec;
    double soil_celsius = 25; ///< of buried cable, usually 20 to 30 (from memory); `iec` only

    bool operator==(const WireChoice&) const = default;
};

/// Metres, of a solid conductor: d = 0.127 mm x 92^((36 - n) / 39) (ASTM B258).
double wire_diameter(int gauge);
double wire_area(int gauge); ///< m2

/// Ohms a metre of one conductor. Throws InputError for a gauge that is not among cable_gauges.
double wire_resistance(int gauge, const WireChoice& choice);

/// What the trade divides watts x feet by to get volts of drop: 12 V over the resistance of one foot of one
/// conductor at 20 C for 8 to 12 AWG, a smaller figure for 14 to 18. It leaves the return wire out, so it
/// halves the drop of a load at the end of the cable. Shown beside the solved figure, never used. 7500 and
/// 11920: seen in trade literature; the others from memory. 0: none known.
double trade_cable_constant(int gauge);

} // namespace duskcast
