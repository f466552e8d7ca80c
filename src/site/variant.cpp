#include "duskcast/site/variant.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "checker.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/season.hpp"
#include "names.hpp"

namespace duskcast {
namespace {

constexpr double widest_angle_deg = 170; ///< that a lamp described by figures may have

[[noreturn]] void fail(const Message& message) {
    refuse(message.what, message.remedy);
}

std::vector<std::string> knob_words() {
    std::vector<std::string> words;
    for (const auto& [knob, name] : knob_names)
        words.emplace_back(name);
    return words;
}

/// The lamp with another beam, its lumens as they are. The field angle follows in proportion.
const Lamp& offer_beam(Site& site, const std::string& id, double beam, const std::filesystem::path& folder) {
    const Lamp* usual = find_lamp(site, id);
    if (usual == nullptr)
        fail(messages::dangling("lamp", id, ids_of(site.lamps)));
    if (!usual->file.empty())
        fail(messages::beam_from_file(id));
    Lamp made = *usual;
    made.id = fmt::format("{}-{}deg", id, print_number(degrees_from_radians(beam)));
    if (const Lamp* known = find_lamp(site, made.id))
        return *known;
    made.name = fmt::format("{} as {}", usual->name.empty() ? usual->id : usual->name, print_angle(beam));
    LampFigures& figures = made.figures;
    figures.lumens = make_lamp_light(*usual, folder).lumens;
    figures.centre_candela.reset();
    const double factor = beam / figures.beam_angle;
    figures.beam_angle = beam;
    for (std::optional<double>* angle :
         {&figures.field_angle, &figures.beam_angle_across, &figures.field_angle_across})
        if (*angle)
            **angle = std::min(**angle * factor, radians_from_degrees(widest_angle_deg));
    const bool is_cut_off = (figures.field_angle && *figures.field_angle <= beam) ||
                            (figures.field_angle_across && figures.beam_angle_across &&
                             *figures.field_angle_across <= *figures.beam_angle_across);
    if (is_cut_off) { // at the widest angle, where a field says no more than the beam
        figures.field_angle.reset();
        figures.field_angle_across.reset();
    }
    return site.lamps.emplace_back(std::move(made));
}

void require_wall(const Fixture& fixture, const char* knob) {
    if (fixture.wall.empty())
        fail(messages::no_such_knob(fixture.id, knob, "at a wall"));
}

void set_spacing(Site& site, const std::vector<std::size_t>& fixtures, double spacing) {
    std::vector<Fixture*> row;
    for (const std::size_t index : fixtures) {
        row.push_back(&site.fixtures[index]);
        require_wall(*row.back(), "spacing");
        if (row.back()->wall != row.front()->wall)
            fail(messages::spacing_of_two_walls(row.front()->id, row.back()->id));
    }
    if (row.size() < 2)
        fail(messages::spacing_of_one());
    sort_stably(row, [](const Fixture* a, const Fixture* b) { return a->along < b->along; });
    const double middle = (row.front()->along + row.back()->along) / 2;
    for (std::size_t i = 0; i < row.size(); ++i)
        row[i]->along =
            middle + (static_cast<double>(i) - (static_cast<double>(row.size()) - 1) / 2) * spacing;
}

void set_on(Site& site, Fixture& fixture, const Setting& setting, const std::filesystem::path& folder) {
    switch (setting.knob) {
    case Knob::lamp:
        fixture.lamp = setting.lamp;
        return;
    case Knob::beam:
        fixture.lamp = offer_beam(site, fixture.lamp, setting.value, folder).id;
        return;
    case Knob::tilt:
        fixture.tilt = setting.value;
        return;
    case Knob::azimuth:
        fixture.azimuth = setting.value;
        fixture.turn = 0;
        return;
    case Knob::turn:
        fixture.azimuth.reset();
        fixture.turn = setting.value;
        return;
    case Knob::setback:
        if (fixture.at)
            fail(messages::no_such_knob(fixture.id, "setback", "at a wall or a tree"));
        fixture.setback = setting.value;
        return;
    case Knob::along:
        require_wall(fixture, "along");
        fixture.along = setting.value;
        return;
    case Knob::bearing:
        if (fixture.tree.empty())
            fail(messages::no_such_knob(fixture.id, "bearing", "at a tree"));
        fixture.bearing = setting.value;
        return;
    case Knob::lens_height:
        fixture.lens_height = setting.value;
        return;
    case Knob::dimming:
        fixture.dimming = setting.value;
        return;
    case Knob::spacing:
        return;
    }
}

} // namespace

std::string name_of(Knob knob) {
    return name_of(knob_names, knob);
}

Knob read_knob(const std::string& word) {
    for (const auto& [knob, name] : knob_names)
        if (name == word)
            return knob;
    fail(messages::dangling("setting", word, knob_words()));
}

bool is_length(Knob knob) {
    return find_field(*change_fields(), name_of(knob)).info.quantity == KeyQuantity::length;
}

bool is_angle(Knob knob) {
    return find_field(*change_fields(), name_of(knob)).info.quantity == KeyQuantity::angle;
}

std::string print_value(const Site& site, const Setting& setting) {
    if (setting.knob == Knob::lamp) {
        const Lamp* lamp = find_lamp(site, setting.lamp);
        return lamp && !lamp->name.empty() ? lamp->name : setting.lamp;
    }
    if (setting.knob == Knob::setback)
        return print_setback(setting.value, site.units);
    if (is_length(setting.knob))
        return print_length(setting.value, site.units);
    return is_angle(setting.knob) ? print_angle(setting.value) : print_share(setting.value);
}

std::vector<std::size_t> find_fixtures(const Site& site, const std::vector<std::string>& ids) {
    std::vector<std::size_t> found;
    if (ids.empty())
        for (std::size_t i = 0; i < site.fixtures.size(); ++i)
            found.push_back(i);
    for (const std::string& id : ids) {
        const auto fixture = std::find_if(site.fixtures.begin(), site.fixtures.end(),
                                          [&](const Fixture& one) { return one.id == id; });
        if (fixture == site.fixtures.end())
            fail(messages::dangling("fixture", id, ids_of(site.fixtures)));
        const auto index = static_cast<std::size_t>(fixture - site.fixtures.begin());
        if (std::find(found.begin(), found.end(), index) != found.end())
            fail(messages::fixture_twice(id));
        found.push_back(index);
    }
    return found;
}

void require_lamp(const Site& site, const std::string& id) {
    if (find_lamp(site, id) != nullptr)
        return;
    std::vector<std::string> known = ids_of(site.lamps);
    for (const Lamp& lamp : site.catalogue.lamps)
        known.push_back(lamp.id);
    fail(messages::dangling("lamp", id, known));
}

void apply_setting(Site& site, const std::vector<std::size_t>& fixtures, const Setting& setting,
                   const std::filesystem::path& folder) {
    if (setting.knob == Knob::lamp)
        require_lamp(site, setting.lamp);
    if (setting.knob == Knob::spacing)
        return set_spacing(site, fixtures, setting.value);
    for (const std::size_t index : fixtures)
        set_on(site, site.fixtures[index], setting, folder);
}

Site make_variant(const Site& site, const Variant& variant, const std::filesystem::path& folder) {
    Site made = site;
    made.variants.clear(); // they are of the site, not of one another
    for (const Fixture& fixture : variant.added) {
        for (const Fixture& present : made.fixtures)
            if (present.id == fixture.id)
                fail(messages::added_is_there(fixture.id));
        made.fixtures.push_back(fixture);
    }
    for (const Change& change : variant.changes)
        for (const Setting& setting : change.settings)
            apply_setting(made, find_fixtures(made, change.fixtures), setting, folder);
    if (!variant.without.empty()) {
        std::vector<std::size_t> gone = find_fixtures(made, variant.without);
        std::sort(gone.rbegin(), gone.rend());
        for (const std::size_t index : gone)
            made.fixtures.erase(made.fixtures.begin() + static_cast<std::ptrdiff_t>(index));
    }
    if (!variant.added.empty() || !variant.without.empty())
        made.network.reset(); // nothing is said of how it would be fed
    if (variant.plants)
        made = in_season(made, variant.plants->season, variant.plants->years_on);
    return made;
}

} // namespace duskcast
