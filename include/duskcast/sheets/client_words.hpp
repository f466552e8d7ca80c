#pragma once
// What is said to a client: things by what they are called, no figures of light, no ids.

#include <string>
#include <vector>

#include "duskcast/cost/service.hpp"
#include "duskcast/measure/report.hpp"

namespace duskcast {

/// An id as people say it: "front-walk" is "front walk".
std::string spoken_name(const std::string& id);

/// "As you arrive", "As you leave", "From the street".
std::string print_viewpoint(const std::string& view);

/// "two", "twelve"; figures from thirteen on.
std::string print_count(std::size_t count);

/// "two path lights", "three uplights and one downlight".
std::string print_lights(const Site& site, const std::vector<std::string>& fixtures);

/// Something that is lit, with who lights it.
struct LitThing {
    std::string id; ///< of the target, else of the thing itself
    std::string on; ///< what it is or is part of
    bool is_tree = false;
    std::vector<std::string> fixtures;
    const TargetReport* target = nullptr; ///< none: not a target
    const SeenFeature* seen = nullptr;    ///< from where it reads best; none: nobody looked
};

/// What the design lights, in the site's order: targets, trees, and what else fixtures are for.
std::vector<LitThing> list_lit_things(const Site& site, const Report& report);

/// "Two uplights light the maple. As you arrive it is lit to about 15.5 ft of 30 ft, faint above."
std::string print_lit_thing(const Site& site, const LitThing& thing);

/// One sentence a thing, of how all read from one view.
std::vector<std::string> print_from_view(const Site& site, const Report& report, const std::string& view);

/// When lamps, lenses and aims are due, a sentence each.
std::vector<std::string> print_service(const Site& site, const ServicePlan& plan);

} // namespace duskcast
