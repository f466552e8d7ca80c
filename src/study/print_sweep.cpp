// A sweep as JSON and CSV; joining parts.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>
#include <tuple>

#include "duskcast/base/version.hpp"
#include "duskcast/study/sweep.hpp"
#include "json_figures.hpp"

namespace duskcast {
namespace {

using Json = nlohmann::ordered_json;

std::string key_of(Knob knob) {
    return name_of(knob) + (is_length(knob) ? "_m" : is_angle(knob) ? "_deg" : "");
}

Json json_of(const Setting& setting) {
    if (setting.knob == Knob::lamp)
        return setting.lamp;
    // 6, not 6.000000000000001
    return is_angle(setting.knob) ? std::round(1e9 * degrees_from_radians(setting.value)) / 1e9
                                  : setting.value;
}

/// One variant a line, so that files of a hundred thousand can be read and compared.
std::string print_lines(Json document) {
    const Json variants = document["variants"];
    document.erase("variants");
    std::string text = document.dump(2);
    text.erase(text.rfind('\n')); // the closing bracket
    text += ",\n  \"variants\": [";
    for (std::size_t i = 0; i < variants.size(); ++i)
        text += (i > 0 ? ",\n    " : "\n    ") + variants[i].dump();
    return text + "\n  ]\n}\n";
}

[[noreturn]] void fail(const std::string& file, const std::string& what, const std::string& remedy) {
    throw InputError(Problem{.place = {.file = file}, .what = what, .remedy = remedy});
}

} // namespace

Json json_of(const Figures& figures, const Focus& focus) {
    Json made;
    for (const Quantity quantity : list_quantities())
        if (const std::optional<double> value = value_of(figures, quantity, focus))
            made[name_of(quantity)] = *value;
        else
            made[name_of(quantity)] = nullptr;
    made["targets"] = Json::array();
    for (const TargetFigures& target : figures.targets) {
        Json one{{"id", target.id},           {"level_lx", target.level_lx}, {"coverage", target.share},
                 {"mean_lx", target.mean_lx}, {"max_lx", target.hot_lx},     {"reached", target.is_reached}};
        one["mean_to_min"] = target.mean_to_min ? Json(*target.mean_to_min) : Json();
        made["targets"].push_back(one);
    }
    made["reaches"] = Json::array();
    for (const ReachFigures& reach : figures.reaches)
        made["reaches"].push_back({{"fixture", reach.fixture},
                                   {"on", reach.on},
                                   {"level_lx", reach.level_lx},
                                   {"height_m", reach.height ? Json(*reach.height) : Json()},
                                   {"to_top", reach.is_to_top}});
    made["lumens_on"] = {{"targets", figures.spill.target_lm},
                         {"other", figures.spill.other_lm},
                         {"ground", figures.spill.ground_lm},
                         {"sky", figures.spill.sky_lm}};
    return made;
}

std::string print_sweep(const Site& site, const std::string& site_name, const Sweep& sweep,
                        const Part& part) {
    Json document;
    document["duskcast"] = duskcast_version;
    document["study"] = "sweep";
    document["site"] = site_name;
    document["fixtures"] = Json::array();
    for (const std::size_t index : find_fixtures(site, sweep.plan.fixtures))
        document["fixtures"].push_back(site.fixtures[index].id);
    document["target"] = sweep.plan.focus.target;
    document["ranges"] = Json::array();
    for (const Range& range : sweep.plan.ranges) {
        Json values = Json::array();
        for (const Setting& setting : range.values)
            values.push_back(json_of(setting));
        document["ranges"].push_back({{"key", key_of(range.knob)}, {"values", values}});
    }
    document["units"] =
        "heights in metres, light in lux, coverage and spill as shares of 1, evenness and hot_spot as ratios";
    document["as_drawn"] = json_of(sweep.as_drawn, sweep.plan.focus);
    if (part.of > 1)
        document["part"] = {{"number", part.number}, {"of", part.of}};
    document["variants"] = Json::array();
    for (std::size_t i = 0; i < sweep.figures.size(); ++i) {
        Json one{{"variant", sweep.first + i}};
        for (const Setting& setting : sweep.plan.settings_of(sweep.first + i))
            one[key_of(setting.knob)] = json_of(setting);
        one.update(json_of(sweep.figures[i], sweep.plan.focus));
        document["variants"].push_back(one);
    }
    return print_lines(document);
}

std::string merge_sweeps(const std::vector<std::pair<std::string, std::string>>& files_and_texts) {
    struct Piece {
        std::string file;
        std::size_t number = 0;
        Json document;
    };
    std::vector<Piece> pieces;
    std::size_t of = 0;
    for (const auto& [file, text] : files_and_texts) {
        Piece piece{.file = file, .document = Json::parse(text, nullptr, false)};
        if (!piece.document.is_object() || !piece.document.contains("study") ||
            !piece.document.contains("variants") || !piece.document["variants"].is_array())
            fail(file, "this is not the result of a study", "give the sweep.json of every part");
        const Json& part = piece.document.contains("part") ? piece.document["part"] : Json();
        if (!part.is_object() || !part.contains("number") || !part["number"].is_number_unsigned() ||
            !part.contains("of") || !part["of"].is_number_unsigned())
            fail(file, "this is a whole study, not a part of one", "run its parts with --part K/N");
        piece.number = part["number"].get<std::size_t>();
        const auto here = part["of"].get<std::size_t>();
        if (of != 0 && here != of)
            fail(file, fmt::format("this is one of {} parts, {} is one of {}", here, pieces.front().file, of),
                 "give parts of one run");
        of = here;
        pieces.push_back(std::move(piece));
    }
    std::sort(pieces.begin(), pieces.end(), [](const Piece& a, const Piece& b) {
        return std::tie(a.number, a.file) < std::tie(b.number, b.file);
    });
    const auto head_of = [](Json document) {
        document.erase("part");
        document.erase("variants");
        return document;
    };
    Json joined = pieces.empty() ? Json::object() : head_of(pieces.front().document);
    joined["variants"] = Json::array();
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        if (head_of(pieces[i].document) != head_of(pieces.front().document))
            fail(pieces[i].file, fmt::format("this is a part of another study than {}", pieces.front().file),
                 "give parts of one run");
        if (i > 0 && pieces[i].number == pieces[i - 1].number)
            fail(pieces[i].file,
                 fmt::format("part {} is given twice, also as {}", pieces[i].number, pieces[i - 1].file),
                 "give each part once");
        if (pieces[i].number != i + 1)
            fail(pieces[i].file, fmt::format("part {} of {} is missing", i + 1, of), "give every part");
        for (const Json& one : pieces[i].document["variants"])
            joined["variants"].push_back(one);
    }
    if (pieces.size() != of)
        fail(pieces.empty() ? "" : pieces.back().file,
             fmt::format("part {} of {} is missing", pieces.size() + 1, of), "give every part");
    return print_lines(joined);
}

std::string print_sweep_csv(const std::string& json) {
    const Json document = Json::parse(json);
    std::vector<std::string> keys{"variant"};
    for (const Json& range : document["ranges"])
        keys.push_back(range["key"]);
    for (const Quantity quantity : list_quantities())
        keys.push_back(name_of(quantity));
    const auto cell = [](const Json& value) {
        return value.is_null() ? std::string() : value.is_string() ? value.get<std::string>() : value.dump();
    };
    std::string text = fmt::format("{}", fmt::join(keys, ","));
    for (const Json& target : document["as_drawn"]["targets"])
        text += fmt::format(",{0}.coverage,{0}.mean_lx", target["id"].get<std::string>());
    text += "\n";
    for (const Json& one : document["variants"]) {
        std::string row;
        for (const std::string& key : keys)
            row += (row.empty() ? "" : ",") + cell(one[key]);
        for (const Json& target : one["targets"])
            row += fmt::format(",{},{}", cell(target["coverage"]), cell(target["mean_lx"]));
        text += row + "\n";
    }
    return text;
}

} // namespace duskcast
