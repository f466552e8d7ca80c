#pragma once
// ANSI/IES LM-63 photometric files.

#include <filesystem>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/photometry/distribution.hpp"

namespace duskcast {

enum class Lm63Version { v1986, v1991, v1995, v2002, v2019 };

/// The coordinates of the file's angles, by its photometric type.
enum class Lm63Type { c = 1, b = 2, a = 3 };

/// How the output depends on the luminaire's tilt from its position in the test (TILT=INCLUDE or a file).
struct Lm63Tilt {
    int geometry = 1;               ///< 1 lamp upright; 2 lamp level, stays level; 3 lamp level, turns along
    std::vector<double> angles;     ///< radians, ascending
    std::vector<double> multiplier; ///< one an angle

    /// Linear between the angles, the nearest one's beyond them; 1 when there are none.
    double factor_at(double angle) const;
};

/// What an LM-63 file says, multipliers applied.
struct Lm63 {
    Lm63Version version = Lm63Version::v2002;
    Lm63Type type = Lm63Type::c;
    std::vector<std::string> labels;                           ///< LM-63-1986: the free lines before TILT=
    std::vector<std::pair<std::string, std::string>> keywords; ///< in file order, [MORE] joined
    int lamps = 1;
    double lumens_per_lamp = -1; ///< -1: absolute photometry
    double input_watts = 0;      ///< 0: unknown
    double opening_width = 0;    ///< luminous opening, metres, sizes without sign
    double opening_length = 0;
    double opening_height = 0;
    bool opening_is_round = false;
    Lm63Tilt tilt;
    /// Type C: as it lists, unfolded to the full turn. Types A and B are turned so that their horizontal and
    /// vertical angle 0 is the beam's axis, positive vertical angles lie towards C180 (uppermost when the
    /// fixture leans) and positive horizontal ones towards C90 (right).
    Distribution distribution;
    std::vector<Problem> warnings; ///< what was repaired or is doubtful, with line
};

/// Reads LM-63 of every version (1986, 1991, 1995, 2002, 2019), types A, B and C. `name` is what messages
/// call the file; a tilt file is looked for in `folder`.
/// Throws InputError with the line, what stood there and what belongs there.
Lm63 read_lm63(std::string_view text, const std::string& name, const std::filesystem::path& folder = {});
Lm63 read_lm63_file(const std::filesystem::path& file);

/// Diameter of the disk that is as large as the luminous opening seen along the beam, metres: the emitting
/// face. Of an opening that stands on edge, the larger of its sides count. 0 for a point.
double opening_diameter(const Lm63& file);

/// LM-63-2019, type C, absolute, TILT=NONE, lines ending CR LF. Tilted distributions are resampled
/// (make_untilted). Candela are printed so that the greatest has six digits: read back, each is within half
/// a unit of its last digit; angles to a millionth of a degree. Keywords that 2019 demands and `file` lacks
/// are "not stated".
std::string print_lm63(const Lm63& file);

} // namespace duskcast
