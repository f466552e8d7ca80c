#pragma once
// What the answers of the engine are put together from.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/app/engine.hpp"
#include "duskcast/app/session.hpp"
#include "duskcast/base/json_object.hpp"
#include "duskcast/cost/price_list.hpp"
#include "duskcast/draw/canvas.hpp"

namespace duskcast {

using Json = nlohmann::ordered_json;

/// An answer while it is made.
class AnswerMaker {
public:
    /// Keeps an array and gives what stands for it in the JSON.
    template <class Value> Json add(std::vector<Value> values) {
        blocks_.emplace_back(std::move(values));
        return json_object({{"$block", blocks_.size() - 1}});
    }
    std::vector<Block> take_blocks() { return std::move(blocks_); }

private:
    std::vector<Block> blocks_;
};

/// A number, or null where it is none that JSON knows.
Json number(double value);
Json number(const std::optional<double>& value);
Json point(const glm::dvec2& at);
Json point(const glm::dvec3& at);
Json points(const std::vector<glm::dvec2>& line);

/// Files are named as seen from `folder`.
Json list_problems(const std::vector<Problem>& problems, const std::filesystem::path& folder);
/// "fixtures[2].tilt" as "/fixtures/2/tilt" (RFC 6901); what is no path in a site file as "".
std::string pointer_of(const std::string& path);

/// The question's value, or `usual` where it says nothing.
template <class Value> Value value_of(const Json& question, const char* key, Value usual) {
    const auto found = question.find(key);
    return found == question.end() || found->is_null() ? usual : found->template get<Value>();
}
std::optional<double> number_of(const Json& question, const char* key);
/// The question's figure, or `usual` where it says nothing. Throws InputError unless it is `least` to `most`.
double figure_of(const Json& question, const char* key, double usual, double least, double most);
/// The same as a whole number.
int count_of(const Json& question, const char* key, int usual, int least, int most);

// Of the property as it is held (answer_site.cpp).
Json answer_site(const Session& session);
Json answer_forms();
Json answer_scale(AnswerMaker& maker);

// Plants to choose from (answer_plants.cpp): their names, and how one looks.
Json answer_plants();
Json answer_plant_picture(const Json& question, AnswerMaker& maker);

// Light and what is lit (answer_light.cpp).
Json answer_light(const Session& session, AnswerMaker& maker);
Json answer_fixtures(const Session& session);
Json answer_report(Session& session, const Progress& progress);
Json answer_probe(const Session& session, const Json& question);

// For drawing (answer_scene.cpp).
Json answer_scene(const Session& session, AnswerMaker& maker);
Json answer_view(Session& session, const Json& question, AnswerMaker& maker, const Progress& progress);

const char* outline_word(OutlineShape::Role role);
std::vector<std::uint8_t> print_rgba(const Raster& raster); ///< 8-bit sRGB with alpha 255, row by row

// Photos (answer_photo.cpp).
class PhotoDesk;
Json answer_photos(const Session& session, PhotoDesk& desk);
Json answer_photo_lines(const Session& session, PhotoDesk& desk, const Json& question);
Json answer_photo_click(const Session& session, PhotoDesk& desk, const Json& question);
Json answer_photo_length(const Session& session, PhotoDesk& desk, const Json& question);
Json answer_photo_upright(const Session& session, PhotoDesk& desk, const Json& question);
Json answer_relight(Session& session, PhotoDesk& desk, const Json& question, AnswerMaker& maker,
                    const Progress& progress);
Json answer_photo_glance(Session& session, PhotoDesk& desk, const Json& question, const Look& look,
                         AnswerMaker& maker);

// Load and price (answer_load.cpp).
/// The list of a question: its text where that is given, else the file of that name; nothing without one.
std::optional<PriceList> read_prices(const Session& session, const Json& question);
Json answer_load(const Session& session, const Json& question);
/// Of the design as drawn and of every variant.
Json answer_bills(const Session& session, const Json& question);

// Prices as they are typed (answer_prices.cpp).
Json answer_prices(const Session& session, const Json& question);
/// The list's text with what was typed in it, or a complaint about it.
Json answer_price_typed(const Session& session, const Json& question);

// On paper and in the hand (answer_papers.cpp): whole HTML files.
Json answer_proposal(const Session& session, const Json& question, const Progress& progress);
Json answer_aim_sheet(Session& session, const Json& question, const Progress& progress);
/// What a night's readings tell of the design as drawn, and that as it was built.
Json answer_night_check(Session& session, const Json& question, const Progress& progress);

// Studies (answer_studies.cpp).
Json answer_sweep(const Session& session, const Json& question, const Progress& progress);
Json answer_suggest(const Session& session, const Json& question, const Progress& progress);
Json answer_tolerance(const Session& session, const Json& question, const Progress& progress);
Json answer_compare(const Session& session, const Json& question, const Progress& progress);
Json answer_contributions(Session& session, const Progress& progress);

} // namespace duskcast
