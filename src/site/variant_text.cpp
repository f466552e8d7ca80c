// Variants as written on a command line.

#include <cmath>
#include <fmt/format.h>

#include "checker.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/season.hpp"
#include "duskcast/site/variant.hpp"
#include "names.hpp"

namespace duskcast {
namespace {

double read_plain(const std::string& text, const std::string& wanted) {
    double value = 0;
    const auto read = read_decimal(text, value);
    if (read.ec != std::errc() || read.ptr != text.data() + text.size() || !std::isfinite(value))
        refuse(fmt::format("\"{}\" is not {}", text, wanted), "write a number, such as 0.5");
    return value;
}

/// The words of a clause, and its KEY=VALUE pairs. A value runs to the next key, so that "setback=1 ft 3 in"
/// needs no quotes.
struct Clause {
    std::vector<std::string> words;
    std::vector<std::pair<std::string, std::string>> pairs;
};

Clause read_clause(const std::string& text) {
    Clause clause;
    for (const std::string& word : split(text, ' ')) {
        if (word.empty())
            continue;
        const std::size_t equals = word.find('=');
        if (equals != std::string::npos)
            clause.pairs.emplace_back(word.substr(0, equals), word.substr(equals + 1));
        else if (clause.pairs.empty())
            clause.words.push_back(word);
        else
            clause.pairs.back().second += " " + word;
    }
    return clause;
}

std::vector<Setting> read_settings(const Clause& clause, LengthUnit units) {
    std::vector<Setting> settings;
    for (const auto& [key, value] : clause.pairs)
        settings.push_back(read_setting(read_knob(key), std::string(trimmed(value)), units));
    return settings;
}

const char* const form = "write it as \"NAME: U5 lamp=brighter-5w tilt=6; without U2\"";

void read_plants(const Clause& clause, Variant& variant) {
    SeasonChoice& plants = variant.plants ? *variant.plants : variant.plants.emplace();
    for (const auto& [key, value] : clause.pairs) {
        if (key == "season")
            plants.season = read_season(value);
        else if (key == "years_on")
            plants.years_on = read_plain(value, "a number of years");
        else
            refuse(fmt::format("\"{}\" is set on no fixture", key), form);
    }
}

} // namespace

Setting read_setting(Knob knob, const std::string& text, LengthUnit units) {
    Setting setting{.knob = knob};
    if (knob == Knob::lamp) {
        setting.lamp = text;
    } else if (is_length(knob)) {
        setting.value = read_length(text, units);
    } else if (is_angle(knob)) {
        std::string figure = text;
        for (const char* unit : {"°", "deg"})
            if (figure.ends_with(unit))
                figure =
                    std::string(trimmed(figure.substr(0, figure.size() - std::string_view(unit).size())));
        setting.value = radians_from_degrees(read_plain(figure, "an angle in degrees"));
    } else if (text.ends_with('%')) {
        setting.value = read_plain(std::string(trimmed(text.substr(0, text.size() - 1))), "a share") / 100;
    } else {
        setting.value = read_plain(text, "a share from 0 to 1");
    }
    return setting;
}

std::vector<std::string> read_ids(const std::string& text) {
    return text.empty() || text == "all" ? std::vector<std::string>{} : split(text, ',');
}

Variant read_variant(const std::string& text, const Site& site) {
    Variant variant;
    const std::size_t colon = text.find(':');
    if (colon == std::string::npos || trimmed(text.substr(0, colon)).empty())
        refuse(fmt::format("the variant \"{}\" has no name", text), form);
    variant.name = std::string(trimmed(text.substr(0, colon)));
    variant.id = variant.name;
    for (const std::string& part : split(text.substr(colon + 1), ';')) {
        const Clause clause = read_clause(part);
        const std::vector<std::string>& words = clause.words;
        if (words.empty() && clause.pairs.empty())
            continue;
        if (words.empty()) {
            read_plants(clause, variant);
        } else if (words[0] == "without" && words.size() == 2 && clause.pairs.empty()) {
            for (const std::string& id : split(words[1], ','))
                variant.without.push_back(id);
        } else if (words[0] == "add" && words.size() == 4 && words[2] == "like") {
            Fixture added = site.fixtures[find_fixtures(site, {words[3]}).front()];
            added.id = words[1];
            variant.added.push_back(added);
            if (!clause.pairs.empty())
                variant.changes.push_back({{added.id}, read_settings(clause, site.units)});
        } else if (words.size() == 1 && !clause.pairs.empty()) {
            variant.changes.push_back({read_ids(words[0]), read_settings(clause, site.units)});
        } else {
            refuse(fmt::format("\"{}\" says nothing that is understood", part), form);
        }
    }
    if (variant.changes.empty() && variant.added.empty() && variant.without.empty() && !variant.plants)
        refuse(fmt::format("the variant \"{}\" changes nothing", variant.name), form);
    return variant;
}

} // namespace duskcast
