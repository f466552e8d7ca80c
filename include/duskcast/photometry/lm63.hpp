#pragma once
// ANSI/IES LM-63 photometric files.

#include <filesystem>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "duskcast/photometry/distribution.hpp"
#include "duskcast/units/problem.hpp"

namespace duskcast {

enum class Lm63Version { v1986, v1991, v1995, v2002, v2019 };

/// What an LM-63 file says, multipliers applied.
struct Lm63 {
    Lm63Version version = Lm63Version::v2002;
    std::vector<std::pair<std::string, std::string>> keywords; ///< in file order, [MORE] joined
    int lamps = 1;
    double lumens_per_lamp = -1; ///< -1: absolute photometry
    double input_watts = 0;      ///< 0: unknown
    double opening_width = 0;    ///< luminous opening, metres, sizes without sign
    double opening_length = 0;
    double opening_height = 0;
    bool opening_is_round = false;
    Distribution distribution;     ///< unfolded to the full turn of C
    std::vector<Problem> warnings; ///< what was repaired or is doubtful, with line
};

/// Reads LM-63 type C, TILT=NONE. `name` is what messages call the file.
/// Throws InputError with the line, what stood there and what belongs there.
Lm63 read_lm63(std::string_view text, const std::string& name);
Lm63 read_lm63_file(const std::filesystem::path& file);

} // namespace duskcast
