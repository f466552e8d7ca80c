// The sweep.json of a part, read as strictly as a site file: nothing is taken that print_sweep_json would not
// have written.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "study_json.hpp"

namespace duskcast {
namespace {

using Json = nlohmann::ordered_json;

constexpr int deepest = 8; ///< levels of brackets; a sweep has five

/// Finds the number that no double holds: the exception that the parser throws for it has no place.
class LargeNumberFinder : public nlohmann::json_sax<Json> {
public:
    bool null() override { return true; }
    bool boolean(bool) override { return true; }
    bool number_integer(number_integer_t) override { return true; }
    bool number_unsigned(number_unsigned_t) override { return true; }
    bool number_float(number_float_t, const string_t&) override { return true; }
    bool string(string_t&) override { return true; }
    bool binary(binary_t&) override { return true; }
    bool start_object(std::size_t) override { return true; }
    bool key(string_t&) override { return true; }
    bool end_object() override { return true; }
    bool start_array(std::size_t) override { return true; }
    bool end_array() override { return true; }
    bool parse_error(std::size_t end, const std::string& token, const nlohmann::json::exception&) override {
        number = token;
        at = end - token.size();
        return false;
    }

    std::string number;
    std::size_t at = 0; ///< of its first character
};

class SweepReader {
public:
    explicit SweepReader(const std::string& file) : file_(file) {}

    SweepFile read(const std::string& text) const {
        const Json document = parse(text);
        if (!document.is_object() || !document.contains("study"))
            refuse_at("", "this is not the result of a study", remedy_);
        if (const std::string study = word(document["study"], "study"); study != "sweep")
            refuse_at("", fmt::format("this is the result of another study, \"{}\"", study), remedy_);
        if (!document.contains("part"))
            refuse_at("", "this is a whole study, not a part of one", "run its parts with --part K/N");
        check_keys(document, "",
                   {"duskcast", "study", "site", "fixtures", "target", "ranges", "units", "as_drawn", "part",
                    "variants"});
        SweepFile made;
        SweepHead& head = made.head;
        head.version = word(document["duskcast"], "duskcast");
        head.site = word(document["site"], "site");
        for_each(document["fixtures"], "fixtures",
                 [&](const Json& one, const std::string& path) { head.fixtures.push_back(word(one, path)); });
        head.target = word(document["target"], "target");
        word(document["units"], "units");
        for_each(document["ranges"], "ranges", [&](const Json& one, const std::string& path) {
            head.ranges.push_back(read_swept(one, path));
        });
        if (head.ranges.empty() || head.ranges.size() > 2)
            refuse_at("ranges", fmt::format("a sweep has one or two ranges, this has {}", head.ranges.size()),
                      remedy_);
        if (head.ranges.size() == 2 && head.ranges[0].key == head.ranges[1].key)
            refuse_at("ranges", fmt::format("{} is varied twice", head.ranges[0].key), remedy_);
        if (head.size() > most_variants)
            refuse_at("ranges", fmt::format("these ranges make more than {} variants", most_variants),
                      remedy_);
        head.as_drawn = read_figures(document["as_drawn"], "as_drawn", {});
        made.part = read_number_of(document["part"]);
        read_rows(document["variants"], made);
        return made;
    }

private:
    [[noreturn]] void refuse_at(std::string_view path, std::string_view what, std::string_view remedy) const {
        throw InputError(Problem{.place = {.file = file_, .path = std::string(path)},
                                 .what = std::string(what),
                                 .remedy = std::string(remedy)});
    }

    /// With no more brackets in each other than the parser, and whoever copies the document, can bear.
    Json parse(const std::string& text) const {
        try {
            return Json::parse(text, [&](int depth, Json::parse_event_t, Json&) {
                if (depth > deepest)
                    refuse_at("", "its brackets are nested deeper than those of a study", remedy_);
                return true;
            });
        } catch (const Json::parse_error& error) {
            refuse_text(text, error.byte > 0 ? error.byte - 1 : 0, "this is no JSON");
        } catch (const Json::out_of_range&) {
            LargeNumberFinder finder;
            Json::sax_parse(text, &finder);
            refuse_text(text, finder.at, fmt::format("the number {} is too large", finder.number));
        }
    }

    [[noreturn]] void refuse_text(const std::string& text, std::size_t at, const std::string& what) const {
        at = std::min(at, text.size());
        const auto end = text.begin() + static_cast<std::ptrdiff_t>(at);
        const std::size_t start = at == 0 ? std::string::npos : text.rfind('\n', at - 1);
        throw InputError(
            Problem{.place = {.file = file_,
                              .line = 1 + static_cast<int>(std::count(text.begin(), end, '\n')),
                              .column = static_cast<int>(start == std::string::npos ? at + 1 : at - start)},
                    .what = what,
                    .remedy = remedy_});
    }

    void check_keys(const Json& object, const std::string& path, const std::vector<std::string>& keys) const {
        if (!object.is_object())
            refuse_at(path, "must be an object", remedy_);
        for (const auto& [key, value] : object.items())
            if (std::find(keys.begin(), keys.end(), key) == keys.end())
                refuse_at(path.empty() ? key : path + "." + key, "is not a key of a sweep", remedy_);
        for (const std::string& key : keys)
            if (!object.contains(key))
                refuse_at(path.empty() ? key : path + "." + key, "is missing", remedy_);
    }

    template <class Call> void for_each(const Json& array, const std::string& path, Call call) const {
        if (!array.is_array())
            refuse_at(path, "must be an array", remedy_);
        for (std::size_t i = 0; i < array.size(); ++i)
            call(array[i], fmt::format("{}[{}]", path, i));
    }

    std::string word(const Json& value, const std::string& path) const {
        if (!value.is_string())
            refuse_at(path, "must be a string", remedy_);
        return value.get<std::string>();
    }
    bool flag(const Json& value, const std::string& path) const {
        if (!value.is_boolean())
            refuse_at(path, "must be true or false", remedy_);
        return value.get<bool>();
    }
    double number(const Json& value, const std::string& path) const {
        if (!value.is_number() || !std::isfinite(value.get<double>()))
            refuse_at(path, "must be a number", remedy_);
        return value.get<double>();
    }
    std::size_t count(const Json& value, const std::string& path) const {
        if (!value.is_number_unsigned())
            refuse_at(path, "must be a whole number", remedy_);
        return value.get<std::size_t>();
    }
    std::optional<double> number_or_null(const Json& value, const std::string& path) const {
        return value.is_null() ? std::nullopt : std::optional(number(value, path));
    }

    SweptValue swept_value(const Json& value, const std::string& path, bool is_lamp) const {
        return is_lamp ? SweptValue(word(value, path)) : SweptValue(number(value, path));
    }

    WrittenRange read_swept(const Json& range, const std::string& path) const {
        check_keys(range, path, {"key", "values"});
        WrittenRange made{.key = word(range["key"], path + ".key")};
        std::vector<std::string> known;
        for (int knob = 0; knob <= static_cast<int>(Knob::spacing); ++knob)
            known.push_back(key_of(static_cast<Knob>(knob)));
        if (std::find(known.begin(), known.end(), made.key) == known.end())
            refuse_at(path + ".key", fmt::format("there is no setting \"{}\"", made.key), remedy_);
        for_each(range["values"], path + ".values", [&](const Json& value, const std::string& at) {
            made.values.push_back(swept_value(value, at, made.key == key_of(Knob::lamp)));
        });
        if (made.values.empty())
            refuse_at(path + ".values", "is empty", remedy_);
        return made;
    }

    Part read_number_of(const Json& object) const {
        check_keys(object, "part", {"number", "of"});
        const Part part{count(object["number"], "part.number"), count(object["of"], "part.of")};
        if (part.number < 1 || part.number > part.of || part.of > most_variants)
            refuse_at("part", fmt::format("there is no part {} of {}", part.number, part.of), remedy_);
        return part;
    }

    /// `more`: keys that a row has besides its figures.
    WrittenFigures read_figures(const Json& object, const std::string& path,
                                std::vector<std::string> more) const {
        for (const QuantityFacts& facts : list_quantities())
            more.emplace_back(facts.key);
        more.insert(more.end(), {"targets", "reaches", "lumens_on"});
        check_keys(object, path, more);
        WrittenFigures made;
        for (const QuantityFacts& facts : list_quantities())
            made.values[static_cast<std::size_t>(facts.quantity)] =
                number_or_null(object[facts.key], fmt::format("{}.{}", path, facts.key));
        for_each(object["targets"], path + ".targets", [&](const Json& one, const std::string& at) {
            check_keys(one, at,
                       {"id", "level_lx", "coverage", "mean_lx", "max_lx", "reached", "mean_to_min"});
            made.targets.push_back({.id = word(one["id"], at + ".id"),
                                    .level_lx = number(one["level_lx"], at + ".level_lx"),
                                    .mean_lx = number(one["mean_lx"], at + ".mean_lx"),
                                    .share = number(one["coverage"], at + ".coverage"),
                                    .mean_to_min = number_or_null(one["mean_to_min"], at + ".mean_to_min"),
                                    .hot_lx = number(one["max_lx"], at + ".max_lx"),
                                    .is_reached = flag(one["reached"], at + ".reached")});
        });
        for_each(object["reaches"], path + ".reaches", [&](const Json& one, const std::string& at) {
            check_keys(one, at, {"fixture", "on", "level_lx", "height_m", "to_top"});
            made.reaches.push_back({.fixture = word(one["fixture"], at + ".fixture"),
                                    .on = word(one["on"], at + ".on"),
                                    .level_lx = number(one["level_lx"], at + ".level_lx"),
                                    .height = number_or_null(one["height_m"], at + ".height_m"),
                                    .is_to_top = flag(one["to_top"], at + ".to_top")});
        });
        const std::string on = path + ".lumens_on";
        const std::vector<std::string> places{"targets", "other", "ground", "sky"};
        check_keys(object["lumens_on"], on, places);
        for (std::size_t i = 0; i < places.size(); ++i)
            made.lumens_on[i] = number(object["lumens_on"][places[i]], on + "." + places[i]);
        return made;
    }

    void read_rows(const Json& array, SweepFile& made) const {
        const SweepHead& head = made.head;
        const std::size_t first = made.part.first(head.size()), last = made.part.last(head.size());
        std::vector<std::string> keys{"variant"};
        for (const WrittenRange& range : head.ranges)
            keys.push_back(range.key);
        for_each(array, "variants", [&](const Json& one, const std::string& path) {
            const std::size_t wanted = first + made.rows.size();
            WrittenFigures row = read_figures(one, path, keys);
            const std::size_t variant = count(one["variant"], path + ".variant");
            if (wanted < last && variant != wanted)
                refuse_at(path, fmt::format("this is variant {} where variant {} belongs", variant, wanted),
                          "rows may not be missing, doubled or out of order; run the part again");
            if (wanted >= last)
                refuse_at(path, "there are more variants than this part has", "run the part again");
            const std::vector<SweptValue> settings = head.settings_of(wanted);
            for (std::size_t r = 0; r < head.ranges.size(); ++r) {
                const std::string& key = head.ranges[r].key;
                if (swept_value(one[key], path + "." + key, key == key_of(Knob::lamp)) != settings[r])
                    refuse_at(path + "." + key, "is not the value that \"ranges\" has for this variant",
                              "run the part again");
            }
            const auto is_alike = [](const TargetFigures& a, const TargetFigures& b) { return a.id == b.id; };
            if (!std::equal(row.targets.begin(), row.targets.end(), head.as_drawn.targets.begin(),
                            head.as_drawn.targets.end(), is_alike))
                refuse_at(path + ".targets", "are not the targets of \"as_drawn\"", "run the part again");
            made.rows.push_back(std::move(row));
        });
        if (made.rows.size() != last - first)
            refuse_at("variants",
                      fmt::format("there are {} variants, part {} of {} has {}", made.rows.size(),
                                  made.part.number, made.part.of, last - first),
                      "run the part again");
    }

    const std::string& file_;
    const std::string remedy_ = "give the sweep.json of every part";
};

} // namespace

SweepFile read_sweep_part(const std::string& file, const std::string& text) {
    return SweepReader(file).read(text);
}

} // namespace duskcast
