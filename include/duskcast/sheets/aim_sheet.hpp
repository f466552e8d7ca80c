#pragma once
// The sheet to aim by: fixture by fixture in walking order, on a phone in the dark or on paper.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/measure/report.hpp"
#include "duskcast/power/load.hpp"
#include "duskcast/study/meter.hpp"

namespace duskcast {

/// A place to hold the meter, and what it should show.
struct AimPoint {
    int number = 1;
    std::string where;
    double lux = 0;
    MeterRange range; ///< lux
};

/// All there is to do at one fixture, in words.
struct AimCard {
    std::size_t fixture = 0; ///< index into the site's
    std::string id, kind, lamp;
    std::string place;  ///< "9 ft from the left corner of the south face of house"
    std::string stands; ///< "15 in back from the wall, lens 7 in up"
    std::string tilt;   ///< "6° from straight up"
    std::string rim;    ///< "the side of the rim toward the wall 1/4 in lower"; empty where that says nothing
    std::string way;    ///< "square to the wall; north, 0°"
    std::string lights, stops;
    std::optional<double> tilt_degrees; ///< what a phone laid on the lens should show; none: it points down
    std::vector<AimPoint> points;
    std::optional<double> volts;
    std::string brighter, dimmer; ///< the next lamp or dimming; empty: nothing further
};

struct AimSheet {
    std::string site_name, origin;
    std::string version; ///< of the site file, by which notes on a phone are kept apart
    LightUnit light = LightUnit::footcandle;
    bool is_as_new = true; ///< expected light is that of new lamps behind clean lenses
    std::vector<AimCard> cards;
};

/// The order of a short walk past all fixtures, beginning near `start`: indices into the site's fixtures.
std::vector<std::size_t> find_walk(const Site& site, const glm::dvec2& start);

/// "in front of", "to the left": where a meter point is, in words.
std::string print_meter_place(const MeterPoint& point, LengthUnit unit);

/// An inch in sixteenths, or millimetres: "3/16 in", "1 1/4 in", "6 mm".
std::string print_fine_length(double metres, LengthUnit unit);

/// `ranges`: one a point of the model. `load`: none without a network. Brighter and dimmer are left empty.
AimSheet make_aim_sheet(const Site& site, const Lighting& lighting, const Report& report,
                        const MeterModel& model, const std::vector<MeterRange>& ranges,
                        const std::optional<LoadReport>& load);

/// One HTML file that needs no network: large and red on black, or dark on white, and on paper.
std::string print_aim_sheet(const AimSheet& sheet);

} // namespace duskcast
