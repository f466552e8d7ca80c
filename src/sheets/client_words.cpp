#include "duskcast/sheets/client_words.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/base/text.hpp"
#include "duskcast/sheets/report_words.hpp"
#include "duskcast/site/terraces.hpp"

namespace duskcast {

namespace {

const char* noun_of(FixtureKind kind) {
    switch (kind) {
    case FixtureKind::uplight:
    case FixtureKind::bullet:
        return "uplight";
    case FixtureKind::in_ground:
        return "in-ground light";
    case FixtureKind::wash:
        return "wash light";
    case FixtureKind::path:
        return "path light";
    case FixtureKind::downlight:
        return "downlight";
    }
    return "light";
}

/// From where it reads best: lit before faint, and of several the brightest.
const SeenFeature* find_best_sighting(const Report& report, const std::string& feature, bool is_tree) {
    const SeenFeature* best = nullptr;
    for (const SeenFeature& seen : report.seen) {
        if (seen.feature != feature || seen.is_tree != is_tree || !seen.is_seen())
            continue;
        const bool is_better = best == nullptr || seen.sighting < best->sighting ||
                               (seen.sighting == best->sighting && seen.luminance > best->luminance);
        if (is_better)
            best = &seen;
    }
    return best;
}

bool is_ground(const Site& site, const std::string& on) {
    return on == "ground" || std::any_of(site.ground.areas.begin(), site.ground.areas.end(),
                                         [&](const GroundArea& area) { return area.id == on; });
}

/// Ground that people walk or drive on; of the open ground, only what somebody asked for is a thing.
bool is_way(const Site& site, const std::string& on) {
    return on == "ground" ||
           std::any_of(site.ground.areas.begin(), site.ground.areas.end(), [&](const GroundArea& area) {
               return area.id == on && area.kind == GroundKind::paving;
           });
}

bool is_uplit(const Site& site, const LitThing& thing) {
    return std::all_of(thing.fixtures.begin(), thing.fixtures.end(), [&](const std::string& id) {
        const Fixture* fixture = find_fixture(site, id);
        return fixture != nullptr && is_uplight(fixture->kind);
    });
}

/// "25,000"
std::string print_grouped(double value) {
    std::string digits = fmt::format("{:.0f}", value);
    for (std::size_t at = digits.size(); at > 3; at -= 3)
        digits.insert(at - 3, ",");
    return digits;
}

/// With heights above the ground, where a wall's count from its foot, a storey up perhaps.
SeenFeature seen_above_ground(const Site& site, SeenFeature seen) {
    const Wall* wall = seen.is_tree ? nullptr : find_wall(site, seen.on);
    if (wall == nullptr || wall->path.empty())
        return seen;
    const double foot = wall->foot - ground_height_at(site.ground, wall->path.front());
    for (double* height : {&seen.low, &seen.high, &seen.seen_to})
        *height += foot;
    for (LitStretches* lit : {&seen.lit, &seen.faint}) {
        for (Stretch& stretch : lit->all)
            stretch = {stretch.from + foot, stretch.to + foot};
        lit->main = {lit->main.from + foot, lit->main.to + foot};
    }
    return seen;
}

std::string name_with_article(const std::string& name) {
    return "the " + name;
}

} // namespace

std::string spoken_name(const std::string& id) {
    std::string name = id;
    for (char& c : name)
        if (c == '-' || c == '_' || c == '.')
            c = ' ';
    return name;
}

std::string print_viewpoint(const std::string& view) {
    if (lower_case(view) == "arriving")
        return "As you arrive";
    if (lower_case(view) == "leaving")
        return "As you leave";
    return "From the " + spoken_name(view);
}

std::string print_count(std::size_t count) {
    static constexpr std::array words = {"no",    "one",   "two",  "three", "four",   "five",  "six",
                                         "seven", "eight", "nine", "ten",   "eleven", "twelve"};
    return count < words.size() ? words[count] : std::to_string(count);
}

std::string print_lights(const Site& site, const std::vector<std::string>& fixtures) {
    std::vector<std::pair<std::string, std::size_t>> kinds; // in the order they come in
    for (const std::string& id : fixtures) {
        const Fixture* fixture = find_fixture(site, id);
        const std::string noun = fixture ? noun_of(fixture->kind) : "light";
        const auto known =
            std::find_if(kinds.begin(), kinds.end(), [&](const auto& kind) { return kind.first == noun; });
        if (known == kinds.end())
            kinds.emplace_back(noun, 1);
        else
            ++known->second;
    }
    std::string text;
    for (std::size_t i = 0; i < kinds.size(); ++i)
        text += fmt::format("{}{} {}{}",
                            i == 0                 ? ""
                            : i + 1 < kinds.size() ? ", "
                                                   : " and ",
                            print_count(kinds[i].second), kinds[i].first, kinds[i].second == 1 ? "" : "s");
    return text.empty() ? "no lights" : text;
}

std::vector<LitThing> list_lit_things(const Site& site, const Report& report) {
    std::vector<LitThing> things;
    const auto thing_of = [&](const FixturePurpose& purpose) -> LitThing& {
        const bool is_tree = find_tree(site, purpose.on) != nullptr;
        const std::string id = is_tree || purpose.target.empty() ? purpose.on : purpose.target;
        for (LitThing& thing : things)
            if (thing.id == id && thing.is_tree == is_tree)
                return thing;
        things.push_back({.id = id, .on = purpose.on, .is_tree = is_tree});
        return things.back();
    };
    for (const TargetReport& target : report.targets)
        if (find_tree(site, target.on) == nullptr)
            things.push_back({.id = target.id, .on = target.on, .target = &target});
    for (const FixturePurpose& purpose : report.purposes)
        if (!purpose.on.empty() && (purpose.on != "ground" || !purpose.target.empty()))
            thing_of(purpose).fixtures.push_back(purpose.fixture);
    for (LitThing& thing : things) {
        thing.seen = find_best_sighting(report, thing.id, thing.is_tree);
        if (thing.seen == nullptr && thing.is_tree) // a target that is the whole tree stands for it
            for (const TargetReport& target : report.targets)
                if (target.on == thing.id && thing.seen == nullptr)
                    thing.seen = find_best_sighting(report, target.id, false);
    }
    return things;
}

std::string print_lit_thing(const Site& site, const LitThing& thing) {
    const std::string name = name_with_article(spoken_name(thing.id));
    std::string text;
    if (thing.fixtures.empty()) {
        text = fmt::format("{} takes its light from the fixtures beside it.", titled(name));
    } else {
        const bool is_one = thing.fixtures.size() == 1;
        const char* verb = is_way(site, thing.on) ? (is_one ? "lights the way over" : "light the way over")
                           : !thing.is_tree && !is_ground(site, thing.on) && is_uplit(site, thing)
                               ? (is_one ? "grazes" : "graze")
                           : is_one ? "lights"
                                    : "light";
        text = fmt::format("{} {} {}.", titled(print_lights(site, thing.fixtures)), verb, name);
    }
    if (thing.seen != nullptr && thing.seen->sighting != Sighting::unlit)
        text += fmt::format(" {} it is {}.",
                            thing.seen->from.kind == Viewpoint::Kind::view
                                ? print_viewpoint(thing.seen->from.view) + ","
                                : "Seen " + name_of(thing.seen->from) + ",",
                            print_sighting(seen_above_ground(site, *thing.seen), site.units));
    // How much of a wall gets its light is told where less does than should.
    const bool is_missed = thing.target != nullptr && !thing.target->is_reached;
    if (thing.target != nullptr && (is_missed || is_ground(site, thing.on)))
        text += fmt::format(
            " {} of it gets the light planned for it, or more{}.", titled(print_target_share(*thing.target)),
            is_missed ? fmt::format("; {} should", print_share(thing.target->wanted_share)) : "");
    return text;
}

namespace {

/// Whether it is a sight of the thing: of a tree that is a target as a whole, which is looked at as that,
/// too.
bool is_sight_of(const Site& site, const SeenFeature& seen, const LitThing& thing) {
    if (seen.is_tree == thing.is_tree)
        return seen.feature == thing.id;
    return thing.is_tree && std::any_of(site.targets.begin(), site.targets.end(), [&](const Target& target) {
               return target.id == seen.feature && target.on == thing.id && !target.between;
           });
}

} // namespace

std::vector<std::string> print_from_view(const Site& site, const Report& report, const std::string& view) {
    std::vector<std::string> sentences;
    for (const LitThing& thing : list_lit_things(site, report))
        for (const SeenFeature& seen : report.seen) {
            if (seen.from.kind != Viewpoint::Kind::view || seen.from.view != view || !seen.is_seen() ||
                !is_sight_of(site, seen, thing))
                continue;
            sentences.push_back(
                titled(fmt::format("{}: {}.", name_with_article(spoken_name(thing.id)),
                                   seen.sighting == Sighting::unlit
                                       ? "left in the dark"
                                       : print_sighting(seen_above_ground(site, seen), site.units))));
        }
    return sentences;
}

std::vector<std::string> print_service(const Site& site, const ServicePlan& plan) {
    std::vector<std::string> sentences;
    const auto about = [](double years) {
        const auto whole = static_cast<std::size_t>(std::max(1L, std::lround(years)));
        return fmt::format("about {} {}", print_count(whole), whole == 1 ? "year" : "years");
    };
    if (plan.lamp_years)
        sentences.push_back(fmt::format(
            "Lamps: rated for {} hours. At {} hours a night on {} nights a year that is {}; plan to "
            "replace them then, all at once.",
            print_grouped(plan.lamp_life), print_number(plan.hours_a_night), print_number(plan.nights),
            about(*plan.lamp_years)));
    sentences.push_back(fmt::format(
        "Lenses: wiped clean every {} months{}.", print_number(plan.clean_months),
        plan.lost_to_dirt > 0
            ? fmt::format("; the design allows for {} less light by then", print_share(plan.lost_to_dirt))
            : ""));
    for (const TreeService& tree : plan.trees) {
        const std::string lights = print_lights(site, tree.fixtures);
        sentences.push_back(fmt::format("The {}: in {}, when it is {} tall, aim the {} at it again.",
                                        spoken_name(tree.tree), about(tree.years),
                                        print_height(tree.height, site.units), lights));
    }
    return sentences;
}

} // namespace duskcast
