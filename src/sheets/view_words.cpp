#include "duskcast/sheets/view_words.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "duskcast/base/json_object.hpp"
#include "duskcast/base/units.hpp"
#include "duskcast/sheets/report_words.hpp"

namespace duskcast {

namespace {

constexpr double least_lens_luminance = 1; ///< cd/m2; fainter lenses are not worth a line

bool stands_out_in(const ViewResult& result, std::size_t target) {
    return result.features[target].sighting == Sighting::lit &&
           result.report.targets[target].is_recognisable();
}

/// From which of several views each target stands out, arriving and leaving.
void add_sides(const std::vector<ViewResult>& results, std::vector<std::string>& lines) {
    for (std::size_t i = 0; i < results.front().report.targets.size(); ++i) {
        std::string stands_out, does_not;
        for (const ViewResult& result : results) {
            std::string& list = stands_out_in(result, i) ? stands_out : does_not;
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

/// Heights are those of the main stretch.
nlohmann::ordered_json print_feature(const SeenFeature& feature) {
    const auto end_of = [](const LitStretches& lit) {
        return lit.is_any() ? nlohmann::ordered_json(lit.main.to) : nlohmann::ordered_json(nullptr);
    };
    nlohmann::ordered_json row = json_object({{"sighting", name_of(feature.sighting)}});
    if (feature.is_upright) {
        row["lit_to_m"] = end_of(feature.lit);
        row["faint_to_m"] = end_of(feature.faint);
    }
    row["lit_from_cd_m2"] = feature.needed;
    return row;
}

/// Nobody says "0.04 : 1".
std::string print_contrast(double contrast) {
    const std::string times = print_number(contrast < 1 ? 1 / contrast : contrast);
    return contrast < 1 && times != "1" ? fmt::format("1 : {} against brighter surroundings", times)
                                        : fmt::format("{} : 1 against its surroundings", times);
}

} // namespace

std::string print_seen_target(const SeenTarget& seen, const SeenFeature& feature, LengthUnit unit) {
    const std::string reads = print_sighting(feature, unit);
    if (!feature.is_seen() || seen.pixels == 0 || !(seen.contrast > 0))
        return reads;
    return fmt::format("{}; {} cd/m2, {}{}", reads, print_number(seen.luminance),
                       print_contrast(seen.contrast),
                       feature.sighting != Sighting::lit ? ""
                       : seen.is_focal()                 ? ": a focal point"
                       : seen.is_recognisable()          ? ": stands out"
                                                         : ": does not stand out");
}

void add_seen(const Site& site, const ViewResult& result, std::vector<std::string>& lines) {
    const ViewReport& report = result.report;
    for (std::size_t i = 0; i < result.features.size(); ++i) {
        const SeenFeature& feature = result.features[i];
        lines.push_back(fmt::format("  {} {}: {}", feature.is_tree ? "tree" : "target", feature.feature,
                                    feature.is_tree
                                        ? print_sighting(feature, site.units)
                                        : print_seen_target(report.targets[i], feature, site.units)));
    }
    for (const VisibleLens& lens : report.lenses)
        if (lens.luminance >= least_lens_luminance)
            lines.push_back(fmt::format("  the lens of {} is visible, at {} cd/m2", lens.fixture,
                                        print_number(lens.luminance)));
    for (const std::string& file : result.files)
        lines.push_back(fmt::format("  wrote {}", file));
}

std::vector<std::string> print_views(const Site& site, const std::vector<ViewResult>& results,
                                     double lit_luminance) {
    std::vector<std::string> lines;
    bool has_features = false;
    std::vector<ViewResult> of_variant;
    for (std::size_t i = 0; i < results.size(); ++i) {
        const ViewReport& report = results[i].report;
        if (of_variant.empty() && !results[i].variant.empty())
            lines.push_back(fmt::format("as variant {} has it:", results[i].variant));
        lines.push_back(fmt::format("view {}: mean {} cd/m2, brightest surface {} cd/m2", report.view,
                                    print_number(report.mean), print_number(report.max)));
        add_seen(site, results[i], lines);
        has_features = has_features || !results[i].features.empty();
        of_variant.push_back(results[i]);
        if (i + 1 < results.size() && results[i + 1].variant == results[i].variant)
            continue;
        if (of_variant.size() > 1)
            add_sides(of_variant, lines);
        of_variant.clear();
    }
    if (has_features)
        lines.push_back(print_lit_rule(lit_luminance, site.light));
    return lines;
}

std::string print_views_json(const Site& site, const std::vector<ViewResult>& results) {
    using ViewJson = nlohmann::ordered_json;
    ViewJson rows = ViewJson::array();
    for (const ViewResult& result : results) {
        const ViewReport& report = result.report;
        ViewJson targets = ViewJson::array(), trees = ViewJson::array(), lenses = ViewJson::array();
        for (std::size_t i = 0; i < result.features.size(); ++i) {
            const SeenFeature& feature = result.features[i];
            if (feature.is_tree) {
                trees.push_back(json_object({{"id", feature.feature}}));
                trees.back().update(print_feature(feature));
                trees.back()["in_words"] = print_sighting(feature, site.units);
                continue;
            }
            const SeenTarget& target = report.targets[i];
            targets.push_back(json_object({{"id", target.target},
                                           {"pixels", target.pixels},
                                           {"mean_cd_m2", target.luminance},
                                           {"surroundings_cd_m2", target.surroundings},
                                           {"contrast", target.contrast},
                                           {"recognisable", target.is_recognisable()},
                                           {"focal", target.is_focal()}}));
            targets.back().update(print_feature(feature));
            targets.back()["in_words"] = print_seen_target(target, feature, site.units);
        }
        for (const VisibleLens& lens : report.lenses)
            lenses.push_back(
                json_object({{"id", lens.fixture}, {"cd_m2", lens.luminance}, {"eye_lx", lens.eye_lx}}));
        rows.push_back(json_object({{"id", report.view},
                                    {"width", report.width},
                                    {"height", report.height},
                                    {"exposure_stops", result.stops},
                                    {"mean_cd_m2", report.mean},
                                    {"max_cd_m2", report.max},
                                    {"targets", targets},
                                    {"trees", trees},
                                    {"lenses_seen", lenses},
                                    {"files", result.files}}));
        if (!result.variant.empty())
            rows.back()["variant"] = result.variant;
    }
    // Paths need not be UTF-8.
    return rows.dump(2, ' ', false, ViewJson::error_handler_t::replace) + "\n";
}

} // namespace duskcast
