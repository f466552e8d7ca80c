#include "duskcast/power/halogen.hpp"

#include <cmath>

namespace duskcast {

double halogen_lumens_share(double volts_share) {
    return std::pow(volts_share, halogen_law.of_volts(halogen_law.lumens));
}

double halogen_watts_share(double volts_share) {
    return std::pow(volts_share, halogen_watts_exponent);
}

double halogen_colour_share(double volts_share) {
    return std::pow(volts_share, halogen_law.of_volts(halogen_law.colour_temperature));
}

} // namespace duskcast
