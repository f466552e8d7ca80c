#include "duskcast/site/trim.hpp"

#include "duskcast/site/finish.hpp"
#include "names.hpp"

namespace duskcast {

double shutter_width(const Opening& opening) {
    return opening.width / 2;
}

double reach_beside(const Opening& opening) {
    return opening.casing + (opening.shutters ? shutter_width(opening) : 0);
}

Finish shutter_finish_of(const Opening& opening) {
    const glm::dvec3 dark_green(0.022, 0.045, 0.030); // by eye, from memory
    return opening.shutter_finish ? *opening.shutter_finish : Finish{"", dark_green};
}

Finish trim_of(const Wall& wall) {
    return wall.trim ? *wall.trim : make_finish(default_soffit_finish);
}

glm::dvec2 plate_size(const HouseNumber& number) {
    const double margin = 0.45; // by a figure's height
    const double figures = static_cast<double>(number.text.size()) * (figure_width + figure_gap) - figure_gap;
    return number.height * (glm::dvec2(figures, 1) + 2 * margin);
}

} // namespace duskcast
