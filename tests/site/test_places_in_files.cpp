// Every fault is found where it stands in the text. The place that is wanted is found by a search for the
// faulty figure, or noted while the text is written.

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "../../src/site/json_text.hpp"
#include "each_key.hpp"

using namespace duskcast;
using namespace duskcast::test;

namespace {

struct Spot {
    int line = 1, column = 1;
};

/// Line and column of an offset; a column counts characters, of one or more bytes.
Spot spot_of(const std::string& text, std::size_t offset) {
    Spot spot;
    for (std::size_t i = 0; i < offset; ++i)
        if (text[i] == '\n')
            spot = {spot.line + 1, 1};
        else if ((static_cast<unsigned char>(text[i]) & 0xC0) != 0x80)
            ++spot.column;
    return spot;
}

/// The places of the problems at a path that stand at the spot.
int count_at(const std::vector<Problem>& problems, const std::string& path, const Spot& spot) {
    return static_cast<int>(std::count_if(problems.begin(), problems.end(), [&](const Problem& one) {
        return one.place.path == path && one.place.line == spot.line && one.place.column == spot.column;
    }));
}

std::vector<Problem> problems_in(const FileKind& kind, const std::string& text) {
    try {
        kind.read(text);
    } catch (const InputError& error) {
        return error.problems();
    }
    return {};
}

/// The full example and every key in it, also where an object of the kind stands a second time.
struct ExampleKeys {
    Json example;
    std::vector<Found> keys;
};

ExampleKeys list_keys(const FileKind& kind) {
    Json example = Json::parse(read_bytes(kind.example));
    std::vector<Found> keys;
    find_keys(kind, example, kind.objects.front(), Json::json_pointer(), "", keys);
    CHECK(keys.size() > 30);
    return {std::move(example), std::move(keys)};
}

bool is_leaf(const FieldInfo& info) {
    return info.quantity != KeyQuantity::object && info.quantity != KeyQuantity::objects &&
           info.quantity != KeyQuantity::version;
}

/// A value of the wrong type that stands nowhere else in the text.
Json marker_for(KeyQuantity quantity, std::size_t number) {
    switch (quantity) {
    case KeyQuantity::text:
    case KeyQuantity::id:
    case KeyQuantity::surface_id:
    case KeyQuantity::reference:
    case KeyQuantity::references:
    case KeyQuantity::file:
    case KeyQuantity::word:
        return 987600000 + number;
    default:
        return "@ here " + std::to_string(number) + " @";
    }
}

/// JSON of random depth and layout, with the spot of each value noted in the order in which values end.
class Writer {
public:
    explicit Writer(unsigned seed) : random_(seed) {}

    std::string text;
    std::vector<std::size_t> starts; ///< offsets, in the order of a walk through the tree

    void write(int depth) {
        space();
        starts.push_back(text.size());
        switch (depth > 0 ? random_() % 8 : random_() % 6) {
        case 0:
            text += "true";
            break;
        case 1:
            text += "null";
            break;
        case 2:
            text += "-12.5e-3";
            break;
        case 3:
            text += "\"\xC3\xA9t\xC3\xA9, \xE2\x82\xAC 5 and \xF0\x9F\x92\xA1\""; // 2, 3 and 4 bytes
            break;
        case 4:
            text += R"("a \"quoted\" ] } , : \\ \u00e9")";
            break;
        case 5:
            text += "0";
            break;
        case 6:
            write_list(depth);
            break;
        default:
            write_object(depth);
        }
        space();
    }

private:
    void space() {
        for (unsigned i = random_() % 3; i > 0; --i)
            text += std::array{" ", "\n", "\t", "\r\n", "  ", "\n\n"}[random_() % 6];
    }
    void write_list(int depth) {
        text += "[";
        for (unsigned i = random_() % 4; i > 0; --i) {
            write(depth - 1);
            text += i > 1 ? "," : "";
        }
        space();
        text += "]";
    }
    void write_object(int depth) {
        text += "{";
        for (unsigned i = random_() % 4; i > 0; --i) {
            space();
            text += "\"key \xC2\xB0" + std::to_string(i) + "\"";
            space();
            text += ":";
            write(depth - 1);
            text += i > 1 ? "," : "";
        }
        space();
        text += "}";
    }

    std::mt19937 random_;
};

void list_values(const JsonValue& value, std::vector<const JsonValue*>& all) {
    all.push_back(&value);
    for (const JsonValue& item : value.items)
        list_values(item, all);
}

} // namespace

TEST_CASE("every value of the wrong type is found at its first character, whatever the layout") {
    for (const FileKind& kind : {site_kind(), catalogue_kind()}) {
        const ExampleKeys listed = list_keys(kind);
        const Json& example = listed.example;
        const std::vector<Found>& keys = listed.keys;
        Json spoiled = example;
        for (std::size_t i = 0; i < keys.size(); ++i)
            if (is_leaf(*keys[i].info))
                spoiled[keys[i].object][keys[i].info->key] = marker_for(keys[i].info->quantity, i);
        for (const int indent : {-1, 3}) {
            const std::string text = "\n  " + spoiled.dump(indent);
            const std::vector<Problem> problems = problems_in(kind, text);
            for (std::size_t i = 0; i < keys.size(); ++i) {
                if (!is_leaf(*keys[i].info))
                    continue;
                CAPTURE(keys[i].path);
                const std::size_t offset = text.find(marker_for(keys[i].info->quantity, i).dump());
                REQUIRE(offset != std::string::npos);
                CHECK(count_at(problems, keys[i].path, spot_of(text, offset)) == 1);
            }
        }
    }
}

TEST_CASE("a faulty figure in a list is found where it stands, not where the list begins") {
    int checked = 0;
    for (const FileKind& kind : {site_kind(), catalogue_kind()}) {
        const ExampleKeys listed = list_keys(kind);
        const Json& example = listed.example;
        const std::vector<Found>& keys = listed.keys;
        Json spoiled = example;
        std::vector<std::pair<std::string, std::string>> wanted; // the figure's path and its marker
        for (std::size_t i = 0; i < keys.size(); ++i) {
            Json* value = &spoiled[keys[i].object][keys[i].info->key];
            std::string path = keys[i].path;
            if (!value->is_array() || !is_leaf(*keys[i].info) ||
                keys[i].info->quantity == KeyQuantity::references)
                continue;
            while (value->back().is_array()) { // a line's last point
                path += "[" + std::to_string(value->size() - 1) + "]";
                value = &value->back();
            }
            value->back() = marker_for(keys[i].info->quantity, i);
            wanted.emplace_back(path + "[" + std::to_string(value->size() - 1) + "]", value->back().dump());
        }
        const std::string text = spoiled.dump(1);
        const std::vector<Problem> problems = problems_in(kind, text);
        for (const auto& one : wanted) {
            CAPTURE(one.first);
            CHECK(count_at(problems, one.first, spot_of(text, text.find(one.second))) == 1);
            ++checked;
        }
    }
    CHECK(checked > 30);
}

TEST_CASE("an unknown key is found at the key, a missing one at its object") {
    for (const FileKind& kind : {site_kind(), catalogue_kind()}) {
        const ExampleKeys listed = list_keys(kind);
        const Json& example = listed.example;
        const std::vector<Found>& keys = listed.keys;
        Json spoiled = example;
        for (std::size_t i = 0; i < keys.size(); ++i)
            spoiled[keys[i].object]["@" + std::to_string(i) + "@"] = 1;
        std::string text = spoiled.dump(2);
        std::vector<Problem> problems = problems_in(kind, text);
        for (std::size_t i = 0; i < keys.size(); ++i) {
            const std::string& path = keys[i].path; // the unknown key stands beside this one
            const std::string unknown = "@" + std::to_string(i) + "@";
            CAPTURE(path);
            CHECK(count_at(problems, path.substr(0, path.size() - keys[i].info->key.size()) + unknown,
                           spot_of(text, text.find("\"" + unknown + "\""))) == 1);
        }

        spoiled = example;
        for (std::size_t i = 0; i < keys.size(); ++i)
            if (keys[i].info->is_required && !keys[i].object.empty() && spoiled.contains(keys[i].object)) {
                Json rest = spoiled[keys[i].object];
                rest.erase(keys[i].info->key);
                Json first{{"@" + std::to_string(i) + "@", 1}}; // marks where the object begins
                first.update(rest);
                spoiled[keys[i].object] = first;
            }
        text = spoiled.dump(2);
        problems = problems_in(kind, text);
        for (std::size_t i = 0; i < keys.size(); ++i) {
            const std::size_t mark = text.find("\"@" + std::to_string(i) + "@\"");
            if (mark == std::string::npos)
                continue;
            CAPTURE(keys[i].path);
            CHECK(count_at(problems, keys[i].path, spot_of(text, text.rfind('{', mark))) == 1);
        }
    }
}

TEST_CASE("each value of any JSON text knows its line and column") {
    for (unsigned seed = 1; seed <= 300; ++seed) {
        CAPTURE(seed);
        Writer writer(seed);
        writer.write(5);
        const JsonValue root = read_json(writer.text, "x.json", "duskcast");
        std::vector<const JsonValue*> values;
        list_values(root, values);
        REQUIRE(values.size() == writer.starts.size());
        for (std::size_t i = 0; i < values.size(); ++i) {
            const Spot wanted = spot_of(writer.text, writer.starts[i]);
            CHECK(values[i]->line == wanted.line);
            CHECK(values[i]->column == wanted.column);
        }
    }
}

TEST_CASE("text that is no JSON is refused, at the place where it stops being so") {
    // RFC 8259: what is valid up to the place, and what must not stand there.
    struct Broken {
        const char* text;
        int line, column;
    };
    for (const Broken& one : std::vector<Broken>{
             {"{ \"a\": 01 }", 1, 9},
             {"{ \"a\": .5 }", 1, 8},
             {"{ \"a\": +1 }", 1, 8},
             {"{ \"a\": 1. }", 1, 8},
             {"{ \"a\": NaN }", 1, 8},
             {"{ \"a\": 0x10 }", 1, 9},
             {"{ \"a\": 12abc }", 1, 10},
             {"{ \"a\": truest }", 1, 12},

             {"{ \"a\": 'b' }", 1, 8},
             {"{ a: 1 }", 1, 3},
             {"{ \"a\" 1 }", 1, 7},
             {"{ \"a\": 1 \"b\": 2 }", 1, 10},
             {"{ \"a\": [1, 2,] }", 1, 13},
             {"{ \"a\": [1,, 2] }", 1, 10},
             {"{\n  \"a\": 1,\n}", 2, 9},
             {"{} {}", 1, 4},
             {"{ \"a\": tru }", 1, 8},
             {"{ \"a\": \"b\n\" }", 1, 8},
             {"{ \"a\": \"\\x\" }", 1, 8},
             {"{ \"\xC3\xA9\": \"\\x\" }", 1, 8},
             {"{ \"a\": 1 // no\n}", 1, 10},
             {"[1, 2", 1, 6},
             {"{ \"a\": 1e999 }", 1, 8},
             {"{ \"\xC3\xA9\", 1 }", 1, 6},
             {"", 1, 1},
             {"  \n ", 2, 2},
         }) {
        CAPTURE(one.text);
        try {
            read_json(one.text, "x.json", "duskcast");
            FAIL_CHECK("read without error");
        } catch (const InputError& error) {
            REQUIRE(error.problems().size() == 1);
            CHECK(error.problems()[0].place.line == one.line);
            CHECK(error.problems()[0].place.column == one.column);
        }
    }
    for (const char* text :
         {"{}", "[]", "0", "-0", "1e5", "-0.5E+3", "\"\\u00e9\\n\\/\"", " [ { } , [ ] ] ", "null"}) {
        CAPTURE(text);
        CHECK_NOTHROW(read_json(text, "x.json", "duskcast"));
    }
}

TEST_CASE("a character that must not stand in a file is found by characters, not bytes") {
    const std::string text = std::string("{\n \"n\": \"\xC3\xA9\xC3\xA9") + '\0' + "\" }";
    try {
        read_json(text, "x.json", "duskcast");
        FAIL_CHECK("read without error");
    } catch (const InputError& error) {
        CHECK(error.problems()[0].place.line == 2);
        CHECK(error.problems()[0].place.column ==
              10); // after a space, "n", a colon, a space, " and two letters
    }
}

TEST_CASE("brackets nest 64 deep and no deeper") {
    const auto nested = [](std::size_t depth) { return std::string(depth, '[') + std::string(depth, ']'); };
    CHECK_NOTHROW(read_json(nested(64), "x.json", "duskcast"));
    CHECK_THROWS_AS(read_json(nested(65), "x.json", "duskcast"), InputError);
    CHECK_THROWS_AS(read_json(std::string(100000, '['), "x.json", "duskcast"), InputError);
}
