// The description of the keys for others: as plain data, and as JSON Schemas.

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "described.hpp"
#include "duskcast/site/finish.hpp"
#include "site_text.hpp"

namespace duskcast {
namespace {

using Json = nlohmann::ordered_json;

std::string unit_of(const FieldInfo& info) {
    switch (info.quantity) {
    case KeyQuantity::length:
    case KeyQuantity::length_span:
    case KeyQuantity::metres:
    case KeyQuantity::point:
    case KeyQuantity::place:
    case KeyQuantity::path:
    case KeyQuantity::outline:
        return "m";
    case KeyQuantity::angle:
    case KeyQuantity::angle_span:
    case KeyQuantity::spread:
        return "rad";
    case KeyQuantity::illuminance:
    case KeyQuantity::illuminances:
        return "lx";
    default:
        return info.unit;
    }
}

FieldInfo info_of(const Fields& fields, const Field& field) {
    FieldInfo info = field.info;
    info.unit = unit_of(info);
    info.usual = print_usual(fields, field);
    if (field.parts)
        info.object = field.parts()->name;
    return info;
}

/// The object and all it holds, each once, outer ones first.
void collect(const Fields& fields, std::vector<const Fields*>& found) {
    if (std::find(found.begin(), found.end(), &fields) != found.end())
        return;
    found.push_back(&fields);
    for (const Field& field : fields.fields)
        if (field.parts)
            collect(*field.parts(), found);
}

std::vector<ObjectInfo> describe_all(const Fields& root) {
    std::vector<const Fields*> found;
    collect(root, found);
    std::vector<ObjectInfo> objects;
    for (const Fields* fields : found) {
        ObjectInfo& object = objects.emplace_back(ObjectInfo{fields->name, fields->help, {}});
        for (const Field& field : fields->fields)
            object.fields.push_back(info_of(*fields, field));
    }
    return objects;
}

Json with_range(Json type, const KeyRange& range, double unit = 1) {
    const auto tidy = [&](double value) {
        const double figure = std::round(value / unit * 1e9) / 1e9;
        return figure == std::trunc(figure) ? Json(static_cast<std::int64_t>(figure)) : Json(figure);
    };
    if (std::isfinite(range.least))
        type[range.is_above_least ? "exclusiveMinimum" : "minimum"] = tidy(range.least);
    if (std::isfinite(range.most))
        type["maximum"] = tidy(range.most);
    return type;
}

/// A bare number may be in any unit of the file's: of a range only the sign can be said.
Json or_text(const KeyRange& range) {
    Json figure = {{"type", "number"}};
    if (range.least == 0)
        figure[range.is_above_least ? "exclusiveMinimum" : "minimum"] = 0;
    return {{"anyOf", {figure, {{"type", "string"}, {"minLength", 1}}}}};
}

Json angle_in(const KeyRange& range) {
    return {{"anyOf",
             {with_range({{"type", "number"}}, range, radians_from_degrees(1)),
              {{"type", "string"}, {"pattern", "^[-+0-9.eE]+ *(deg|rad)$"}}}}};
}

Json list_of_type(const Json& items, std::size_t least, std::size_t most = 0) {
    Json list = {{"type", "array"}, {"items", items}};
    if (least > 0)
        list["minItems"] = least;
    if (most > 0)
        list["maxItems"] = most;
    return list;
}

/// Types that many keys share, by name.
Json shared_types() {
    Json finishes = Json::array();
    for (const FinishRow& row : finish_table())
        finishes.push_back(row.name);
    const Json length = {{"$ref", "#/$defs/length"}}, point = {{"$ref", "#/$defs/point"}};
    const Json reflectance = {{"type", "number"}, {"minimum", 0}, {"maximum", 1}};
    Json types;
    const auto add = [&](const char* name, const char* help, const Json& type) {
        types[name] = {{"description", help}};
        types[name].update(type);
    };
    add("length",
        "A length: a number in the file's units, or text with its unit such as \"18 in\", \"5 ft 6 in\", "
        "\"0.45 m\".",
        or_text({}));
    add("id", "Name that messages, references and output files use.",
        {{"type", "string"}, {"pattern", "^[A-Za-z0-9_-][A-Za-z0-9._-]{0,63}$"}});
    add("surface_id", "The same without a dot, which stands between a thing and its part.",
        {{"type", "string"}, {"pattern", "^[A-Za-z0-9_-]{1,64}$"}});
    add("point", "East and north.", list_of_type(length, 2, 2));
    add("place", "East, north and up.", list_of_type(length, 3, 3));
    add("path", "Points of a line in the plan.", list_of_type(point, 2));
    add("outline", "Corners of a closed outline in the plan.", list_of_type(point, 3));
    const Json figures = {{"type", "object"},
                          {"required", {"reflectance"}},
                          {"properties",
                           {{"reflectance",
                             {{"description", "Visible reflectance 0 to 1, or linear sRGB [r, g, b]."},
                              {"anyOf", {reflectance, list_of_type(reflectance, 3, 3)}}}}}},
                          {"additionalProperties", false}};
    add("finish", "What a surface is made of.", {{"anyOf", {{{"enum", finishes}}, figures}}});
    return types;
}

class SchemaWriter {
public:
    /// `file` stands before references to what is described elsewhere.
    SchemaWriter(std::string file, std::vector<std::string> own)
        : file_(std::move(file)), own_(std::move(own)) {}

    Json object(const Fields& fields) const {
        Json made = {{"type", "object"}, {"required", Json::array()}, {"properties", Json::object()}};
        for (const Field& field : fields.fields) {
            const FieldInfo info = info_of(fields, field);
            if (info.is_required)
                made["required"].push_back(info.key);
            made["properties"][info.key] = key(info);
            if (!info.older_key.empty()) {
                made["properties"][info.older_key] = key(info);
                made["properties"][info.older_key]["description"] = "An older name of \"" + info.key + "\".";
            }
        }
        made["additionalProperties"] = false;
        if (!fields.schema_rules.empty())
            made.update(Json::parse(fields.schema_rules));
        return made;
    }

private:
    Json refer(const std::string& name) const {
        const bool is_own = std::find(own_.begin(), own_.end(), name) != own_.end();
        return {{"$ref", (is_own ? "" : file_) + "#/$defs/" + name}};
    }

    Json key(const FieldInfo& info) const {
        Json made = {{"description", info.help}};
        made.update(type(info));
        if (!info.usual.empty())
            made["default"] = Json::parse(info.usual);
        return made;
    }

    Json type(const FieldInfo& info) const {
        const Json text = {{"type", "string"}};
        const Json figure = with_range({{"type", "number"}}, info.range);
        switch (info.quantity) {
        case KeyQuantity::version:
            return {{"const", 1}};
        case KeyQuantity::text:
        case KeyQuantity::reference:
            return text;
        case KeyQuantity::file:
            return {{"type", "string"}, {"minLength", 1}};
        case KeyQuantity::references:
            return list_of_type(text, info.least_items);
        case KeyQuantity::truth:
            return {{"type", "boolean"}};
        case KeyQuantity::count:
            return info.choices.empty() ? with_range({{"type", "integer"}}, info.range)
                                        : Json{{"enum", info.choices}};
        case KeyQuantity::number:
        case KeyQuantity::share:
            return figure;
        case KeyQuantity::numbers:
            return list_of_type(figure, info.least_items);
        case KeyQuantity::number_span:
            return list_of_type(figure, 2, 2);
        case KeyQuantity::length:
            return info.range.least == 0 ? or_text(info.range) : refer("length");
        case KeyQuantity::length_span:
            return list_of_type(refer("length"), 2, 2);
        case KeyQuantity::metres:
        case KeyQuantity::illuminance:
            return or_text(info.range);
        case KeyQuantity::illuminances:
            return list_of_type(or_text(info.range), 0);
        case KeyQuantity::angle:
            return angle_in(info.range);
        case KeyQuantity::angle_span:
            return list_of_type(angle_in(info.range), 2, 2);
        case KeyQuantity::spread:
            return {{"anyOf", {angle_in(info.range), list_of_type(angle_in(info.range), 2, 2)}}};
        case KeyQuantity::word:
            return {{"enum", info.words}};
        case KeyQuantity::id:
            return refer("id");
        case KeyQuantity::surface_id:
            return refer("surface_id");
        case KeyQuantity::point:
            return refer("point");
        case KeyQuantity::place:
            return refer("place");
        case KeyQuantity::path:
            return refer("path");
        case KeyQuantity::outline:
            return refer("outline");
        case KeyQuantity::finish:
            return refer("finish");
        case KeyQuantity::object:
            return refer(info.object);
        case KeyQuantity::objects:
            return list_of_type(refer(info.object), info.least_items);
        }
        return {};
    }

    std::string file_;
    std::vector<std::string> own_;
};

Text text_of(const Json& value) {
    if (value.is_object()) {
        Text made{'{', "", "", {}};
        for (const auto& [key, item] : value.items()) {
            made.items.push_back(text_of(item));
            made.items.back().key = key;
        }
        return made;
    }
    if (!value.is_array())
        return scalar(value.dump());
    Text made{'[', "", "", {}};
    for (const Json& item : value)
        made.items.push_back(text_of(item));
    return made;
}

std::string print_schema(const Fields& root, const std::string& title, const SchemaWriter& writer,
                         const std::vector<const Fields*>& objects, Json defs) {
    Json schema = {
        {"$schema", "http://json-schema.org/draft-07/schema#"}, {"title", title}, {"description", root.help}};
    schema.update(writer.object(root));
    for (const Fields* fields : objects) {
        defs[fields->name] = {{"description", fields->help}};
        defs[fields->name].update(writer.object(*fields));
    }
    schema["$defs"] = defs;
    return print_text(text_of(schema), 0, 0) + "\n";
}

} // namespace

std::vector<ObjectInfo> describe_site_file() {
    return describe_all(*site_fields());
}

std::vector<ObjectInfo> describe_catalogue_file() {
    return describe_all(*catalogue_fields());
}

std::vector<ObjectInfo> describe_business_file() {
    return describe_all(*business_fields());
}

std::string print_site_schema() {
    std::vector<const Fields*> objects;
    collect(*site_fields(), objects);
    objects.erase(objects.begin());
    const Json types = shared_types();
    std::vector<std::string> own;
    for (const auto& [name, type] : types.items())
        own.push_back(name);
    for (const Fields* fields : objects)
        own.push_back(fields->name);
    return print_schema(*site_fields(), "duskcast site file", SchemaWriter("", own), objects, types);
}

std::string print_catalogue_schema() {
    return print_schema(*catalogue_fields(), "duskcast catalogue file",
                        SchemaWriter("site.schema.json", {model_fields()->name}), {model_fields()},
                        Json::object());
}

std::string print_business_schema() {
    return print_schema(*business_fields(), "duskcast business file", SchemaWriter("site.schema.json", {}),
                        {}, Json::object());
}

} // namespace duskcast
