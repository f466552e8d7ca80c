#pragma once
// Variants: the same site with other lamps, aims or places of its fixtures.

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/site/equipment.hpp"

namespace duskcast {

struct Site;

/// What can be set on fixtures. Named as in the site file; `beam` gives the lamp another beam angle with the
/// same lumens, `spacing` puts the fixtures of one wall so far apart, their middle staying where it is.
enum class Knob { lamp, beam, tilt, azimuth, turn, setback, along, bearing, lens_height, dimming, spacing };

std::string name_of(Knob knob); ///< "tilt"
/// Throws InputError, its place left empty, with the nearest when unknown.
Knob read_knob(const std::string& word);

/// Whether the knob's values are lengths or angles; the others are a lamp's id and the dimming's share.
bool is_length(Knob knob);
bool is_angle(Knob knob);

struct Setting {
    Knob knob = Knob::tilt;
    double value = 0; ///< SI: metres, radians, share
    std::string lamp; ///< of Knob::lamp: its id

    bool operator==(const Setting&) const = default;
};

/// A knob's value from text: "15 in", "8", "0.5" or a lamp's id. Bare lengths are in `units`, angles in
/// degrees. Throws InputError, its place left empty.
Setting read_setting(Knob knob, const std::string& text, LengthUnit units);

/// The value for people: "6°", "15 in", "50 %", or the lamp's name.
std::string print_value(const Site& site, const Setting& setting);

/// What is set on some of the fixtures.
struct Change {
    std::vector<std::string> fixtures; ///< ids; empty: all
    std::vector<Setting> settings;

    bool operator==(const Change&) const = default;
};

/// `bare`: what is deciduous has lost its leaves.
enum class Season { in_leaf, bare };

inline constexpr double most_years_on = 100;

/// How a site's plants are to be taken.
struct SeasonChoice {
    Season season = Season::in_leaf;
    double years_on = 0; ///< from the day the site file speaks of, 0..most_years_on

    bool operator==(const SeasonChoice&) const = default;
};

struct Variant {
    std::string id;
    std::string name;                 ///< the id when empty
    std::vector<Change> changes;      ///< one after the other
    std::vector<std::string> without; ///< fixtures taken away
    std::vector<Fixture> added;       ///< before the changes, so that these may name them
    std::optional<SeasonChoice> plants;

    bool operator==(const Variant&) const = default;
};

/// "U4,U5" as ids; "all" and "" as none, which for fixtures means all of them.
std::vector<std::string> read_ids(const std::string& text);

/// "U5 lamp=brighter-5w tilt=6; U4,U6 dimming=0.5; without U2; add U7 like U5 along=35ft; season=bare;
/// years_on=10", with "NAME:" before it. Ids may be "all". Throws InputError, its place left empty.
Variant read_variant(const std::string& text, const Site& site);

/// Sets one thing on fixtures (indices into site.fixtures). `folder` is the site file's, for lamps whose
/// lumens are in a file. Throws InputError, its place left empty: a setback of what stands by coordinates,
/// another beam of a lamp from a file, spacing of fixtures that do not stand at one wall.
void apply_setting(Site& site, const std::vector<std::size_t>& fixtures, const Setting& setting,
                   const std::filesystem::path& folder);

/// Throws InputError, its place left empty, with the lamps there are where the site and its catalogue have
/// none of that id.
void require_lamp(const Site& site, const std::string& id);

/// Indices of fixtures by id; all for none. Throws InputError, its place left empty, with the nearest.
std::vector<std::size_t> find_fixtures(const Site& site, const std::vector<std::string>& ids);

/// The site as the variant has it, its plants in the variant's season; without its network where fixtures
/// come or go. The result is not checked (check_site). Throws InputError as the parts do, and when added and
/// present ids are the same.
Site make_variant(const Site& site, const Variant& variant, const std::filesystem::path& folder);

} // namespace duskcast
