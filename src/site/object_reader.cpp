#include "object_reader.hpp"

#include <algorithm>
#include <cmath>

#include "duskcast/base/text.hpp"
#include "duskcast/site/finish.hpp"

namespace duskcast {
namespace {

using Kind = JsonValue::Kind;

/// A value of the wrong type; the getter knows what was wanted.
struct WrongType {
    const char* wanted;
};

double as_length(const Reading& reading, const JsonValue& value) {
    if (value.kind == Kind::number)
        return value.number * metres_per(reading.units);
    if (value.kind == Kind::text)
        return read_length(value.text);
    throw WrongType{"a length such as 12 or \"18 in\""};
}

double as_metres_or_length(const Reading&, const JsonValue& value) {
    if (value.kind == Kind::number)
        return value.number;
    if (value.kind == Kind::text)
        return read_length(value.text);
    throw WrongType{"metres as a number, or a length such as \"1 ft\""};
}

double as_illuminance(const Reading& reading, const JsonValue& value) {
    if (value.kind == Kind::number)
        return value.number * lux_per(reading.light);
    if (value.kind == Kind::text)
        return read_illuminance(value.text);
    throw WrongType{"a light level such as 1 or \"1 fc\""};
}

/// Degrees as a number; "8 deg" and "0.14 rad" say the same in words.
double as_angle(const Reading&, const JsonValue& value) {
    if (value.kind == Kind::number)
        return radians_from_degrees(value.number);
    if (value.kind == Kind::text) {
        const char* const end = value.text.data() + value.text.size();
        double figure = 0;
        const auto read = read_decimal(value.text, figure);
        std::string unit(read.ptr, end);
        unit.erase(0, unit.find_first_not_of(' '));
        if (read.ec == std::errc() && std::isfinite(figure) && unit == "rad")
            return figure;
        if (read.ec == std::errc() && std::isfinite(figure) && unit == "deg")
            return radians_from_degrees(figure);
    }
    throw WrongType{"an angle in degrees, such as 8"};
}

double as_number(const Reading&, const JsonValue& value) {
    if (value.kind == Kind::number)
        return value.number;
    throw WrongType{"a number"};
}

/// "walls[2]" of "walls[2].openings[0].width"; ground areas and what a network holds lie one step deeper.
std::string element_of(const std::string& path) {
    std::size_t start = 0;
    for (const std::string outer : {"ground.areas[", "network."})
        if (path.starts_with(outer))
            start = outer.find('.') + 1;
    return path.substr(0, path.find('.', start));
}

/// Whether the reader has already found fault with the thing the path lies in: what the checks say of it
/// is then often only an echo.
bool is_echo(const std::string& path, const std::vector<Problem>& faults, const std::string& file) {
    return std::any_of(faults.begin(), faults.end(), [&](const Problem& fault) {
        return fault.place.file == file && element_of(fault.place.path) == element_of(path);
    });
}

} // namespace

void Reading::report(int line, int column, const std::string& path, const Message& message) {
    problems.push_back({Severity::error, {file, line, column, path}, message.what, message.remedy});
}

void Reading::note_place(const JsonValue& value, const std::string& path) {
    places[path] = {file, value.line, value.column, path};
}

ObjectReader::ObjectReader(Reading& reading, const JsonValue& value, std::string path)
    : reading_(reading), value_(value), path_(std::move(path)), is_object_(value.kind == Kind::object) {
    reading_.note_place(value_, path_);
    if (const JsonValue* id = is_object_ ? value_.find("id") : nullptr; id && id->kind == Kind::text)
        reading_.places[path_].name = id->text;
    if (!is_object_)
        reading_.report(value_, path_, messages::wrong_type("an object in { }"));
}

const JsonValue* ObjectReader::find(std::string_view key) {
    known_.emplace_back(key);
    const JsonValue* found = is_object_ ? value_.find(key) : nullptr;
    if (const auto older = older_.find(key); is_object_ && !found && older != older_.end())
        found = value_.find(older->second);
    if (found)
        reading_.note_place(*found, join_path(path_, key));
    return found && found->kind != Kind::null ? found : nullptr;
}

bool ObjectReader::has(std::string_view key) {
    return find(key) != nullptr;
}

bool ObjectReader::require(std::string_view key) {
    if (find(key) || !is_object_)
        return true;
    reading_.report(value_, join_path(path_, key), messages::missing(key));
    return false;
}

void ObjectReader::accept_older(const std::string& key, const std::string& older) {
    older_[key] = older;
    if (is_object_ && value_.find(key) && value_.find(older))
        report(key, messages::excludes_key(older, key));
}

std::string ObjectReader::peek(std::string_view key) {
    const JsonValue* found = find(key);
    return found && found->kind == Kind::text ? found->text : "";
}

bool ObjectReader::word(const std::string& key, const std::vector<std::string>& words, int& target) {
    std::string given;
    if (!text(key, given))
        return false;
    const auto found = std::find(words.begin(), words.end(), given);
    if (found == words.end()) {
        report(key, messages::unknown_word(given, words));
        return false;
    }
    target = static_cast<int>(found - words.begin());
    return true;
}

void ObjectReader::report(std::string_view key, const Message& message) {
    const JsonValue* found = find(key);
    reading_.report(found ? *found : value_, join_path(path_, key), message);
}

bool ObjectReader::text(const std::string& key, std::string& target) {
    const JsonValue* found = find(key);
    if (!found)
        return false;
    if (found->kind != Kind::text) {
        report(key, messages::wrong_type("text in double quotes"));
        return false;
    }
    target = found->text;
    return true;
}

bool ObjectReader::truth(const std::string& key, bool& target) {
    const JsonValue* found = find(key);
    if (!found)
        return false;
    if (found->kind != Kind::truth) {
        report(key, messages::wrong_type("true or false"));
        return false;
    }
    target = found->truth;
    return true;
}

bool ObjectReader::integer(const std::string& key, int& target) {
    const JsonValue* found = find(key);
    if (!found)
        return false;
    if (found->kind != Kind::number || std::abs(found->number) > 2147483647.0 ||
        found->number != std::floor(found->number)) {
        report(key, messages::wrong_type("a whole number"));
        return false;
    }
    target = static_cast<int>(found->number);
    return true;
}

bool ObjectReader::convert(const JsonValue& value, const std::string& path, Convert how, double& target) {
    try {
        target = how(reading_, value);
        return true;
    } catch (const WrongType& wrong) {
        reading_.report(value, path, messages::wrong_type(wrong.wanted));
    } catch (const InputError& error) { // of the units room: it has no place
        for (const Problem& problem : error.problems())
            reading_.report(value, path, {problem.what, problem.remedy});
    }
    return false;
}

bool ObjectReader::quantity(const std::string& key, Convert how, double& target) {
    const JsonValue* found = find(key);
    return found && convert(*found, join_path(path_, key), how, target);
}

bool ObjectReader::number(const std::string& key, double& target) {
    return quantity(key, as_number, target);
}
bool ObjectReader::length(const std::string& key, double& target) {
    return quantity(key, as_length, target);
}
bool ObjectReader::angle(const std::string& key, double& target) {
    return quantity(key, as_angle, target);
}
bool ObjectReader::illuminance(const std::string& key, double& target) {
    return quantity(key, as_illuminance, target);
}
bool ObjectReader::metres_or_length(const std::string& key, double& target) {
    return quantity(key, as_metres_or_length, target);
}

bool ObjectReader::list(const JsonValue& value, const std::string& path, Convert how, std::size_t count,
                        double* target) {
    if (value.kind != Kind::list || value.items.size() != count) {
        reading_.report(value, path, messages::wrong_count(count));
        return false;
    }
    bool is_good = true;
    for (std::size_t i = 0; i < count; ++i)
        is_good = convert(value.items[i], join_path(path, i), how, target[i]) && is_good;
    return is_good;
}

bool ObjectReader::list(const std::string& key, Convert how, std::size_t count, double* target) {
    const JsonValue* found = find(key);
    return found && list(*found, join_path(path_, key), how, count, target);
}

bool ObjectReader::point(const std::string& key, glm::dvec2& target) {
    return list(key, as_length, 2, &target.x);
}
bool ObjectReader::point(const std::string& key, glm::dvec3& target) {
    return list(key, as_length, 3, &target.x);
}
bool ObjectReader::lengths(const std::string& key, std::array<double, 2>& target) {
    return list(key, as_length, 2, target.data());
}

bool ObjectReader::angles(const std::string& key, std::array<double, 2>& target) {
    return list(key, as_angle, 2, target.data());
}

bool ObjectReader::spread(const std::string& key, double& up_and_down, std::optional<double>& side_to_side) {
    const JsonValue* found = find(key);
    if (!found || found->kind != Kind::list)
        return angle(key, up_and_down);
    std::array<double, 2> both{};
    if (!angles(key, both))
        return false;
    side_to_side = both[0];
    up_and_down = both[1];
    return true;
}

bool ObjectReader::texts(const std::string& key, std::vector<std::string>& target) {
    const JsonValue* found = find(key);
    if (!found)
        return false;
    std::vector<std::string> made;
    if (found->kind == Kind::list)
        for (std::size_t i = 0; i < found->items.size(); ++i) {
            reading_.note_place(found->items[i], join_path(join_path(path_, key), i));
            if (found->items[i].kind == Kind::text)
                made.push_back(found->items[i].text);
        }
    if (found->kind != Kind::list || made.size() != found->items.size()) {
        report(key, messages::wrong_type("a list of texts such as [\"a\", \"b\"]"));
        return false;
    }
    target = std::move(made);
    return true;
}

bool ObjectReader::points(const std::string& key, std::vector<glm::dvec2>& target) {
    const JsonValue* found = find(key);
    if (!found)
        return false;
    if (found->kind != Kind::list) {
        report(key, messages::wrong_type("a list of points such as [[0, 0], [40, 0]]"));
        return false;
    }
    std::vector<glm::dvec2> made(found->items.size(), glm::dvec2(0));
    bool is_good = true;
    for (std::size_t i = 0; i < made.size(); ++i) {
        const std::string path = join_path(join_path(path_, key), i);
        reading_.note_place(found->items[i], path);
        is_good = list(found->items[i], path, as_length, 2, &made[i].x) && is_good;
    }
    if (is_good)
        target = std::move(made);
    return is_good;
}

bool ObjectReader::quantities(const std::string& key, Convert how, const char* wanted,
                              std::vector<double>& target) {
    const JsonValue* found = find(key);
    if (!found)
        return false;
    if (found->kind != Kind::list) {
        report(key, messages::wrong_type(wanted));
        return false;
    }
    std::vector<double> made(found->items.size());
    bool is_good = true;
    for (std::size_t i = 0; i < made.size(); ++i) {
        const std::string path = join_path(join_path(path_, key), i);
        reading_.note_place(found->items[i], path);
        is_good = convert(found->items[i], path, how, made[i]) && is_good;
    }
    if (is_good)
        target = std::move(made);
    return is_good;
}

bool ObjectReader::illuminances(const std::string& key, std::vector<double>& target) {
    return quantities(key, as_illuminance, "a list of light levels such as [0.5, 1, 2]", target);
}
bool ObjectReader::numbers(const std::string& key, std::vector<double>& target) {
    return quantities(key, as_number, "a list of figures such as [12, 13, 14]", target);
}
bool ObjectReader::numbers(const std::string& key, std::array<double, 2>& target) {
    return list(key, as_number, 2, target.data());
}

bool ObjectReader::finish(const std::string& key, Finish& target) {
    const JsonValue* found = find(key);
    if (!found)
        return false;
    if (found->kind == Kind::text) {
        try {
            target = make_finish(found->text);
            return true;
        } catch (const InputError& error) {
            report(key, {error.problems().front().what, error.problems().front().remedy});
            return false;
        }
    }
    if (found->kind != Kind::object) {
        report(key, messages::wrong_type("a finish such as \"brick red common\" or {\"reflectance\": 0.2}"));
        return false;
    }
    ObjectReader reader(reading_, *found, join_path(path_, key));
    Finish made;
    bool is_good = reader.require("reflectance");
    const JsonValue* figures = reader.find("reflectance");
    if (figures && figures->kind == Kind::number)
        made.reflectance = glm::dvec3(figures->number);
    else if (figures)
        is_good = reader.list("reflectance", as_number, 3, &made.reflectance.x);
    reader.close();
    if (is_good)
        target = made;
    return is_good;
}

void ObjectReader::each(const std::string& key, const std::function<void(ObjectReader&)>& read) {
    const JsonValue* found = find(key);
    if (!found)
        return;
    if (found->kind != Kind::list)
        return report(key, messages::wrong_type("a list in [ ]"));
    for (std::size_t i = 0; i < found->items.size(); ++i) {
        ObjectReader reader(reading_, found->items[i], join_path(join_path(path_, key), i));
        read(reader);
        reader.close();
    }
}

bool ObjectReader::object(const std::string& key, const std::function<void(ObjectReader&)>& read) {
    const JsonValue* found = find(key);
    if (!found)
        return false;
    ObjectReader reader(reading_, *found, join_path(path_, key));
    read(reader);
    reader.close();
    return true;
}

void ObjectReader::close() {
    std::sort(known_.begin(), known_.end());
    known_.erase(std::unique(known_.begin(), known_.end()), known_.end());
    for (const JsonValue& item : value_.items) {
        const bool is_older = std::any_of(older_.begin(), older_.end(),
                                          [&](const auto& one) { return one.second == item.key; });
        if (!is_object_ || is_older || std::binary_search(known_.begin(), known_.end(), item.key))
            continue;
        reading_.report(item.key_line, item.key_column, join_path(path_, item.key),
                        messages::unknown_key(item.key, find_nearest_word(item.key, known_), known_));
    }
}

void add_findings(const Reading& reading, const std::vector<Problem>& checked,
                  std::vector<Problem>& warnings) {
    std::vector<Problem> errors = reading.problems;
    for (Problem problem : checked) {
        if (problem.place.file.empty()) {
            const std::string path = problem.place.path;
            if (is_echo(path, reading.problems, reading.file))
                continue;
            problem.place = find_place(reading.places, path, reading.file);
            problem.place.path = path;
        }
        (problem.severity == Severity::error ? errors : warnings).push_back(problem);
    }
    for (std::vector<Problem>* list : {&errors, &warnings})
        for (Problem& problem : *list)
            if (problem.place.file == reading.file)
                problem.place.name = find_fixture_name(reading.places, problem.place.path);
    if (!errors.empty()) {
        errors.insert(errors.end(), warnings.begin(), warnings.end());
        sort_by_place(errors, reading.file);
        throw InputError(errors);
    }
    sort_by_place(warnings, reading.file);
}

} // namespace duskcast
