#pragma once
// The wording of everything the site room says about a site file. One function, one message.

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <string>
#include <string_view>
#include <vector>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {

/// What is wrong, and what would be right.
struct Message {
    std::string what;
    std::string remedy;
};

namespace messages {

using fmt::format;
using std::string;
using std::string_view;
using Words = std::vector<string>;

inline string near_or_known(const string& nearest, const Words& known) {
    if (!nearest.empty())
        return format("did you mean \"{}\"?", nearest);
    return known.empty() ? string("there are none") : format("known are {}", fmt::join(known, ", "));
}

// The text as JSON.
inline Message empty_file(const string& first_key) {
    return {"there is nothing in this file",
            format("start with {{ \"{}\": 1, \"name\": \"...\" }}", first_key)};
}
inline Message file_ends(char closing) {
    return {format("the file ends before the closing {}", closing), ""};
}
inline Message text_after_end() {
    return {"there is more text after the last closing bracket", "delete it"};
}
inline Message no_colon() {
    return {"a colon is missing after the key", "write \"key\": value"};
}
inline Message no_comma(char closing) {
    return {format("a comma or the closing {} is missing here", closing), ""};
}
inline Message comma_too_many() {
    return {"there is a comma too many", "delete it"};
}
inline Message comment() {
    return {"comments are not allowed in this file", "delete it"};
}
inline Message no_key() {
    return {"a key is missing here", "keys stand in double quotes, as in \"height\": 10"};
}
inline Message no_value(const string& word) {
    return {format("\"{}\" is no value", word),
            "numbers are written as 0.5 or 12, text in double quotes, and then there are true and false"};
}
inline Message number_too_large(const string& word) {
    return {format("the number {} is too large", word), ""};
}
inline Message open_text() {
    return {"the closing double quote is missing on this line", ""};
}
inline Message bad_character() {
    return {"this text holds a character that must not stand there",
            "save the file as UTF-8, and write a backslash as \\\\"};
}
inline Message key_twice(const string& key) {
    return {format("\"{}\" is given twice", key), "keep one of the two"};
}
inline Message too_deep(std::size_t depth) {
    return {format("brackets are nested more than {} deep", depth), ""};
}
inline Message too_many_values() {
    return {"the file holds more than two million values", ""};
}
inline Message too_large_a_file() {
    return {"the file is larger than 64 MB", "put geometry of this size in an OBJ file, as a mesh"};
}
inline Message cannot_read(const string& reason) {
    return {format("the file cannot be read: {}", reason), ""};
}
inline Message cannot_write(const string& reason) {
    return {format("the file cannot be written: {}", reason), "what was there before is unchanged"};
}

// Keys and values.
inline Message wrong_type(string_view wanted) {
    return {format("this should be {}", wanted), ""};
}
inline Message wrong_count(std::size_t count) {
    return {format("this should be a list of {} figures in [ ]", count), ""};
}
inline Message missing(string_view key) {
    return {format("\"{}\" is missing", key), ""};
}
inline Message unknown_key(const string& key, const string& nearest, const Words& known) {
    return {format("unknown key \"{}\"", key), near_or_known(nearest, known)};
}
inline Message unknown_word(const string& word, const Words& known) {
    const bool has_commas = std::any_of(known.begin(), known.end(),
                                        [](const auto& one) { return one.find(',') != std::string::npos; });
    return {format("\"{}\" is not known here", word),
            has_commas ? format("known are \"{}\"", fmt::join(known, "\", \""))
                       : format("known are {}", fmt::join(known, ", "))};
}
inline Message wrong_version() {
    return {"this program reads version 1 of the site file",
            "write \"duskcast\": 1, or get a newer duskcast"};
}
inline Message wrong_catalogue_version() {
    return {"this program reads version 1 of the catalogue file",
            "write \"duskcast_catalogue\": 1, or get a newer duskcast"};
}
inline Message wrong_business_version() {
    return {"this program reads version 1 of the business file",
            "write \"duskcast_business\": 1, or get a newer duskcast"};
}
inline Message business_without_name() {
    return {"the name of the business is empty", "write it as it should stand on the cover"};
}
inline Message markup_beside_margin() {
    return {"there is a margin beside a markup",
            "keep one: a markup is a share of the cost, a margin a share of the price"};
}
inline Message no_colour(const string& text) {
    return {format("\"{}\" is no colour", text), "write it as #rrggbb, for example #22304f"};
}
inline Message no_logo(const string& file, const string& reason) {
    return {format("the logo \"{}\" cannot be read: {}", file, reason), "it is looked for beside this file"};
}
inline Message too_large_a_logo() {
    return {"the logo is larger than 4 MB", "save it smaller: a few hundred pixels are enough"};
}
inline Message logo_is_no_picture(const string& file) {
    return {format("the logo \"{}\" is no picture that a page can show", file),
            "save it as PNG, JPEG, GIF or WebP"};
}
inline Message needs_key(string_view key, string_view other) {
    return {format("\"{}\" has no meaning without \"{}\"", key, other),
            format("give \"{}\" too, or delete it", other)};
}
inline Message excludes_key(string_view key, string_view other) {
    return {format("\"{}\" and \"{}\" are both given", other, key), "keep one of the two"};
}

// Ids and references.
inline Message id_empty() {
    return {"the id is empty", "give a short name such as \"front\""};
}
inline Message id_characters(const string& id) {
    return {format("the id \"{}\" cannot become a file name", id),
            "use up to 64 letters, digits, - _ and . and do not start with a dot"};
}
inline Message id_dotted(const string& id) {
    return {format("the id \"{}\" holds a dot, which stands between a thing and its part", id),
            "write - or _ instead"};
}
inline Message id_reserved(const string& id, const string& owner) {
    return {format("the id \"{}\" is kept for {}", id, owner), "choose another"};
}
inline Message id_twice(const string& id, const string& other_path) {
    return {format("the id \"{}\" is taken by {}", id, other_path), "choose another"};
}
inline Message id_case(const string& id, const string& other, const string& other_path) {
    return {format("the ids \"{}\" and \"{}\" ({}) differ only in capital letters", id, other, other_path),
            "some computers take their files for the same one; choose another"};
}
inline Message dangling(string_view kind, const string& id, const Words& known) {
    return {format("there is no {} \"{}\"", kind, id), near_or_known(find_nearest_word(id, known), known)};
}

// Sizes.
inline Message not_positive(const string& shown) {
    return {format("{} is too small", shown), "it must be more than 0"};
}
inline Message negative(const string& shown) {
    return {format("{} is below 0", shown), "it must be 0 or more"};
}
inline Message absurd(const string& shown, const string& limit) {
    return {format("{} is more than {}", shown, limit), "check the unit"};
}
inline Message out_of_range(const string& shown, const string& low, const string& high) {
    return {format("{} is out of range", shown), format("it must be {} to {}", low, high)};
}
inline Message level_out_of_range(const string& shown, const string& high) {
    return {format("{} is out of range", shown), format("it must be above 0 and at most {}", high)};
}
inline Message too_many_points(std::size_t limit) {
    return {format("there are more than {} points", limit), ""};
}
inline Message too_few_points(std::size_t least) {
    return {format("at least {} points are needed", least), ""};
}
inline Message points_coincide() {
    return {"this point is the same as the one before", "delete one of them"};
}
inline Message ends_where_it_began(bool is_open) {
    return {"the last point is the same as the first",
            is_open ? "delete it and write \"closed\": true" : "delete it, the outline closes by itself"};
}
inline Message crosses_itself(const string& what) {
    return {format("the {} crosses or touches itself", what), "check the order of the points"};
}
inline Message no_area() {
    return {"the outline encloses nothing", "check the points"};
}

// Walls.
inline Message gable_off_segment(const string& id) {
    return {format("gable \"{}\" reaches past the end of its straight piece of wall", id),
            "a gable lies within one segment of the path"};
}
inline Message peak_too_low(const string& peak, const string& height) {
    return {format("the peak at {} is not above the wall's height of {}", peak, height),
            "a peak is measured from the wall's foot"};
}
inline Message opening_off_segment(const string& id) {
    return {format("{} reaches past the end of its straight piece of wall", id),
            "check \"from\" and \"width\""};
}
inline Message opening_above(const string& id, const string& top, const string& edge) {
    return {format("{} reaches up to {}, above the wall's edge at {}", id, top, edge),
            "check \"sill\" and \"height\""};
}
inline Message opening_below(const string& id, const string& bottom) {
    return {format("{} reaches below the bottom of the projection at {}", id, bottom), "raise its \"sill\""};
}
inline Message openings_overlap(const string& one, const string& other) {
    return {format("{} and {} overlap", one, other), "move one of them"};
}
inline Message opening_hidden(const string& one, const string& projection) {
    return {format("{} lies behind projection \"{}\"", one, projection),
            "move it, or make it an opening of the projection"};
}
inline Message projection_off_segment(const string& id) {
    return {format("projection \"{}\" reaches past the end of its straight piece of wall", id),
            "check \"from\" and \"width\""};
}
inline Message projection_top(const string& height, const string& bottom) {
    return {format("its top at {} is not above its bottom at {}", height, bottom),
            "\"height\" is the top's, measured from the wall's foot"};
}
inline Message projections_overlap(const string& one, const string& other) {
    return {format("projections \"{}\" and \"{}\" overlap", one, other), "move one of them"};
}

// Plants and meshes.
inline Message base_above_top(const string& base, const string& height) {
    return {format("the lowest leaves at {} are not below the top at {}", base, height),
            "\"base\" is where the crown begins, \"height\" where it ends"};
}
inline Message mature_already(const string& what, const string& now, const string& mature) {
    return {format("the tree's {} is {} already, more than {}", what, now, mature),
            "leave it out, or give the mature size"};
}
inline Message growth_unknown(const string& id) {
    return {format("\"{}\" says no rate of growth, so it stays as it is", id), "give \"growth\""};
}
inline Message trunk_outgrows(const string& id) {
    return {format("by then the trunk of \"{}\" has grown up to the fixture", id),
            "plan to move it out; it is taken to stand just off the bark"};
}
inline Message outline_or_path() {
    return {"a shrub has either an \"outline\" (a bed) or a \"path\" and a \"width\" (a hedge)",
            "give one of the two"};
}
inline Message too_many_leaves(double facets, double factor, const string& id, const string& leaf_size) {
    return {format("the leaves of this site come to about {:.1f} million, more than the 6 million that can "
                   "be traced",
                   facets / 1e6),
            format("make each \"leaf_size\" {:.1f} times as large (for \"{}\": {})", factor, id, leaf_size)};
}
inline Message too_many_sensors(double sensors, const string& key, const string& spacing) {
    return {format("this spacing puts about {:.1f} million sensors, more than the limit of 5 million",
                   sensors / 1e6),
            format("make \"{}\" {} or more", key, spacing)};
}
inline Message no_such_file(const string& file) {
    return {format("the file \"{}\" does not exist", file), "it is looked for beside this file"};
}
inline Message file_name_missing() {
    return {"the name of the OBJ file is empty", ""};
}

// Lamps and fixtures.
inline Message file_and_figures() {
    return {"an LM-63 file and figures are both given",
            "keep the file, or keep \"lumens\", \"candela\", \"beam\" and \"field\""};
}
inline Message id_in_catalogue(const string& id) {
    return {format("the catalogue has a lamp \"{}\" already", id), "choose another id, or use that lamp"};
}
inline Message kind_or_model() {
    return {"it is not said what the fixture is", "give \"kind\", or \"model\" and a catalogue"};
}
inline Message not_of_its_kind(const string& kind, const string& model, const string& models) {
    return {format("the model \"{}\" is of kind {}, not {}", model, models, kind),
            "leave \"kind\" out, or choose another model"};
}
inline Message lamp_does_not_fit(const string& lamp, const string& model, const Words& fitting) {
    return {format("the lamp \"{}\" does not fit the model \"{}\"", lamp, model),
            fitting.empty() ? string("no lamp at hand does")
                            : format("those that fit are {}", fmt::join(fitting, ", "))};
}
inline Message tilt_out_of_range(const string& tilt, const string& model, const string& least,
                                 const string& greatest) {
    return {format("the model \"{}\" cannot be tilted to {}", model, tilt),
            format("it goes from {} to {}", least, greatest)};
}
inline Message rim_too_narrow(const string& rim, const string& lens) {
    return {format("the rim is {} wide, narrower than the lens, which is {}", rim, lens),
            "give the rim's diameter"};
}
inline Message power_factor_contradicts(const string& watts, const string& volt_amperes) {
    return {format("{} W are more than {} VA", watts, volt_amperes),
            "apparent power is watts over the power factor, which is at most 1"};
}
inline Message no_such_knob(const string& fixture, const string& knob, const string& place) {
    return {format("\"{}\" has no {} to set", fixture, knob), format("only a fixture {} has one", place)};
}
inline Message beam_from_file(const string& lamp) {
    return {format("the lamp \"{}\" is measured, so its beam cannot be set", lamp),
            "name another lamp, or describe one by its figures"};
}
inline Message spacing_of_one() {
    return {"a spacing needs two fixtures or more", "name those that stand in a row"};
}
inline Message spacing_of_two_walls(const string& one, const string& other) {
    return {format("\"{}\" and \"{}\" stand at different walls", one, other),
            "set the spacing of one wall's fixtures"};
}
inline Message fixture_twice(const string& id) {
    return {format("the fixture \"{}\" is named twice", id), "name it once"};
}
inline Message added_is_there(const string& id) {
    return {format("the fixture \"{}\" is there already", id), "give the added one another id"};
}
inline Message empty_variant() {
    return {"the variant changes nothing",
            "give \"changes\", \"without\", \"added\", \"season\" or \"years_on\""};
}
inline Message no_position() {
    return {"it is not said where the fixture stands", "give \"wall\", \"tree\" or \"at\""};
}
inline Message two_positions() {
    return {"\"wall\", \"tree\" and \"at\" exclude each other", "keep one"};
}
inline Message off_the_run(const string& along, const string& what, const string& length) {
    return {format("{} along is past the end of the {}, which is {} long", along, what, length), ""};
}
inline Message behind_the_wall(const string& what) {
    return {format("a negative setback puts the fixture inside the {}", what),
            "setback is measured outwards from the face"};
}
inline Message lens_in_the_wall(const string& what, const string& least) {
    return {format("part of the lens is inside the {}", what),
            format("the setback must be at least {}", least)};
}
inline Message below_level_ground(const string& depth) {
    return {format("the lens is {} below the level ground, which would hide its light", depth),
            "raise \"lens_height\", or the \"foot\" of what it stands at"};
}
inline Message low_projection(const string& height) {
    return {format("a projection's figures are those of its upright faces, which here are {} high", height),
            "for the floor on top, such as a porch's, draw a ground area of that \"height\" in its place"};
}
inline Message inside_projection(const string& id) {
    return {format("the fixture is inside projection \"{}\" of the wall", id),
            "move it along, or further out"};
}
inline Message inside_building(const string& id) {
    return {format("the fixture is inside the building \"{}\"", id), "check its position"};
}
inline Message on_the_wall(const string& id) {
    return {format("the fixture stands in the wall \"{}\"", id), "move it in front of the wall's face"};
}
// Roofs.
inline Message roof_over_what() {
    return {"it is not said what the roof is over", "give one of \"wall\" and \"outline\""};
}
inline Message roof_not_convex() {
    return {"the roof's footprint has an inner corner", "put a roof over each wing; they may overlap"};
}
inline Message roof_corners(const string& form, int count) {
    return {format("a {} roof needs a footprint of four corners, and this one has {}", form, count),
            "make it a hip roof, or give an \"outline\""};
}
inline Message roof_needs_depth() {
    return {"a wall of one straight segment does not say how deep the house is", "give \"depth\""};
}
inline Message roof_has_depth() {
    return {"the wall's own corners say how deep the house is", "delete \"depth\""};
}
inline Message roof_too_high(const string& ridge, const string& limit) {
    return {format("the ridge would be {} up, more than {}", ridge, limit), "check slope and footprint"};
}
inline Message chimney_beside_roof(const string& id) {
    return {format("the chimney \"{}\" does not stand within the roof's footprint", id), "move it"};
}
inline Message dormer_off_roof(const string& id, int sides) {
    return {format("the dormer \"{}\" is on no slope of the roof", id),
            format("\"side\" must be one of 1 to {} that slopes", sides)};
}
inline Message dormer_too_large(const string& id) {
    return {format("the dormer \"{}\" reaches beyond its slope of the roof", id),
            "make it lower or narrower, or move it"};
}
inline Message dormer_too_steep(const string& id) {
    return {format("the shed dormer \"{}\" slopes as steeply as its roof, which it would never meet", id),
            "give a smaller \"slope\""};
}
inline Message dormer_window(const string& id) {
    return {format("the window \"{}\" reaches beyond the front of the dormer", id),
            "make it smaller, or the dormer larger"};
}
inline Message columns_without_outline() {
    return {"columns stand under a roof that is given by its outline",
            "give \"outline\", or delete \"columns\""};
}
inline Message columns_above_roof() {
    return {"the columns would stand above the roof's underside", "check their \"foot\""};
}

// Fountains.
inline Message height_without_bowl() {
    return {"\"height\" is that of the highest bowl, and this fountain has none",
            "delete it, or give \"bowls\"; the water of a basin rises by \"jet\""};
}
inline Message fountain_too_low(const string& least) {
    return {"the bowls have no room above the basin", format("make \"height\" at least {}", least)};
}

// Terraces.
inline Message terrace_in_higher(const string& id, const string& height, bool is_level) {
    return {format("it lies in the terrace \"{}\", which is {} high{}", id, height, is_level ? "" : " there"),
            "make it higher than that, or leave out \"height\" to lay it upon the terrace"};
}
inline Message falls_upwards(const string& low, const string& high) {
    return {format("its low edge would be {} high and its high edge {}", low, high),
            "give \"to\" a height below the area's \"height\""};
}
inline Message falls_steeply(const string& fall, const string& length, double most) {
    return {format("it falls {} over {}, more than 1 in {}", fall, length, most),
            "check \"height\", \"to\" and \"towards\", or hold it up with terraces that are level"};
}
inline Message water_that_falls(bool is_own) {
    return {"water lies level, and this would slope",
            is_own ? "delete \"fall\"" : "lay it on level ground, or give it a \"height\" of its own"};
}
inline Message area_across_terrace(const string& id) {
    return {format("it lies partly on the terrace \"{}\" and partly beside it", id),
            "give each part an area of its own"};
}
inline Message below_terrace(const string& thing, const string& depth, const string& height) {
    return {format("the {} begins {} below the ground there, which is a terrace", thing, depth),
            format("give \"foot\": \"{}\", or leave it out: what says none stands on the ground", height)};
}
inline Message inside_terrace(const string& depth) {
    return {format("the lens is {} below the terrace there", depth),
            "raise \"lens_height\", or the \"foot\" of what it stands at"};
}

// Trim.
inline Message no_room_beside(const string& what, const string& opening) {
    return {format("there is no room for the {} of the {}", what, opening),
            "make them or it narrower, or leave them out"};
}
inline Message no_house_number(const string& text, std::size_t most) {
    return {format("\"{}\" is no house number", text),
            format("give 1 to {} digits, with dashes between them if need be", most)};
}
inline Message number_on_opening(const string& opening) {
    return {format("the house number lies on the {} or what is round it", opening), "move it"};
}
inline Message number_off_wall(const string& width, const string& height) {
    return {format("the house number, with its plate {} wide and {} high, reaches beyond the wall's face",
                   width, height),
            "move it, or make it smaller"};
}

// Steps.
inline Message steps_without_place() {
    return {"it is not said where the steps are", "give \"wall\" with \"along\", or \"at\" with \"facing\""};
}
inline Message too_many_steps(int most) {
    return {format("that makes more than {} steps", most), "give a higher \"riser\", or less \"height\""};
}

// Light of its own.
inline Message glow_by_one_figure() {
    return {"a glow is said by its luminance or by its lumens", "give one of \"luminance\" and \"lumens\""};
}
inline Message dark_room_glows() {
    return {"the room behind it is dark, and it glows", "leave out \"glow\", or say \"lit\" or \"curtains\""};
}
inline Message lantern_without_place() {
    return {"it is not said where the lantern is", "give \"wall\" with \"along\" and \"up\", or \"at\""};
}
inline Message lantern_in_the_wall(const string& least) {
    return {"part of the lantern is inside the wall", format("the setback must be at least {}", least)};
}
inline Message hooded_sphere() {
    return {"a hooded lantern has an underside, and a sphere has none", "make it a cylinder or a box"};
}
inline Message hooded_on_pole() {
    return {"the pole would stand below the underside that its light leaves", "give the pole an \"arm\""};
}
inline Message pole_above_lantern(const string& bottom) {
    return {format("the pole's foot is not below the lantern, which ends {} up", bottom),
            "check \"foot\" and \"at\""};
}
inline Message lantern_in_the_ground(const string& depth) {
    return {format("the lantern reaches {} into the ground", depth), "raise it"};
}

inline Message inside_trunk(const string& id) {
    return {format("the fixture is inside the trunk of \"{}\"", id), "move it out"};
}
inline Message above_the_tree(const string& height, const string& top) {
    return {format("the lens at {} is above the top of the tree at {}", height, top), ""};
}

// Targets and views.
inline Message gable_not_on_wall() {
    return {"only a whole wall has gables", "delete \"gable\""};
}
inline Message along_not_on_wall() {
    return {"only a wall or a part of one has a run to go along", "delete \"along\""};
}
inline Message wrong_order(const string& one, const string& other) {
    return {format("{} is not below {}", one, other), "write the smaller figure first"};
}
inline Message looks_at_itself(const string& key) {
    return {format("\"{}\" and \"look_at\" are the same point", key), "move one of them"};
}
inline Message unplaced_mark(bool is_twice) {
    return {is_twice ? "\"wall\" and \"at\" both say where the mark is" : "it is not said where the mark is",
            is_twice ? "keep one of them" : "give \"wall\" with \"along\" and \"up\", or \"at\""};
}
inline Message no_pixel(std::size_t count) {
    return {format("a pixel is two numbers, and these are {}", count), "give [right, down]"};
}
inline Message length_of_a_pixel() {
    return {"the length begins and ends at the same pixel", "give its two ends"};
}
inline Message along_no_wall() {
    return {"\"along\" has no meaning on the ground", "name the \"wall\", or delete it"};
}
inline Message odd_outline(std::size_t count) {
    return {format("an outline is pairs of numbers, and these are {}", count), "give right, down in turn"};
}
inline Message no_such_plant(const string& words, const string& nearest, const Words& known) {
    return {format("no plant that is known here is named in \"{}\"", words), near_or_known(nearest, known)};
}
inline Message unknown_plant_word(const string& word, const string& nearest) {
    return {format("\"{}\" says nothing of a plant here", word),
            nearest.empty()
                ? "give the kind, a colour, a season such as \"in bloom\" and a size such as \"18 ft\""
                : format("did you mean \"{}\"?", nearest)};
}
inline Message plant_without_blossoms(const string& kind) {
    return {format("\"{}\" has no blossoms that are known here", kind),
            "delete \"in bloom\", or choose a plant that flowers"};
}
inline Message plant_size_without_unit(const string& figure) {
    return {format("the size {} of this plant has no unit that is known here", figure),
            "write it as \"18 ft\", \"5 ft 6 in\" or \"5.5 m\""};
}
inline Message mask_without_plant() {
    return {"it is not said which plant this is", "give \"plant\" with the id of a tree or shrub"};
}
inline Message sun_not_said() {
    return {"a photo taken in the sun needs where the sun stood",
            "give \"sun\" its \"azimuth\" and \"elevation\", or make \"taken\" \"shade\" or \"overcast\""};
}
inline Message sun_not_out() {
    return {"\"sun\" has no meaning for a photo that was not taken in the sun",
            "delete it, or make \"taken\" \"sun\""};
}
inline Message mask_of_no_plant() {
    return {"\"plant\" has no meaning for this kind of mask", "delete it, or make the kind \"plant\""};
}
inline Message watched_inside(const string& id) {
    return {
        format("this point is inside the building \"{}\", where no light of the garden is looked for", id),
        "put it on the outside of the window"};
}

// Advice: what an experienced installer would say.
inline Message setback_unusual(const string& setback, const string& low, const string& high, bool is_close) {
    return {
        format("an uplight {} from the wall is {} than usual", setback, is_close ? "closer" : "further off"),
        format("{} to {} is common: closer leaves a hot spot at the foot, further loses the grazing light",
               low, high)};
}
inline Message aims_away() {
    return {"the beam leans back, away from the wall", "a positive tilt leans towards it"};
}
inline Message aims_at_foot(const string& height) {
    return {format("the middle of the beam meets the wall only {} above its foot", height),
            "reduce the tilt"};
}
inline Message passes_over(const string& top) {
    return {format("even the lower edge of the beam passes over the wall's top at {}", top),
            "increase the tilt, or move the fixture nearer"};
}
inline Message wider_than_wall(const string& spot, const string& run) {
    return {format("at the wall's top the beam is {} wide, wider than the wall's {}", spot, run),
            "a narrower lamp would spill less"};
}
inline Message spike_in_lawn(bool is_uplight) {
    return {"a fixture on a spike in the lawn gets hit by the mower",
            is_uplight ? "use an in-ground one, or move it into a bed" : "move it into a bed"};
}
inline Message path_points_up() {
    return {"the path light points upwards, so that its hat sheds light into the sky",
            "180 is straight down, as is usual"};
}
inline Message downlight_points_up() {
    return {"the downlight points level or upwards", "180 is straight down"};
}
inline Message points_down() {
    return {"the uplight points level or below",
            "a tilt of 0 is straight up; more than 90 degrees throws the light into the ground"};
}
inline Message ambient_bright(const string& shown, const string& usual) {
    return {format("{} on open ground is no dark garden", shown),
            format("moon and street glow stay below {}; a full moon alone gives 0.05 to 0.3 lx", usual)};
}
inline Message lamp_unused() {
    return {"no fixture uses this lamp", ""};
}
inline Message watts_unknown() {
    return {"the lamp's watts are not known, so the load cannot be added up", "give \"watts\""};
}
inline Message wall_clockwise() {
    return {"this closed wall runs clockwise, so that its outside faces inwards",
            "right for a courtyard; for a house, reverse the order of the points"};
}

} // namespace messages
} // namespace duskcast
