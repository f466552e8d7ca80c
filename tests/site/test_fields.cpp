// The description of the keys holds for every key of the full examples: what it says of types, ranges,
// defaults and names is what the readers do. The limits themselves are design decisions, so nothing outside
// is compared.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string>

#include "duskcast/base/units.hpp"
#include "each_key.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

std::vector<Problem> problems_of(const FileKind& kind, const Json& value) {
    try {
        kind.read(value.dump());
    } catch (const InputError& error) {
        return error.problems();
    }
    return {};
}

bool is_about_range(const Problem& problem) {
    return problem.remedy.starts_with("it must be") || problem.remedy == "check the unit";
}

/// Whether a problem of this sort is reported at the key or inside it, with a place in the file.
template <class Test>
bool is_refused(const std::vector<Problem>& problems, const std::string& path, Test test) {
    return std::any_of(problems.begin(), problems.end(), [&](const Problem& one) {
        return one.place.path.starts_with(path) && one.place.line > 0 && one.place.column > 1 && test(one);
    });
}

/// A figure in SI as a file would give it; nothing where the key takes no single figure.
Json write_figure(const FieldInfo& info, double figure) {
    switch (info.quantity) {
    case KeyQuantity::length:
    case KeyQuantity::metres:
        return std::to_string(figure) + " m";
    case KeyQuantity::angle:
        return degrees_from_radians(figure);
    case KeyQuantity::angle_span:
        return Json{degrees_from_radians(figure), degrees_from_radians(figure)};
    case KeyQuantity::illuminance:
        return std::to_string(figure) + " lx";
    case KeyQuantity::illuminances:
        return Json::array({std::to_string(figure) + " lx"});
    case KeyQuantity::number:
    case KeyQuantity::share:
        return figure;
    case KeyQuantity::numbers:
        return Json::array({figure});
    case KeyQuantity::number_span:
        return Json::array({figure, figure});
    case KeyQuantity::count:
        return static_cast<int>(figure);
    default:
        return nullptr;
    }
}

} // namespace

TEST_CASE("every key is described, once, with a line for people") {
    for (const auto& objects : {describe_site_file(), describe_catalogue_file()}) {
        std::set<std::string> names;
        for (const ObjectInfo& object : objects) {
            CAPTURE(object.name);
            CHECK(names.insert(object.name).second);
            CHECK(object.help.ends_with("."));
            std::set<std::string> keys;
            for (const FieldInfo& field : object.fields) {
                CAPTURE(field.key);
                CHECK(keys.insert(field.key).second);
                CHECK(field.help.ends_with("."));
                CHECK(field.words.empty() == (field.quantity != KeyQuantity::word));
                CHECK(field.range.least <= field.range.most);
                if (field.is_required)
                    CHECK(field.usual.empty());
                if (field.quantity == KeyQuantity::length)
                    CHECK(field.unit == "m");
                const bool holds =
                    field.quantity == KeyQuantity::object || field.quantity == KeyQuantity::objects;
                CHECK(field.object.empty() == !holds);
            }
            for (const FieldInfo& field : object.fields)
                CHECK((field.older_key.empty() || !keys.contains(field.older_key)));
        }
        for (const ObjectInfo& object : objects)
            for (const FieldInfo& field : object.fields)
                CHECK((field.object.empty() || names.contains(field.object)));
    }
}

TEST_CASE("the full examples hold every key that is described") {
    for (const FileKind& kind : {site_kind(), catalogue_kind()}) {
        std::vector<Found> found;
        find_keys(kind, Json::parse(read_bytes(kind.example)), kind.objects.front(), Json::json_pointer(), "",
                  found);
        std::set<std::string> used;
        for (const Found& one : found)
            used.insert(one.info->key);
        for (const ObjectInfo& object : kind.objects)
            for (const FieldInfo& field : object.fields) {
                CAPTURE(object.name + "." + field.key);
                CHECK(used.contains(field.key));
            }
    }
}

TEST_CASE("the ends of a range are taken, what lies beyond is refused where it stands") {
    int checked = 0;
    for_each_key([&](const FileKind& kind, Json example, const Found& key) {
        const KeyRange& range = key.info->range;
        const auto problems_with = [&](double figure) {
            example[key.object][key.info->key] = write_figure(*key.info, figure);
            return problems_of(kind, example);
        };
        if (write_figure(*key.info, 1).is_null())
            return;
        const double step = key.info->quantity == KeyQuantity::count ? 1 : 0.001;
        if (std::isfinite(range.most)) {
            ++checked;
            CHECK_FALSE(is_refused(problems_with(range.most), key.path, is_about_range));
            CHECK(is_refused(problems_with(range.most * 1.001 + step), key.path, is_about_range));
        }
        if (std::isfinite(range.least)) {
            ++checked;
            CHECK(is_refused(problems_with(range.least), key.path, is_about_range) == range.is_above_least);
            // A negative light level is not even read.
            CHECK(
                is_refused(problems_with(range.least - step), key.path, [](const Problem&) { return true; }));
        }
    });
    CHECK(checked > 150);
}

TEST_CASE("a value of another type is refused where it stands") {
    for_each_key([](const FileKind& kind, Json example, const Found& key) {
        example[key.object][key.info->key] = key.info->quantity == KeyQuantity::truth ? Json(1) : Json(true);
        CHECK(is_refused(problems_of(kind, example), key.path,
                         [](const Problem& one) { return one.what.starts_with("this should be"); }));
    });
}

TEST_CASE("a key with a letter too many is unknown, and the right one is suggested") {
    for (const FileKind& kind : {site_kind(), catalogue_kind()}) {
        const Json example = Json::parse(read_bytes(kind.example));
        std::vector<Found> keys;
        find_keys(kind, example, kind.objects.front(), Json::json_pointer(), "", keys);
        Json spoiled = example;
        for (const Found& key : keys)
            spoiled[key.object][key.info->key + "x"] = 1;
        const std::vector<Problem> problems = problems_of(kind, spoiled);
        CHECK(problems.size() == keys.size());
        for (const Found& key : keys) {
            CAPTURE(key.path);
            CHECK(is_refused(problems, key.path + "x", [&](const Problem& one) {
                return one.what.starts_with("unknown key") &&
                       (key.info->key.size() < 4 || one.remedy == "did you mean \"" + key.info->key + "\"?");
            }));
        }
    }
}

TEST_CASE("an unknown word is refused with the words there are") {
    for_each_key([](const FileKind& kind, Json example, const Found& key) {
        if (key.info->quantity != KeyQuantity::word)
            return;
        example[key.object][key.info->key] = "zebra";
        CHECK(is_refused(problems_of(kind, example), key.path, [&](const Problem& one) {
            return one.what.find("zebra") != std::string::npos &&
                   one.remedy.find(key.info->words.back()) != std::string::npos;
        }));
    });
}

TEST_CASE("a key that is required is missed") {
    for_each_key([](const FileKind& kind, Json example, const Found& key) {
        if (!key.info->is_required)
            return;
        example[key.object].erase(key.info->key);
        const std::vector<Problem> problems = problems_of(kind, example);
        CHECK(std::any_of(problems.begin(), problems.end(), [&](const Problem& one) {
            return one.place.path == key.path && one.what == "\"" + key.info->key + "\" is missing";
        }));
    });
}

TEST_CASE("leaving a key out means its default") {
    int checked = 0;
    for_each_key([&](const FileKind& kind, Json example, const Found& key) {
        if (key.info->usual.empty() || example[key.object].contains("model"))
            return;                // a model has defaults of its own
        const auto outcome = [&] { // what is read, or what is wrong with it
            try {
                return kind.read(example.dump());
            } catch (const InputError& error) {
                std::string faults;
                for (const Problem& one : error.problems())
                    faults += one.place.path + ": " + one.what + "\n";
                return faults;
            }
        };
        example[key.object].erase(key.info->key);
        const std::string without = outcome();
        example[key.object][key.info->key] = Json::parse(key.info->usual);
        CHECK(outcome() == without);
        ++checked;
    });
    CHECK(checked > 70);
}

TEST_CASE("an older name of a key is still read, and not together with the new one") {
    int checked = 0;
    for_each_key([&](const FileKind& kind, Json example, const Found& key) {
        if (key.info->older_key.empty())
            return;
        const std::string with_new = kind.read(example.dump());
        Json& object = example[key.object];
        const Json value = object[key.info->key];
        object.erase(key.info->key);
        object[key.info->older_key] = value;
        CHECK(kind.read(example.dump()) == with_new);
        object[key.info->key] = value;
        CHECK(is_refused(problems_of(kind, example), key.path,
                         [](const Problem& one) { return one.remedy == "keep one of the two"; }));
        // A fault in the old one is found where it stands.
        object.erase(key.info->key);
        object[key.info->older_key] = true;
        CHECK(is_refused(problems_of(kind, example), key.path,
                         [](const Problem& one) { return one.what.starts_with("this should be"); }));
        ++checked;
    });
    CHECK(checked == 2); // a lamp's volts, in the site and in the catalogue
}

TEST_CASE("the schemas that editors use are those of the description (duskcast schema ... --out)") {
    const std::filesystem::path schemas = std::filesystem::path(DUSKCAST_SOURCE_DIR) / "src" / "site";
    CHECK(read_bytes(schemas / "site.schema.json") == print_site_schema());
    CHECK(read_bytes(schemas / "catalogue.schema.json") == print_catalogue_schema());
    CHECK(read_bytes(schemas / "business.schema.json") == print_business_schema());
}
