#pragma once
// What may stand in a site file, in a catalogue file and in a business file: every key of every object,
// described once. The reader, the printer, the range checks and the JSON schemas follow this description,
// and a form can be built from it.

#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace duskcast {

/// What a value is, and with it the way it is written.
enum class KeyQuantity {
    version,      ///< of the file's format
    text,         ///< free text
    id,           ///< a name that messages, references and output files use
    surface_id,   ///< the same without a dot, which stands between a thing and its part
    reference,    ///< the id of something else
    references,   ///< a list of ids
    file,         ///< relative to the file that names it
    truth,        ///< true or false
    count,        ///< a whole number
    number,       ///< in the field's own unit, if any
    numbers,      ///< a list of them
    number_span,  ///< two, the smaller first
    share,        ///< 0 to 1
    length,       ///< metres; a bare number in a file is in the file's unit
    length_span,  ///< two lengths, the smaller first
    metres,       ///< a length whose bare number is in metres, whatever the file's unit
    angle,        ///< radians; degrees in a file
    angle_span,   ///< two angles, the smaller first
    spread,       ///< a full angle, or two: side to side, up and down
    illuminance,  ///< lux; a bare number in a file is in the file's light unit
    illuminances, ///< a list of them
    word,         ///< one of a few words
    point,        ///< [east, north] in the plan, metres
    place,        ///< [east, north, up], metres
    path,         ///< a line of points in the plan
    outline,      ///< a closed line of points in the plan
    finish,       ///< a name from the finish table, or figures
    object,       ///< another object
    objects,      ///< a list of objects
};

/// In SI units; the ends are included unless said otherwise.
struct KeyRange {
    double least = -std::numeric_limits<double>::infinity();
    double most = std::numeric_limits<double>::infinity();
    bool is_above_least = false; ///< `least` itself is too small

    bool operator==(const KeyRange&) const = default;
};

/// One key of an object.
struct FieldInfo {
    std::string key;
    KeyQuantity quantity = KeyQuantity::text;
    std::string help; ///< a line for people
    std::string unit; ///< SI symbol, such as "m", "rad", "lx", "W"; empty: none
    KeyRange range;
    bool is_required = false;
    std::string usual;              ///< JSON of what leaving it out means; empty: nothing, or it depends
    std::vector<std::string> words; ///< of KeyQuantity::word
    std::vector<int> choices;       ///< of KeyQuantity::count: the only ones there are; empty: the range's
    std::size_t least_items = 0;    ///< of a list
    std::string object;             ///< what KeyQuantity::object and objects hold, by ObjectInfo::name
    std::string older_key;          ///< also read; not written any more
};

struct ObjectInfo {
    std::string name; ///< "wall"
    std::string help;
    std::vector<FieldInfo> fields; ///< in the order in which they are written
};

/// "site" first, then what it holds, each once.
std::vector<ObjectInfo> describe_site_file();
/// "catalogue" first.
std::vector<ObjectInfo> describe_catalogue_file();
/// "business" alone.
std::vector<ObjectInfo> describe_business_file();

/// JSON Schema (draft 7) of a site file, a catalogue file and a business file; the latter two refer to the
/// site's as "site.schema.json" beside them.
std::string print_site_schema();
std::string print_catalogue_schema();
std::string print_business_schema();

} // namespace duskcast
