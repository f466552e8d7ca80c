#include "duskcast/sheets/view_words.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "duskcast/base/units.hpp"

namespace duskcast {

namespace {

constexpr double least_lens_luminance = 1; ///< cd/m2; fainter lenses are not worth a line

/// From which of several views each target stands out, arriving and leaving.
void add_sides(const std::vector<ViewResult>& results, std::vector<std::string>& lines) {
    for (std::size_t i = 0; i < results.front().report.targets.size(); ++i) {
        std::string stands_out, does_not;
        for (const ViewResult& result : results) {
            std::string& list = result.report.targets[i].is_recognisable() ? stands_out : does_not;
            list += (list.empty() ? "" : ", ") + result.report.view;
        }
        std::string said;
        if (does_not.empty())
            said = fmt::format("stands out from every side ({})", stands_out);
        else if (stands_out.empty())
            said = fmt::format("stands out from no side ({})", does_not);
        else
            said = fmt::format("stands out from {}, but not from {}", stands_out, does_not);
        lines.push_back(fmt::format("target {}: {}", results.front().report.targets[i].target, said));
    }
}

} // namespace

std::string print_seen_target(const SeenTarget& seen) {
    if (seen.pixels == 0)
        return "not in sight";
    return fmt::format("{} cd/m2, {} : 1 against its surroundings: {}", print_number(seen.luminance),
                       print_number(seen.contrast),
                       seen.is_focal()          ? "a focal point"
                       : seen.is_recognisable() ? "stands out"
                                                : "does not stand out");
}

std::vector<std::string> print_views(const std::vector<ViewResult>& results) {
    std::vector<std::string> lines;
    for (const ViewResult& result : results) {
        const ViewReport& report = result.report;
        lines.push_back(fmt::format("view {}: mean {} cd/m2, brightest surface {} cd/m2", report.view,
                                    print_number(report.mean), print_number(report.max)));
        for (const SeenTarget& target : report.targets)
            lines.push_back(fmt::format("  target {}: {}", target.target, print_seen_target(target)));
        for (const VisibleLens& lens : report.lenses)
            if (lens.luminance >= least_lens_luminance)
                lines.push_back(fmt::format("  the lens of {} is visible, at {} cd/m2", lens.fixture,
                                            print_number(lens.luminance)));
        for (const std::string& file : result.files)
            lines.push_back(fmt::format("  wrote {}", file));
    }
    if (results.size() > 1)
        add_sides(results, lines);
    return lines;
}

std::string print_views_json(const std::vector<ViewResult>& results) {
    using ViewJson = nlohmann::ordered_json;
    ViewJson rows = ViewJson::array();
    for (const ViewResult& result : results) {
        const ViewReport& report = result.report;
        ViewJson targets = ViewJson::array(), lenses = ViewJson::array();
        for (const SeenTarget& target : report.targets)
            targets.push_back({{"id", target.target},
                               {"pixels", target.pixels},
                               {"mean_cd_m2", target.luminance},
                               {"surroundings_cd_m2", target.surroundings},
                               {"contrast", target.contrast},
                               {"recognisable", target.is_recognisable()},
                               {"focal", target.is_focal()},
                               {"in_words", print_seen_target(target)}});
        for (const VisibleLens& lens : report.lenses)
            lenses.push_back({{"id", lens.fixture}, {"cd_m2", lens.luminance}, {"eye_lx", lens.eye_lx}});
        rows.push_back({{"id", report.view},
                        {"width", report.width},
                        {"height", report.height},
                        {"exposure_stops", result.stops},
                        {"mean_cd_m2", report.mean},
                        {"max_cd_m2", report.max},
                        {"targets", targets},
                        {"lenses_seen", lenses},
                        {"files", result.files}});
    }
    // Paths need not be UTF-8.
    return rows.dump(2, ' ', false, ViewJson::error_handler_t::replace) + "\n";
}

} // namespace duskcast
