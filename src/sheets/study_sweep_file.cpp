// A sweep as JSON and CSV; joining parts.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "duskcast/base/csv.hpp"
#include "duskcast/base/json_object.hpp"
#include "duskcast/base/sort_stably.hpp"
#include "duskcast/base/version.hpp"
#include "study_json.hpp"

namespace duskcast {
namespace {

using Json = nlohmann::ordered_json;

SweptValue written_value(const Setting& setting) {
    if (setting.knob == Knob::lamp)
        return setting.lamp;
    // 6, not 6.000000000000001
    return is_angle(setting.knob) ? std::round(1e9 * degrees_from_radians(setting.value)) / 1e9
                                  : setting.value;
}

Json json_of(const SweptValue& value) {
    return std::visit([](const auto& own) { return Json(own); }, value);
}

std::string field_of(const Json& value) {
    return value.is_null()     ? std::string()
           : value.is_string() ? print_csv_field(value.get<std::string>())
                               : value.dump();
}

} // namespace

std::size_t SweepHead::size() const {
    std::size_t count = ranges.empty() ? 0 : 1;
    for (const WrittenRange& range : ranges)
        count *= range.values.size();
    return count;
}

std::vector<SweptValue> SweepHead::settings_of(std::size_t variant) const {
    if (ranges.size() == 1)
        return {ranges[0].values[variant]};
    const std::size_t inner = ranges[1].values.size();
    return {ranges[0].values[variant / inner], ranges[1].values[variant % inner]};
}

SweepFile make_sweep_file(const Site& site, const Sweep& sweep, const Part& part) {
    SweepFile made{.part = part};
    SweepHead& head = made.head;
    head.version = duskcast_version;
    head.site = site.name;
    for (const std::size_t index : find_fixtures(site, sweep.plan.fixtures))
        head.fixtures.push_back(site.fixtures[index].id);
    head.target = sweep.plan.focus.target;
    for (const Range& range : sweep.plan.ranges) {
        WrittenRange written{.key = key_of(range.knob)};
        for (const Setting& setting : range.values)
            written.values.push_back(written_value(setting));
        head.ranges.push_back(std::move(written));
    }
    head.as_drawn = make_written(sweep.as_drawn, sweep.plan.focus);
    for (const Figures& figures : sweep.figures)
        made.rows.push_back(make_written(figures, sweep.plan.focus));
    return made;
}

std::string print_sweep_json(const SweepFile& sweep) {
    const SweepHead& head = sweep.head;
    Json document = json_object({{"duskcast", head.version}, {"study", "sweep"}, {"site", head.site}});
    document["fixtures"] = head.fixtures;
    document["target"] = head.target;
    document["ranges"] = Json::array();
    for (const WrittenRange& range : head.ranges) {
        Json values = Json::array();
        for (const SweptValue& value : range.values)
            values.push_back(json_of(value));
        document["ranges"].push_back(json_object({{"key", range.key}, {"values", values}}));
    }
    document["units"] =
        "heights in metres, light in lux, coverage and spill as shares of 1, evenness and hot_spot as ratios";
    document["as_drawn"] = json_of(head.as_drawn);
    if (sweep.part.of > 1)
        document["part"] = json_object({{"number", sweep.part.number}, {"of", sweep.part.of}});
    // One variant a line, so that files of a hundred thousand can be read and compared.
    std::string text = document.dump(2);
    text.erase(text.rfind('\n')); // the closing bracket
    text += ",\n  \"variants\": [";
    const std::size_t first = sweep.part.first(head.size());
    for (std::size_t i = 0; i < sweep.rows.size(); ++i) {
        Json one = json_object({{"variant", first + i}});
        const std::vector<SweptValue> settings = head.settings_of(first + i);
        for (std::size_t r = 0; r < head.ranges.size(); ++r)
            one[head.ranges[r].key] = json_of(settings[r]);
        one.update(json_of(sweep.rows[i]));
        text += (i > 0 ? ",\n    " : "\n    ") + one.dump();
    }
    return text + "\n  ]\n}\n";
}

std::string print_sweep_csv(const SweepFile& sweep) {
    const SweepHead& head = sweep.head;
    std::vector<std::string> fields{"variant"};
    std::string text;
    const auto end_row = [&] {
        text += fmt::format("{}\n", fmt::join(fields, ","));
        fields.clear();
    };
    for (const WrittenRange& range : head.ranges)
        fields.push_back(range.key);
    for (const QuantityFacts& facts : list_quantities())
        fields.emplace_back(facts.key);
    for (const TargetFigures& target : head.as_drawn.targets)
        for (const char* figure : {".coverage", ".mean_lx"})
            fields.push_back(print_csv_field(target.id + figure));
    end_row();
    const std::size_t first = sweep.part.first(head.size());
    for (std::size_t i = 0; i < sweep.rows.size(); ++i) {
        fields.push_back(fmt::format("{}", first + i));
        for (const SweptValue& value : head.settings_of(first + i))
            fields.push_back(field_of(json_of(value)));
        for (const std::optional<double>& value : sweep.rows[i].values)
            fields.push_back(field_of(json_of(value)));
        for (const TargetFigures& target : sweep.rows[i].targets)
            for (const double value : {target.share, target.mean_lx})
                fields.push_back(field_of(Json(value)));
        end_row();
    }
    return text;
}

SweepFile merge_sweeps(std::vector<NamedSweepPart> parts) {
    const auto refuse_part = [](const NamedSweepPart& part, std::string what, std::string remedy) {
        throw InputError(
            Problem{.place = {.file = part.file}, .what = std::move(what), .remedy = std::move(remedy)});
    };
    if (parts.empty())
        throw InputError(Problem{.what = "there are no parts to join", .remedy = "give every part"});
    const NamedSweepPart& given_first = parts.front();
    const std::size_t of = given_first.sweep.part.of;
    for (const NamedSweepPart& part : parts) {
        if (part.sweep.part.of != of)
            refuse_part(part,
                        fmt::format("this is one of {} parts, {} is one of {}", part.sweep.part.of,
                                    given_first.file, of),
                        "give parts of one run");
        if (part.sweep.head != given_first.sweep.head)
            refuse_part(part, fmt::format("this is a part of another study than {}", given_first.file),
                        "give parts of one run");
    }
    sort_stably(parts, [](const NamedSweepPart& a, const NamedSweepPart& b) {
        return a.sweep.part.number < b.sweep.part.number;
    });
    SweepFile whole{.head = parts.front().sweep.head};
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const std::size_t number = parts[i].sweep.part.number;
        if (i > 0 && number == parts[i - 1].sweep.part.number)
            refuse_part(parts[i],
                        fmt::format("part {} is given twice, also as {}", number, parts[i - 1].file),
                        "give each part once");
        if (number != i + 1)
            refuse_part(parts[i], fmt::format("part {} of {} is missing", i + 1, of), "give every part");
        std::move(parts[i].sweep.rows.begin(), parts[i].sweep.rows.end(), std::back_inserter(whole.rows));
    }
    if (parts.size() != of)
        refuse_part(parts.back(), fmt::format("part {} of {} is missing", parts.size() + 1, of),
                    "give every part");
    return whole;
}

} // namespace duskcast
