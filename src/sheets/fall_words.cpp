#include "duskcast/sheets/fall_words.hpp"

#include <fmt/format.h>

#include "duskcast/base/units.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {

std::string print_fall(const GroundArea& area, LengthUnit unit) {
    if (!area.height || !area.fall)
        return {};
    const double fall = *area.height - area.fall->to, length = fall_length(area.outline, area.fall->towards);
    return fmt::format("falls {}, {:.1f} %", print_length(fall, unit), 100 * fall / length);
}

} // namespace duskcast
