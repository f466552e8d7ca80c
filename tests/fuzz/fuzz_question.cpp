// Any bytes as a question to the engine behind the page: refused with sentences, or answered with what the
// page is compiled for. The property is small, and what would take long of it is not asked. A question's
// "text" may be a site as JSON here: it is asked about as text. Mutations change values of the question as
// often as its bytes.
#define DOCTEST_CONFIG_IMPLEMENT // for what reads the page's types

#include <algorithm>
#include <cstdio>
#include <cstring>
#include <random>

#include "app/page_types.hpp"
#include "duskcast/app/engine.hpp"
#include "duskcast/site/plant_kinds.hpp"
#include "duskcast/site/site_file.hpp"
#include "duskcast/study/sweep.hpp"
#include "folder.hpp"
#include "fuzz.hpp"

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t most);

namespace {

using namespace duskcast;
using Json = nlohmann::ordered_json;

const std::string site_text = test::read_bytes(DUSKCAST_CORPUS "/small.site.json");

/// The name of the answer's type in the page; with `list`, of what is in the list under that key.
struct AnswerType {
    std::string ask, name, list = {};
};
const std::vector<AnswerType> answer_types{{"bills", "Bill", "bills"},
                                           {"lamps", "LampChoice", "lamps"},
                                           {"load", "Load"},
                                           {"photo_click", "PhotoClick"},
                                           {"photo_glance", "Glanced"},
                                           {"photo_length", "PhotoLength"},
                                           {"photo_lines", "PhotoLines"},
                                           {"photo_upright", "PhotoUpright"},
                                           {"photos", "PhotoState", "photos"},
                                           {"price typed", "PriceWritten"},
                                           {"prices", "Prices"},
                                           {"probe", "Probe"},
                                           {"step", "Step"}};

/// An engine with the small property open.
struct Desk {
    test::Folder folder;
    Engine engine{folder.path()};

    Desk() {
        for (const char* name : {"front.png", "prices.csv"}) {
            const std::string bytes = test::read_bytes(DUSKCAST_CORPUS "/" + std::string(name));
            engine.put_file(name, {reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
        }
        open();
    }
    void open() {
        const Json question = {{"ask", "change"}, {"text", site_text}};
        fuzz::require(Json::parse(engine.ask(question.dump()).json).at("is_accepted") == true);
    }
};

double number_in(const Json& question, const char* key, double usual) {
    const auto found = question.find(key);
    return found != question.end() && found->is_number() ? found->get<double>() : usual;
}
std::string text_in(const Json& question, const char* key) {
    const auto found = question.find(key);
    return found != question.end() && found->is_string() ? found->get<std::string>() : std::string();
}

const Site& small_site() {
    static const Site site = read_site(site_text, "small.site.json").site;
    return site;
}

/// Whether the text's stage is that of the small property; true of what is refused.
bool is_of_small_stage(const std::string& text) {
    auto read = fuzz::read_or_refuse([&] { return read_site(text, "small.site.json").site; });
    if (!read)
        return true;
    const auto put_back = [&](auto member) { (*read).*member = small_site().*member; };
    put_back(&Site::name);
    put_back(&Site::levels);
    put_back(&Site::ambient);
    put_back(&Site::lamps);
    put_back(&Site::fixtures);
    put_back(&Site::targets);
    put_back(&Site::views);
    put_back(&Site::eyes);
    put_back(&Site::variants);
    put_back(&Site::network);
    put_back(&Site::photos);
    return *read == small_site();
}

/// What takes longer than some milliseconds, however small the property is: bounced light, many rays, whole
/// trees, and what is told without looking at the question. Of the others only what is refused is asked.
bool is_costly(const Json& question) {
    static const std::set<std::string> never{"aim sheet", "compare", "contributions", "forms", "night check",
                                             "proposal",  "relight", "report",        "scale", "scene",
                                             "settle",    "suggest", "tolerance",     "view"};
    const std::string ask = text_in(question, "ask");
    if (ask == "plant_picture")
        return number_in(question, "size", 0) >= 16 && number_in(question, "size", 0) <= 256 &&
               fuzz::read_or_refuse([&] { return read_plant(text_in(question, "plant")); });
    if (ask == "sweep") {
        return fuzz::read_or_refuse([&] { return read_range(text_in(question, "vary"), small_site()); })
            .has_value();
    }
    if (ask == "change" || ask == "stage" || ask == "photo_glance")
        return !is_of_small_stage(text_in(question, "text"));
    return never.contains(ask);
}

/// Sentences of ours; none of what a library says of a fault of ours.
void check_problems(const Json& problems) {
    fuzz::require(problems.is_array() && !problems.empty());
    for (const Json& problem : problems) {
        fuzz::require(test::page_types().misfits(problem, "Problem", {}).empty());
        const std::string message = problem["message"].get<std::string>();
        fuzz::require(!message.empty());
        for (const char* foreign :
             {"std::", "vector", "basic_string", "bad_", "map::", "the property is too"})
            fuzz::require(!message.starts_with(foreign));
    }
}

void check_type(const Json& value, const std::string& name, const std::vector<Block>& blocks) {
    const std::vector<std::string> misfits = test::page_types().misfits(value, name, blocks);
    for (const std::string& misfit : misfits)
        std::fprintf(stderr, "%s\n", misfit.c_str());
    fuzz::require(misfits.empty());
}

void check_answer(const std::string& ask, const Json& answer, const std::vector<Block>& blocks) {
    fuzz::require(answer.is_object());
    if (const auto fault = answer.find("fault"); fault != answer.end())
        return check_problems(*fault);
    if (ask == "change") {
        if (answer.at("is_accepted") == true)
            check_type(answer, "Changed", blocks);
        else
            check_problems(answer.at("problems"));
    }
    for (const AnswerType& type : answer_types)
        if (type.ask == ask && type.list.empty())
            check_type(answer, type.name, blocks);
        else if (type.ask == ask)
            for (const Json& one : answer.at(type.list))
                check_type(one, type.name, blocks);
}

constexpr int deepest = 50; ///< values within values; the mutations go no deeper

void list_values(Json& value, std::vector<Json*>& list, int depth = 0) {
    list.push_back(&value);
    if (depth < deepest)
        for (Json& part : value)
            if (&part != &value) // a value that holds none is its own and only part
                list_values(part, list, depth + 1);
}

bool is_deep(const Json& value, int left = deepest) {
    return value.is_structured() &&
           (left == 0 || std::any_of(value.begin(), value.end(),
                                     [&](const Json& part) { return is_deep(part, left - 1); }));
}

Json read_question(const std::uint8_t* data, std::size_t size) {
    Json question = Json::parse(fuzz::text_of(data, size), nullptr, false);
    return question.is_object() && !is_deep(question) ? question : Json();
}

std::string mutate_text(std::string text) {
    const std::size_t size = text.size();
    text.resize(size + 16);
    text.resize(LLVMFuzzerMutate(reinterpret_cast<std::uint8_t*>(text.data()), size, text.size()));
    return text;
}

void mutate_value(Json& question, std::mt19937& random) {
    static const Json odd = Json::parse(R"([null, true, false, 0, -1, 0.5, 1, 2, 7, 1e9, -1e9, 1e-300, 1e300,
        4294967296, 18446744073709551615, "", "U1", "T1", "front", "street", "warm", "m", "ft", "up", "5 ft", "bare",
        "tilt=0..9:3", [], [0, 0], [2, -7, 1.5], [0, 0, 0], ["U1"], {}, {"season": "bare"}, {"variant": "few"}])");
    std::vector<Json*> values;
    list_values(question, values);
    Json& value = *values[random() % values.size()];
    const Json other = *values[random() % values.size()];
    switch (random() % 5) {
    case 0:
        value = other;
        break;
    case 1:
        if (value.is_structured() && !value.empty())
            value.erase(std::next(value.begin(), static_cast<long>(random() % value.size())));
        else
            value = odd[random() % odd.size()];
        break;
    case 2:
        if (value.is_array())
            value.push_back(other);
        else if (value.is_string())
            value = mutate_text(value.get<std::string>());
        else if (value.is_number())
            value = value.get<double>() * (static_cast<double>(random() % 401) - 200) / 100;
        break;
    default:
        value = odd[random() % odd.size()];
    }
}

} // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t most,
                                               unsigned int seed) {
    std::mt19937 random(seed);
    Json question = read_question(data, size);
    if (question.is_null() || random() % 4 == 0)
        return LLVMFuzzerMutate(data, size, most);
    for (unsigned left = 1 + random() % 3; left > 0; --left)
        mutate_value(question, random);
    const std::string text = question.dump(-1, ' ', false, Json::error_handler_t::replace);
    if (text.size() > most)
        return LLVMFuzzerMutate(data, size, most);
    std::memcpy(data, text.data(), text.size());
    return text.size();
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static doctest::Context types_reader; // outside of test cases
    types_reader.setAsDefaultForAssertsOutOfTestCases();
    static Desk desk;
    std::string asked(fuzz::text_of(data, size));
    Json question = read_question(data, size);
    if (const auto text = question.find("text"); text != question.end() && text->is_object()) {
        *text = text->dump(1, ' ', false, Json::error_handler_t::replace);
        asked = question.dump(-1, ' ', false, Json::error_handler_t::replace);
    }
    if (is_costly(question))
        return 0;
    const Answer answer = desk.engine.ask(asked);
    const std::string ask = text_in(question, "ask");
    check_answer(ask, Json::parse(answer.json), answer.blocks);
    if (ask == "change" || ask == "stage") // of the next question no more than its own bytes is to tell
        desk.open();
    return 0;
}
