#include "duskcast/app/engine.hpp"

#include <algorithm>
#include <exception>
#include <filesystem>
#include <new>
#include <system_error>

#include "answers.hpp"
#include "duskcast/app/lamp_steps.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/site/season.hpp"
#include "photo_desk.hpp"

namespace duskcast {

namespace fs = std::filesystem;

namespace {

/// Folders below the root in which the site file stands, so that it may name files above it.
constexpr const char* site_folder = "a/b/c/d";

/// The site whose bare numbers are feet and foot-candles, or metres and lux, as the question's "units" say.
Site in_units(Site site, const Json& question) {
    const std::string units = value_of<std::string>(question, "units", "");
    if (units.empty())
        return site;
    const bool is_metric = units == name_of(LengthUnit::metre);
    site.units = is_metric ? LengthUnit::metre : LengthUnit::foot;
    site.light = is_metric ? LightUnit::lux : LightUnit::footcandle;
    return site;
}

Look read_look(const Json& question) {
    Look look;
    const auto found = question.find("look");
    if (found == question.end() || found->is_null())
        return look;
    look.variant = value_of<std::string>(*found, "variant", "");
    look.plants.season = read_season(value_of<std::string>(*found, "season", "in-leaf"));
    look.plants.years_on = value_of(*found, "years_on", 0.0);
    return look;
}

Json print_lamp(const LampChoice& choice) {
    return json_object({{"id", choice.lamp->id},
                        {"name", choice.lamp->name.empty() ? choice.lamp->id : choice.lamp->name},
                        {"watts", choice.watts},
                        {"lumens", choice.lumens},
                        {"beam_angle", choice.beam_angle},
                        {"price", number(choice.lamp->price)}});
}

/// Text of files may be cut anywhere by a message that quotes it.
std::string print_answer(const Json& answer) {
    return answer.dump(-1, ' ', false, Json::error_handler_t::replace);
}

/// Runs `make`; what it throws is a fault. `folder` is the site file's.
template <class Make> Json guard(const fs::path& folder, const Make& make) {
    const auto fault = [&](const std::vector<Problem>& problems) -> Json {
        return json_object({{"fault", list_problems(problems, folder)}});
    };
    try {
        return make();
    } catch (const InputError& error) {
        return fault(error.problems());
    } catch (const std::bad_alloc&) {
        return fault({{.what = "the property is too large for the memory of this page",
                       .remedy = "give fewer trees, or larger sensor and ground spacings"}});
    } catch (const nlohmann::json::exception& error) {
        return fault({{.what = std::string("the question is not understood: ") + error.what()}});
    } catch (const std::exception& error) {
        return fault({{.what = error.what()}});
    }
}

} // namespace

struct Engine::State {
    fs::path root;
    TaskProgress progress;
    Session session;
    PhotoDesk photos;

    State(fs::path root_folder, TaskProgress report)
        : root(std::move(root_folder)), progress(std::move(report)), session(root / site_folder) {
        fs::create_directories(root / site_folder);
    }

    fs::path path_of(const std::string& name) const {
        const fs::path named = is_utf8(name) ? path_in({}, name) : fs::path(); // not every system has others
        const fs::path full = (root / site_folder / named).lexically_normal();
        const fs::path within = full.lexically_relative(root.lexically_normal());
        if (named.empty() || named.is_absolute() || within.empty() || *within.begin() == "..")
            refuse("a file cannot be called \"" + name + "\" here",
                   "name files relative to the site file, at most four folders above it");
        return full;
    }

    Progress progress_of(const std::string& task) const {
        if (!progress)
            return {};
        return [this, task](double share) { progress(task, share); };
    }

    const Fixture& fixture(const Json& question) const {
        const std::string id = question.at("fixture").get<std::string>();
        return session.site().fixtures[find_fixtures(session.site(), {id}).front()];
    }

    void forget_files() {
        session.forget_files();
        photos.forget_files();
    }

    void require_open() const {
        if (!session.is_open())
            refuse("no property is open", "open one first");
    }

    Json tell(const Outcome& outcome, AnswerMaker& maker) {
        Json answer = json_object({{"is_accepted", outcome.is_accepted},
                                   {"problems", list_problems(outcome.problems, session.folder())},
                                   {"is_stage_new", outcome.is_stage_new},
                                   {"fixtures_changed", outcome.fixtures},
                                   {"light", nullptr},
                                   {"fixtures", Json::array()},
                                   {"options", Json::array()},
                                   {"site", nullptr}});
        if (!outcome.is_accepted)
            return answer;
        answer["light"] = answer_light(session, maker);
        answer["fixtures"] = answer_fixtures(session);
        for (const Variant& variant : session.file().site.variants)
            answer["options"].push_back(json_object(
                {{"id", variant.id}, {"name", variant.name.empty() ? variant.id : variant.name}}));
        answer["site"] = answer_site(session);
        return answer;
    }

    Json step(const Json& question) const {
        const Fixture& now = fixture(question);
        const StepWay way =
            question.at("way").get<std::string>() == "up" ? StepWay::brighter : StepWay::dimmer;
        const std::optional<LampStep> next = find_lamp_step(session.site(), now, way, session.folder());
        if (!next)
            return json_object({{"set", nullptr}, {"words", ""}});
        Json set = Json::object();
        if (next->dimming)
            set["dimming"] = *next->dimming;
        else
            set["lamp"] = next->lamp;
        return json_object({{"set", std::move(set)}, {"words", print_lamp_step(session.site(), now, *next)}});
    }

    Json read(const Json& question) const {
        const std::string quantity = question.at("quantity").get<std::string>();
        const std::string text = question.at("text").get<std::string>();
        const Site& site = session.site();
        try {
            if (quantity == "length")
                return json_object({{"value", read_length(text, site.units)}});
            if (quantity == "illuminance")
                return json_object({{"value", read_illuminance(text, site.light)}});
            return json_object({{"value", read_setting(Knob::tilt, text, site.units).value}});
        } catch (const InputError& error) {
            return json_object(
                {{"value", nullptr}, {"problems", list_problems(error.problems(), session.folder())}});
        }
    }

    Json print(const Json& question) const {
        const std::string quantity = question.at("quantity").get<std::string>();
        const double value = question.at("value").get<double>();
        const Site& site = session.site();
        const std::string text = quantity == "length"        ? print_length(value, site.units)
                                 : quantity == "setback"     ? print_setback(value, site.units)
                                 : quantity == "illuminance" ? print_illuminance(value, site.light)
                                                             : print_angle(value);
        return json_object({{"text", text}});
    }

    Json answer(const Json& question, AnswerMaker& maker) {
        const std::string what = question.at("ask").get<std::string>();
        if (what == "change")
            return tell(session.change(question.at("text").get<std::string>(), read_look(question)), maker);
        if (what == "stage") {
            const Outcome outcome =
                session.begin(question.at("text").get<std::string>(), read_look(question));
            return json_object({{"is_accepted", outcome.is_accepted}});
        }
        if (what == "forms")
            return answer_forms();
        if (what == "scale")
            return answer_scale(maker);
        if (what == "plants")
            return answer_plants();
        if (what == "plant_picture")
            return answer_plant_picture(question, maker);
        if (what == "read")
            return read(question);
        if (what == "print")
            return print(question);
        require_open();
        if (what == "scene")
            return answer_scene(session, maker);
        if (what == "settle") {
            session.settle(progress_of("bounce"));
            return answer_light(session, maker);
        }
        if (what == "report")
            return answer_report(session, progress_of("report"));
        if (what == "load")
            return answer_load(session, question);
        if (what == "bills")
            return answer_bills(session, question);
        if (what == "prices")
            return answer_prices(session, question);
        if (what == "price typed")
            return answer_price_typed(session, question);
        if (what == "step")
            return step(question);
        if (what == "lamps") {
            Json list = Json::array();
            for (const LampChoice& choice :
                 list_fitting_lamps(session.site(), fixture(question), session.folder()))
                list.push_back(print_lamp(choice));
            return json_object({{"lamps", std::move(list)}});
        }
        if (what == "probe")
            return answer_probe(session, question);
        if (what == "tidy")
            return json_object({{"text", print_site(in_units(session.file().site, question))}});
        if (what == "view")
            return answer_view(session, question, maker, progress_of("view"));
        if (what == "photos")
            return answer_photos(session, photos);
        if (what == "photo_lines")
            return answer_photo_lines(session, photos, question);
        if (what == "photo_click")
            return answer_photo_click(session, photos, question);
        if (what == "photo_length")
            return answer_photo_length(session, photos, question);
        if (what == "photo_upright")
            return answer_photo_upright(session, photos, question);
        if (what == "relight")
            return answer_relight(session, photos, question, maker, progress_of("photo"));
        if (what == "photo_glance")
            return answer_photo_glance(session, photos, question, read_look(question), maker);
        if (what == "proposal")
            return answer_proposal(session, question, progress_of("paper"));
        if (what == "aim sheet")
            return answer_aim_sheet(session, question, progress_of("paper"));
        if (what == "night check")
            return answer_night_check(session, question, progress_of("paper"));
        if (what == "sweep")
            return answer_sweep(session, question, progress_of("sweep"));
        if (what == "suggest")
            return answer_suggest(session, question, progress_of("suggest"));
        if (what == "tolerance")
            return answer_tolerance(session, question, progress_of("tolerance"));
        if (what == "compare")
            return answer_compare(session, question, progress_of("compare"));
        if (what == "contributions")
            return answer_contributions(session, progress_of("report"));
        refuse("\"" + what + "\" is no question", "");
    }
};

Engine::Engine(fs::path root, TaskProgress progress)
    : state_(std::make_unique<State>(std::move(root), std::move(progress))) {}
Engine::~Engine() = default;

Answer Engine::put_file(const std::string& name, std::span<const std::uint8_t> bytes) {
    return {print_answer(
                guard(state_->session.folder(),
                      [&]() -> Json {
                          const fs::path file = state_->path_of(name);
                          fs::create_directories(file.parent_path());
                          write_text_file(file, {reinterpret_cast<const char*>(bytes.data()), bytes.size()});
                          state_->forget_files();
                          return Json::object();
                      })),
            {}};
}

Answer Engine::remove_file(const std::string& name) {
    return {print_answer(guard(state_->session.folder(),
                               [&]() -> Json {
                                   fs::remove(state_->path_of(name));
                                   state_->forget_files();
                                   return Json::object();
                               })),
            {}};
}

Answer Engine::ask(std::string_view question) {
    AnswerMaker maker;
    const Json answer = guard(state_->session.folder(),
                              [&]() -> Json { return state_->answer(Json::parse(question), maker); });
    return {print_answer(answer), maker.take_blocks()};
}

} // namespace duskcast
