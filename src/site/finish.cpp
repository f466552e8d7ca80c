#include "duskcast/site/finish.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <iterator>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"
#include "names.hpp"

namespace duskcast {
namespace {

constexpr const char* handbook = "IES Lighting Handbook 9th ed., from memory";
constexpr const char* working = "working default";
constexpr const char* clm5 = "CLM5 technical note";

/// The tint scaled to the visible reflectance wanted (weights of IEC 61966-2-1, linear sRGB to Y).
glm::dvec3 scale_to(double reflectance, const glm::dvec3& tint) {
    return tint * (reflectance / glm::dot(tint, glm::dvec3(0.2126, 0.7152, 0.0722)));
}

bool has_all_words(const std::string& name, const std::string& of) {
    const std::vector<std::string> words = split(name, ' '), asked = split(of, ' ');
    return std::all_of(asked.begin(), asked.end(), [&](const std::string& word) {
        return std::find(words.begin(), words.end(), word) != words.end();
    });
}

/// `known` are the names of a table; the message names the nearest, or all of them.
[[noreturn]] void refuse_name(const std::string& kind, const std::string& name,
                              const std::vector<std::string>& known) {
    Problem problem;
    problem.what = fmt::format("there is no {} called \"{}\"", kind, name);
    std::vector<std::string> alike; // "brick red common" for "red brick", before "bark red" for "brick red"
    std::copy_if(known.begin(), known.end(), std::back_inserter(alike),
                 [&](const std::string& one) { return has_all_words(one, name); });
    const std::string nearest = find_nearest_word(name, known);
    problem.remedy = !alike.empty()    ? fmt::format("did you mean \"{}\"?", fmt::join(alike, "\" or \""))
                     : nearest.empty() ? fmt::format("known are {}", fmt::join(known, ", "))
                                       : fmt::format("did you mean \"{}\"?", nearest);
    throw InputError(problem);
}

template <class Row>
const Row& find_row(const std::vector<Row>& table, const std::string& kind, const std::string& name) {
    std::vector<std::string> known;
    for (const Row& row : table) {
        if (row.name == name)
            return row;
        known.push_back(row.name);
    }
    refuse_name(kind, name, known);
}

} // namespace

const std::vector<FinishRow>& finish_table() {
    // The tints are hues judged by eye, not measured; only the luminance is a datum.
    static constexpr struct {
        const char* name;
        double reflectance;
        std::array<double, 3> tint;
        const char* source;
    } known[] = {
        {"brick red common", 0.20, {2.1, 0.75, 0.50}, working},
        {"brick red glazed", 0.30, {2.0, 0.75, 0.60}, handbook},
        {"brick buff light", 0.48, {1.30, 0.96, 0.60}, handbook},
        {"brick buff dark", 0.40, {1.40, 0.94, 0.52}, handbook},
        {"bluestone", 0.18, {0.90, 1.00, 1.20}, handbook},
        {"sandstone", 0.18, {1.35, 0.95, 0.62}, handbook},
        {"limestone pale", 0.45, {1.12, 0.99, 0.80}, working},
        {"marble white", 0.45, {1.02, 1.00, 0.97}, handbook},
        {"cement", 0.27, {1.02, 1.00, 0.94}, handbook},
        {"concrete", 0.40, {1.02, 1.00, 0.95}, handbook},
        {"paint white new", 0.75, {1.01, 1.00, 0.97}, handbook},
        {"paint white old", 0.55, {1.05, 1.00, 0.88}, handbook},
        {"stucco white", 0.70, {1.02, 1.00, 0.94}, working},
        {"stucco cream", 0.55, {1.16, 0.99, 0.66}, working},
        {"stucco tan", 0.40, {1.30, 0.96, 0.60}, working},
        {"siding white", 0.75, {1.01, 1.00, 0.98}, working},
        {"siding beige", 0.55, {1.18, 0.98, 0.70}, working},
        {"siding grey-blue", 0.30, {0.78, 1.02, 1.40}, working},
        {"timber weathered", 0.30, {1.08, 1.00, 0.86}, working},
        {"timber cedar", 0.30, {1.65, 0.88, 0.42}, working},
        {"timber dark stain", 0.10, {1.70, 0.86, 0.45}, working},
        {"glass", 0.08, {0.96, 1.01, 1.03}, "two faces at normal incidence, n = 1.52 (Fresnel)"},
        {"asphalt", 0.07, {1.00, 1.00, 1.02}, handbook},
        {"macadam", 0.18, {1.02, 1.00, 0.96}, handbook},
        {"gravel", 0.13, {1.10, 0.99, 0.82}, handbook},
        {"slate dark", 0.08, {0.92, 1.00, 1.18}, handbook},
        {"shingle grey", 0.13, {1.00, 1.00, 1.02}, working},
        {"shingle brown", 0.11, {1.35, 0.95, 0.68}, working},
        {"roof metal", 0.25, {0.97, 1.00, 1.06}, working},
        {"roof tile", 0.22, {1.75, 0.82, 0.55}, working},
        {"soil moist", 0.07, {1.50, 0.90, 0.52}, handbook},
        {"grass", 0.06, {0.68, 1.16, 0.36}, handbook},
        {"mulch bark", 0.08, {1.60, 0.88, 0.45}, working},
        {"mulch chips", 0.20, {1.40, 0.94, 0.50}, working},
        {"bark", 0.16, {1.22, 0.97, 0.68}, clm5},
        {"bark grey", 0.22, {1.06, 1.00, 0.90}, working},
        {"bark white", 0.50, {1.05, 1.00, 0.90}, working},
        {"bark dark", 0.09, {1.30, 0.95, 0.72}, working},
        {"bark red", 0.13, {1.75, 0.84, 0.52}, working},
        {"water", 0.04, {0.80, 1.03, 1.28}, working},
        {"snow new", 0.74, {0.99, 1.00, 1.02}, handbook},
        {"snow old", 0.64, {1.01, 1.00, 0.99}, handbook},
    };
    static const std::vector<FinishRow> table = [] {
        std::vector<FinishRow> made;
        for (const auto& [name, reflectance, tint, source] : known)
            made.push_back({name, scale_to(reflectance, {tint[0], tint[1], tint[2]}), source});
        return made;
    }();
    return table;
}

Finish make_finish(const std::string& name) {
    const FinishRow& row = find_row(finish_table(), "finish", name);
    return {row.name, row.reflectance};
}

Finish trim_of(const Opening& opening) {
    return opening.trim ? *opening.trim : make_finish(default_soffit_finish);
}

Finish finish_of(GroundKind kind) {
    switch (kind) {
    case GroundKind::lawn:
        return make_finish("grass");
    case GroundKind::bed:
        return make_finish("soil moist");
    case GroundKind::paving:
        return make_finish("concrete");
    case GroundKind::mulch:
        return make_finish("mulch bark");
    case GroundKind::water:
        return make_finish("water");
    }
    return {};
}

Finish finish_of(RoofCover cover) {
    switch (cover) {
    case RoofCover::shingle:
        return make_finish("shingle grey");
    case RoofCover::slate:
        return make_finish("slate dark");
    case RoofCover::metal:
        return make_finish("roof metal");
    case RoofCover::tile:
        return make_finish("roof tile");
    }
    return {};
}

const std::vector<LeafColour>& leaf_colours() {
    static const std::vector<LeafColour> table = {
        {LeafKind::green, scale_to(0.10, {0.70, 1.15, 0.38}), scale_to(0.05, {0.60, 1.20, 0.20}), clm5},
        {LeafKind::purple, scale_to(0.06, {2.20, 0.66, 0.84}), scale_to(0.03, {2.90, 0.50, 0.36}), working},
        {LeafKind::yellow_green, scale_to(0.15, {0.96, 1.08, 0.30}), scale_to(0.10, {0.94, 1.10, 0.18}),
         working},
        // What is left of a crown in winter. Their transmittance, 0.001, is taken as none.
        {LeafKind::twigs, make_finish("bark").reflectance, glm::dvec3(0), clm5},
        {LeafKind::dark_green, scale_to(0.07, {0.66, 1.16, 0.42}), scale_to(0.05, {0.60, 1.20, 0.20}),
         "CLM5 technical note, needles, from memory"},
        {LeafKind::blue_green, scale_to(0.12, {0.72, 1.06, 1.10}), scale_to(0.05, {0.60, 1.15, 0.60}),
         working},
        {LeafKind::grey_green, scale_to(0.16, {0.92, 1.04, 0.76}), scale_to(0.05, {0.75, 1.12, 0.40}),
         working},
        {LeafKind::red, scale_to(0.10, {3.20, 0.40, 0.50}), scale_to(0.05, {3.60, 0.30, 0.20}), working},
        {LeafKind::orange, scale_to(0.18, {2.10, 0.74, 0.14}), scale_to(0.12, {2.30, 0.70, 0.08}), working},
        {LeafKind::yellow, scale_to(0.35, {1.33, 0.98, 0.16}), scale_to(0.20, {1.36, 0.98, 0.10}), working},
        {LeafKind::white, scale_to(0.55, {1.02, 1.00, 0.94}), scale_to(0.20, {1.05, 1.00, 0.85}), working},
        {LeafKind::pink, scale_to(0.35, {1.55, 0.83, 1.02}), scale_to(0.18, {1.75, 0.78, 0.92}), working},
        {LeafKind::violet, scale_to(0.15, {1.30, 0.76, 2.40}), scale_to(0.08, {1.40, 0.72, 2.50}), working},
        {LeafKind::blue, scale_to(0.15, {0.72, 0.92, 2.60}), scale_to(0.08, {0.65, 0.92, 2.80}), working},
    };
    return table;
}

const LeafColour& leaf_colour(LeafKind kind) {
    const std::vector<LeafColour>& table = leaf_colours();
    return *std::find_if(table.begin(), table.end(), [&](const LeafColour& one) { return one.kind == kind; });
}

} // namespace duskcast
