#pragma once
// Every key of the full examples of a site file and of a catalogue file, with what is said of it.

#include <doctest/doctest.h>

#include <filesystem>
#include <functional>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <vector>

#include "../folder.hpp"
#include "duskcast/site/catalogue_file.hpp"
#include "duskcast/site/fields.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast::test {

using Json = nlohmann::ordered_json;

inline const std::filesystem::path folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "site";

/// A kind of file: its full example, its description, its reader.
struct FileKind {
    std::filesystem::path example;
    std::vector<ObjectInfo> objects;
    std::function<std::string(const std::string& text)> read; ///< what is read, printed in some way
};

inline FileKind site_kind() {
    const std::filesystem::path file = folder / "full.site.json";
    return {file, describe_site_file(),
            [=](const std::string& text) { return print_site(read_site(text, file).site); }};
}

inline FileKind catalogue_kind() {
    const std::filesystem::path file = folder / "files" / "full.catalogue.json";
    // A site that uses all the catalogue holds prints it.
    return {file, describe_catalogue_file(), [=](const std::string& text) {
                const Catalogue read = read_catalogue(text, file).catalogue;
                Site site;
                site.lamps = read.lamps;
                for (const FixtureModel& model : read.fixtures)
                    site.fixtures.push_back(model.usual);
                std::string printed = print_site(site) + read.name + read.currency;
                for (const FixtureModel& model : read.fixtures) {
                    printed += model.id + model.name + model.socket + std::to_string(model.least_tilt) +
                               std::to_string(model.greatest_tilt) + std::to_string(model.dirt.value_or(-1)) +
                               std::to_string(model.price.value_or(-1));
                    for (const std::string& lamp : model.lamps)
                        printed += lamp;
                }
                return printed;
            }};
}

inline const ObjectInfo& find_object(const FileKind& kind, const std::string& name) {
    for (const ObjectInfo& one : kind.objects)
        if (one.name == name)
            return one;
    FAIL("no object is called " << name);
    return kind.objects.front();
}

/// A key in the example: where it is, and what is said of it.
struct Found {
    Json::json_pointer object; ///< that has the key
    std::string path;          ///< "walls[0].height"
    const FieldInfo* info;
    const ObjectInfo* owner; ///< of whose keys it is one
};

inline void find_keys(const FileKind& kind, const Json& value, const ObjectInfo& described,
                      const Json::json_pointer& at, const std::string& path, std::vector<Found>& found) {
    for (const FieldInfo& info : described.fields) {
        if (!value.contains(info.key))
            continue;
        const std::string own = path.empty() ? info.key : path + "." + info.key;
        found.push_back({at, own, &info, &described});
        const Json& inner = value.at(info.key);
        if (info.quantity == KeyQuantity::object)
            find_keys(kind, inner, find_object(kind, info.object), at / info.key, own, found);
        if (info.quantity == KeyQuantity::objects)
            for (std::size_t i = 0; i < inner.size(); ++i)
                find_keys(kind, inner[i], find_object(kind, info.object), at / info.key / i,
                          own + "[" + std::to_string(i) + "]", found);
    }
}

/// The example without what takes long to check and has nothing to do with the key: variants, each a site of
/// its own, and lamps whose light has to be made from figures.
inline Json example_for(const Json& example, const Found& found) {
    Json made = example;
    if (found.path.starts_with("variants"))
        return made;
    made.erase("variants");
    const bool is_site = made.contains("duskcast");
    if (is_site)
        made["catalogue"] = "files/one-model.catalogue.json";
    if (!found.path.starts_with("lamps"))
        for (Json& lamp : made["lamps"])
            lamp = {{"id", lamp["id"]}, {"file", is_site ? "files/narrow.ies" : "narrow.ies"}};
    return made;
}

/// Each key of each full example, where it first stands.
template <class Check> void for_each_key(Check check) {
    for (const FileKind& kind : {site_kind(), catalogue_kind()}) {
        const Json example = Json::parse(read_bytes(kind.example));
        std::vector<Found> keys;
        find_keys(kind, example, kind.objects.front(), Json::json_pointer(), "", keys);
        CHECK(keys.size() > 30);
        std::set<const FieldInfo*> seen;
        for (const Found& key : keys) {
            if (!seen.insert(key.info).second)
                continue;
            CAPTURE(key.path);
            check(kind, example_for(example, key), key);
        }
    }
}

} // namespace duskcast::test
