#pragma once
// What was read with meters at night: a CSV file, typed or saved by the sheet to aim by.
//
//   fixture,point,footcandles,volts,note
//
//   fixture      its id
//   point        the number of the meter point there; empty in rows that have none
//   footcandles  or fc, lux, lx: light at that point
//   volts        or V: at the fixture
//
// Columns stand in any order; those of other names are the user's own. Commas, semicolons or tabs separate
// them, and where it is not commas, decimals may have commas.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/study/meter.hpp"

namespace duskcast {

struct VoltReading {
    std::string fixture;
    double volts = 0;
};

struct Readings {
    std::vector<MeterReading> light; ///< of a point read twice, both
    std::vector<VoltReading> volts;
};

/// `fixtures`: ids in the site's order. `background_lx`: what the meter shows with the lights off, taken off
/// every reading. Throws InputError with every problem found, each with its line and column.
Readings read_readings(std::string_view text, const std::filesystem::path& file,
                       const std::vector<std::string>& fixtures, const std::vector<MeterPoint>& points,
                       double background_lx = 0);

/// The same from a file.
Readings read_readings_file(const std::filesystem::path& file, const std::vector<std::string>& fixtures,
                            const std::vector<MeterPoint>& points, double background_lx = 0);

} // namespace duskcast
