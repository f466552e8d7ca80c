// What goes to clients and into the garden, as whole files.

#include <algorithm>
#include <utility>

#include "answers.hpp"
#include "duskcast/app/aim_night.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/sheets/proposal.hpp"
#include "duskcast/sheets/take_off_words.hpp"

namespace duskcast {
namespace {

/// The design as drawn, whatever is looked at, under the name that the user gave its file.
SiteFile file_of(const Session& session, const Json& question) {
    SiteFile file = session.file();
    const std::string name = value_of<std::string>(question, "name", "");
    if (!name.empty() && name.find_first_of("/\\") == std::string::npos)
        file.file = session.folder() / path_in({}, name);
    return file;
}

std::unique_ptr<AimNight> light_night(Session& session, const Json& question, const Progress& progress) {
    NightStart start;
    if (session.look() == Look{}) {
        session.settle();
        start = {session.stage_held(), session.bounce()};
    }
    return light_night(file_of(session, question), false, std::move(start), progress);
}

/// Each price that the list lacks, once for all designs.
Json list_missing_prices(const std::vector<ProposalOption>& options) {
    Json list = Json::array();
    for (const ProposalOption& option : options)
        if (option.take_off)
            for (const MissingPrice& missing : option.take_off->missing)
                if (const Json words = describe_missing(missing).what;
                    std::find(list.begin(), list.end(), words) == list.end())
                    list.push_back(words);
    return list;
}

/// Faults of the user's own text as an answer, so that they are shown where it was typed.
template <class Make> Json complain(const Session& session, Json answer, const Make& make) {
    try {
        make(answer);
    } catch (const InputError& error) {
        answer["problems"] = list_problems(error.problems(), session.folder());
    }
    return answer;
}

} // namespace

Json answer_proposal(const Session& session, const Json& question, const Progress& progress) {
    const Json empty = json_object({{"problems", Json::array()},
                                    {"missing_prices", Json::array()},
                                    {"proposal", ""},
                                    {"technical", ""}});
    return complain(session, empty, [&](Json& answer) {
        BusinessFile business;
        if (const std::string text = value_of<std::string>(question, "business", ""); !text.empty())
            business = read_business(text, session.folder() / "own.business.json");
        const ProposalChoice choice{.client = value_of<std::string>(question, "client", ""),
                                    .date = value_of<std::string>(question, "date", ""),
                                    .prices = read_prices(session, question),
                                    .labour_hours = value_of(question, "labour_hours", 0.0),
                                    .is_quick = value_of(question, "is_quick", false)};
        const Proposal proposal = make_proposal(file_of(session, question), business, choice, progress);
        answer["missing_prices"] = list_missing_prices(proposal.options);
        answer["proposal"] = print_proposal(proposal);
        answer["technical"] = print_technical_sheets(proposal);
    });
}

Json answer_aim_sheet(Session& session, const Json& question, const Progress& progress) {
    return json_object(
        {{"page", print_aim_sheet(make_night_sheet(*light_night(session, question, progress)))}});
}

Json answer_night_check(Session& session, const Json& question, const Progress& progress) {
    const Json empty =
        json_object({{"problems", Json::array()}, {"lines", Json::array()}, {"page", ""}, {"as_built", ""}});
    return complain(session, empty, [&](Json& answer) {
        const std::unique_ptr<AimNight> night = light_night(session, question, progress);
        const Site& site = night->site_file.site;
        const NightCheck check = check_night(
            *night,
            read_readings(question.at("readings").get<std::string>(),
                          path_in({}, value_of<std::string>(question, "readings_name", "readings.csv")),
                          list_fixture_ids(site), night->model->points()));
        answer["lines"] = print_night(check);
        answer["page"] = print_night_page(check, night->origin);
        answer["as_built"] = print_site(make_as_built(session.file().site, check.fits));
    });
}

} // namespace duskcast
