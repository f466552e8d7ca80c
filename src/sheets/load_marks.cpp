#include "load_marks.hpp"

#include <cmath>
#include <fmt/format.h>

#include "duskcast/sheets/load_words.hpp"

namespace duskcast {
namespace {

constexpr Ink good_ink{{0.13, 0.50, 0.33}, 1};
constexpr Ink low_ink{{0.80, 0.42, 0.05}, 1};
constexpr Ink high_ink{{0.73, 0.15, 0.20}, 1};
constexpr Ink unknown_ink{{0.45, 0.46, 0.50}, 1};
constexpr Ink white_ink{{1, 1, 1}, 1};

} // namespace

Ink run_ink(std::size_t run) {
    static constexpr Ink inks[] = {{{0.12, 0.35, 0.65}, 1}, {{0.60, 0.25, 0.50}, 1}, {{0.05, 0.48, 0.50}, 1},
                                   {{0.55, 0.36, 0.12}, 1}, {{0.32, 0.30, 0.62}, 1}, {{0.38, 0.45, 0.12}, 1}};
    return inks[run % std::size(inks)];
}

Ink state_ink(const LoadReport& report, const FixtureLoad& fixture) {
    if (!report.runs[fixture.run].is_found)
        return unknown_ink;
    switch (fixture.state) {
    case VoltageState::low:
        return low_ink;
    case VoltageState::good:
        return good_ink;
    case VoltageState::high:
        return high_ink;
    }
    return unknown_ink;
}

std::string print_volts(const LoadReport& report, const FixtureLoad& fixture) {
    return report.runs[fixture.run].is_found ? fmt::format("{:.2f} V", fixture.volts) : "no volts";
}

void draw_load_heading(Canvas& canvas, const Site& site, const LoadReport& report, const std::string& title) {
    canvas.text(site.name.empty() ? title : fmt::format("{}: {}", site.name, title), {page_margin, 46},
                Anchor::left, {.size = 28, .is_bold = true, .ink = text_ink});
    canvas.text(fmt::format("{}. Both conductors counted.", print_wire_choice(report.choice.wire)),
                {page_margin, 80}, Anchor::left, {.size = 16, .ink = quiet_ink});
    canvas.text(print_load_figures(report), {page_width - page_margin, 80}, Anchor::right,
                {.size = 16, .is_bold = true, .ink = text_ink});
}

void draw_transformer_mark(Canvas& canvas, const glm::dvec2& at, double size) {
    const Box box{at.x - size / 2, at.y - size / 2, at.x + size / 2, at.y + size / 2};
    canvas.fill(box, white_ink);
    canvas.line({{box.left, box.top}, {box.right, box.top}, {box.right, box.bottom}, {box.left, box.bottom}},
                true, 2, text_ink);
    const double radius = size / 5; // two windings
    canvas.circle(at - glm::dvec2(radius * 0.7, 0), radius, 1.6, text_ink);
    canvas.circle(at + glm::dvec2(radius * 0.7, 0), radius, 1.6, text_ink);
}

void draw_hub_mark(Canvas& canvas, const glm::dvec2& at, const Ink& ink) {
    const Box box{at.x - 8, at.y - 8, at.x + 8, at.y + 8};
    canvas.fill(box, white_ink);
    canvas.line({{box.left, box.top}, {box.right, box.top}, {box.right, box.bottom}, {box.left, box.bottom}},
                true, 2.4, ink);
    canvas.fill_disk(at, 3, ink);
}

const Hub* find_hub_of(const Site& site, const RunLoad& run) {
    if (!site.network || run.layout != RunLayout::hub)
        return nullptr;
    for (const CableRun& drawn : site.network->runs)
        if (drawn.id == run.id)
            return find_hub(*site.network, drawn.hub);
    return nullptr;
}

void draw_lamp_mark(Canvas& canvas, const glm::dvec2& at, double radius, const Ink& ink) {
    canvas.fill_disk(at, radius, white_ink);
    canvas.circle(at, radius, 2, ink);
    const double reach = radius * std::sqrt(0.5);
    canvas.line({at - glm::dvec2(reach), at + glm::dvec2(reach)}, false, 1.6, ink);
    canvas.line({at + glm::dvec2(-reach, reach), at + glm::dvec2(reach, -reach)}, false, 1.6, ink);
}

std::string describe_transformer(const TransformerLoad& transformer) {
    return fmt::format("{}, {} VA: {} VA, {}", transformer.id, print_number(transformer.rating),
                       print_number(transformer.volt_amperes), print_share(transformer.share()));
}

std::string describe_run(const RunLoad& run, LengthUnit unit) {
    const std::string laid = fmt::format("{}: {} of {} AWG, {}, tap {} V, {} lamps", run.id,
                                         print_cable_length(run.cable_length, unit), run.gauge,
                                         name_of(run.layout), print_number(run.tap), run.fixtures.size());
    if (!run.is_found)
        return fmt::format("{}; no operating point, bears {} of {} W", laid, print_share(run.bearable_share),
                           print_number(run.asked_watts));
    return fmt::format("{}; {:.2f} A, {:.1f} W, drop {:.2f} V", laid, run.amps, run.watts, run.drop());
}

void draw_state_key(Canvas& canvas, const glm::dvec2& at) {
    double x = at.x;
    const TextStyle style{.size = 14, .ink = quiet_ink};
    for (const auto& [ink, words] :
         {std::pair(good_ink, "within its operating range"), std::pair(low_ink, "below"),
          std::pair(high_ink, "above"), std::pair(unknown_ink, "no operating point")}) {
        draw_lamp_mark(canvas, {x + 8, at.y}, 7, ink);
        x = canvas.text(words, {x + 22, at.y}, Anchor::left, style).right + 26;
    }
}

double draw_load_note(Canvas& canvas, double top) {
    canvas.line({{page_margin, top}, {page_width - page_margin, top}}, false, 1, hairline_ink);
    canvas.paragraph(
        "Estimates for a plan; lamps, splices and soil differ. The line-voltage side is work for a "
        "licensed electrician. Have buried lines marked before digging. Local code decides.",
        {page_margin, top + 12}, page_width - 2 * page_margin, {.size = 14, .ink = quiet_ink});
    return load_note_height;
}

} // namespace duskcast
