// What is said of the property itself: problems, words, forms.

#include <cmath>
#include <fmt/format.h>

#include "answers.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/version.hpp"
#include "duskcast/photometry/light_colour.hpp"
#include "duskcast/sheets/lux_scale.hpp"
#include "duskcast/site/fields.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/view/tone.hpp"

namespace duskcast {
namespace {

/// As the page's types name it.
const char* quantity_word(KeyQuantity quantity) {
    switch (quantity) {
    case KeyQuantity::version:
        return "version";
    case KeyQuantity::text:
        return "text";
    case KeyQuantity::id:
        return "id";
    case KeyQuantity::surface_id:
        return "surface_id";
    case KeyQuantity::reference:
        return "reference";
    case KeyQuantity::references:
        return "references";
    case KeyQuantity::file:
        return "file";
    case KeyQuantity::truth:
        return "truth";
    case KeyQuantity::count:
        return "count";
    case KeyQuantity::number:
        return "number";
    case KeyQuantity::numbers:
        return "numbers";
    case KeyQuantity::number_span:
        return "number_span";
    case KeyQuantity::share:
        return "share";
    case KeyQuantity::length:
        return "length";
    case KeyQuantity::length_span:
        return "length_span";
    case KeyQuantity::metres:
        return "metres";
    case KeyQuantity::angle:
        return "angle";
    case KeyQuantity::angle_span:
        return "angle_span";
    case KeyQuantity::spread:
        return "spread";
    case KeyQuantity::illuminance:
        return "illuminance";
    case KeyQuantity::illuminances:
        return "illuminances";
    case KeyQuantity::word:
        return "word";
    case KeyQuantity::point:
        return "point";
    case KeyQuantity::place:
        return "place";
    case KeyQuantity::path:
        return "path";
    case KeyQuantity::outline:
        return "outline";
    case KeyQuantity::finish:
        return "finish";
    case KeyQuantity::object:
        return "object";
    case KeyQuantity::objects:
        return "objects";
    }
    return "text";
}

Json print_forms(const std::vector<ObjectInfo>& objects) {
    Json forms = Json::array();
    for (const ObjectInfo& object : objects) {
        Json fields = Json::array();
        for (const FieldInfo& field : object.fields)
            fields.push_back(json_object({{"key", field.key},
                                          {"quantity", quantity_word(field.quantity)},
                                          {"help", field.help},
                                          {"unit", field.unit},
                                          {"least", number(field.range.least)},
                                          {"most", number(field.range.most)},
                                          {"is_above_least", field.range.is_above_least},
                                          {"is_required", field.is_required},
                                          {"usual", field.usual},
                                          {"words", field.words},
                                          {"choices", field.choices},
                                          {"least_items", field.least_items},
                                          {"object", field.object}}));
        forms.push_back(
            json_object({{"name", object.name}, {"help", object.help}, {"fields", std::move(fields)}}));
    }
    return forms;
}

} // namespace

Json number(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}
Json number(const std::optional<double>& value) {
    return value ? number(*value) : Json(nullptr);
}
Json point(const glm::dvec2& at) {
    return Json::array({at.x, at.y});
}
Json point(const glm::dvec3& at) {
    return Json::array({at.x, at.y, at.z});
}
Json points(const std::vector<glm::dvec2>& line) {
    Json list = Json::array();
    for (const glm::dvec2& at : line)
        list.push_back(point(at));
    return list;
}
std::optional<double> number_of(const Json& question, const char* key) {
    const auto found = question.find(key);
    return found == question.end() || found->is_null() ? std::nullopt : std::optional(found->get<double>());
}

double figure_of(const Json& question, const char* key, double usual, double least, double most) {
    const double figure = value_of(question, key, usual);
    if (!(figure >= least && figure <= most))
        refuse(fmt::format("{} of \"{}\" are asked for", print_number(figure), key),
               fmt::format("give {} to {}", print_number(least), print_number(most)));
    return figure;
}

int count_of(const Json& question, const char* key, int usual, int least, int most) {
    return static_cast<int>(figure_of(question, key, usual, least, most));
}

std::string pointer_of(const std::string& path) {
    if (path.empty() || path.front() == '-')
        return {};
    std::string pointer = "/";
    for (const char letter : path) {
        if (letter == '.' || letter == '[')
            pointer += '/';
        else if (letter == '~')
            pointer += "~0";
        else if (letter == '/')
            pointer += "~1";
        else if (letter != ']')
            pointer += letter;
    }
    return pointer;
}

Json list_problems(const std::vector<Problem>& problems, const std::filesystem::path& folder) {
    const auto named = [&](const std::string& file) {
        const std::filesystem::path relative = path_in({}, file).lexically_relative(folder);
        return relative.empty() ? file : text_of(relative);
    };
    Json list = Json::array();
    for (const Problem& problem : problems)
        list.push_back(json_object({{"severity", problem.severity == Severity::error ? "error" : "warning"},
                                    {"message", problem.what},
                                    {"remedy", problem.remedy},
                                    {"pointer", pointer_of(problem.place.path)},
                                    {"file", named(problem.place.file)},
                                    {"line", problem.place.line},
                                    {"column", problem.place.column}}));
    return list;
}

Json answer_site(const Session& session) {
    const Site& site = session.site();
    Json answer = json_object({{"name", site.name},
                               {"units", name_of(site.units)},
                               {"light", name_of(site.light)},
                               {"levels_lx", Json::array()},
                               {"level_words", Json::array()},
                               {"ambient_lx", site.ambient},
                               {"currency", site.catalogue.currency}});
    for (const double level : join_levels({}, site)) {
        answer["levels_lx"].push_back(level);
        answer["level_words"].push_back(print_illuminance(level, site.light));
    }
    return answer;
}

Json answer_forms() {
    Json finishes = Json::array();
    for (const FinishRow& row : finish_table())
        finishes.push_back(json_object({{"name", row.name}, {"reflectance", point(row.reflectance)}}));
    return json_object({{"site", print_forms(describe_site_file())},
                        {"catalogue", print_forms(describe_catalogue_file())},
                        {"business", print_forms(describe_business_file())},
                        {"finishes", std::move(finishes)},
                        {"version", duskcast_version}});
}

Json answer_scale(AnswerMaker& maker) {
    constexpr int steps = 256;
    const auto byte_of = [](double channel) { return static_cast<std::uint8_t>(std::lround(255 * channel)); };
    std::vector<std::uint8_t> colours;
    for (int i = 0; i < steps; ++i)
        for (const double channel : dusk_colour(static_cast<double>(i) / (steps - 1)))
            colours.push_back(byte_of(channel));
    // From below what the eye sees to white, in the colours of lamps and of the sky.
    std::vector<float> luminance;
    std::vector<std::uint8_t> tones;
    for (const double cct : {2200.0, 2700.0, 4000.0, 6500.0})
        for (int i = 0; i < steps; ++i) {
            const glm::dvec3 light = light_colour(cct) * std::pow(10.0, -3.5 + 6.0 * i / (steps - 1));
            for (int channel = 0; channel < 3; ++channel)
                luminance.push_back(static_cast<float>(light[channel]));
            for (const double channel : night_colour(light))
                tones.push_back(byte_of(channel));
        }
    const auto ticks = [](LightUnit unit) {
        Json list = Json::array();
        for (const double tick : scale_ticks(unit))
            list.push_back(json_object({{"lx", tick * lux_per(unit)}, {"words", print_number(tick)}}));
        return list;
    };
    return json_object({{"colours", maker.add(std::move(colours))},
                        {"least_lx", scale_low_lx},
                        {"most_lx", scale_high_lx},
                        {"ticks", ticks(LightUnit::footcandle)},
                        {"ticks_metric", ticks(LightUnit::lux)},
                        {"night", json_object({{"luminance", maker.add(std::move(luminance))},
                                               {"colours", maker.add(std::move(tones))}})}});
}

} // namespace duskcast
