// The one-line diagram: each run from its transformer to its last lamp, not to scale.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/sheets/load_words.hpp"
#include "load_marks.hpp"

namespace duskcast {
namespace {

constexpr double first_joint = 250; ///< x of the first joint behind the transformer
constexpr double heading = 54;      ///< of a transformer, above its runs
constexpr double run_height = 190;
constexpr double bus = 66; ///< of a row, below its top
constexpr double least_gap = 84;
constexpr double most_gap = 150;

/// A lamp at a joint, by its lead where it has one.
struct Tap {
    const FixtureLoad* fixture = nullptr;
    const CableLoad* lead = nullptr;
};

/// A joint on the bus: lamps, or just where cables meet.
struct Stop {
    std::size_t joint = 0;
    std::vector<Tap> taps;
};

/// What a row shows: stops from left to right, and the stretch before each (none before the first).
struct Chain {
    std::vector<Stop> stops;
    std::vector<const CableLoad*> stretches;
    const CableLoad* home = nullptr;
    const CableLoad* back = nullptr; ///< of a loop
    std::size_t fed_at = 0;          ///< index of the stop that home joins
};

Tap find_tap(const RunLoad& run, const FixtureLoad& fixture) {
    for (const CableLoad& cable : run.cables)
        if (cable.part == CablePart::lead && cable.fixture == fixture.id)
            return {&fixture, &cable};
    return {&fixture, nullptr};
}

Chain make_chain(const LoadReport& report, const RunLoad& run) {
    Chain chain;
    std::size_t feed = 0;
    std::vector<const CableLoad*> ahead, behind;
    for (const CableLoad& cable : run.cables) {
        if (cable.part == CablePart::home) {
            chain.home = &cable;
            feed = cable.to;
        } else if (cable.part == CablePart::cable) {
            const bool turns_back = !ahead.empty() && cable.from == feed;
            if (cable.to == 0)
                chain.back = &cable;
            else
                (turns_back || !behind.empty() ? behind : ahead).push_back(&cable);
        }
    }
    for (auto cable = behind.rbegin(); cable != behind.rend(); ++cable) {
        chain.stops.push_back({(*cable)->to, {}});
        chain.stretches.push_back(chain.stops.size() > 1 ? *(cable - 1) : nullptr);
    }
    chain.fed_at = chain.stops.size();
    chain.stops.push_back({feed, {}});
    chain.stretches.push_back(behind.empty() ? nullptr : behind.front());
    for (const CableLoad* cable : ahead) {
        chain.stops.push_back({cable->to, {}});
        chain.stretches.push_back(cable);
    }
    for (const std::size_t i : run.fixtures) {
        const Tap tap = find_tap(run, report.fixtures[i]);
        const std::size_t joint = tap.lead != nullptr ? tap.lead->from : tap.fixture->joint;
        for (Stop& stop : chain.stops)
            if (stop.joint == joint)
                stop.taps.push_back(tap);
    }
    return chain;
}

/// A hub's lamps, and others at one joint, side by side: each a stop of its own.
struct Slot {
    std::size_t stop = 0;
    Tap tap;
};

std::vector<Slot> make_slots(const Chain& chain) {
    std::vector<Slot> slots;
    for (std::size_t i = 0; i < chain.stops.size(); ++i) {
        if (i == 0 && chain.home == nullptr && chain.stops[i].taps.empty())
            continue; // the transformer itself
        for (const Tap& tap : chain.stops[i].taps)
            slots.push_back({i, tap});
        if (chain.stops[i].taps.empty())
            slots.push_back({i, {}});
    }
    return slots;
}

class Diagram {
public:
    Diagram(const Site& site, const LoadReport& report, PictureFormat format)
        : site_(site), report_(report), canvas_(page_width, find_height(), format) {}

    DrawnPage draw() {
        draw_load_heading(canvas_, site_, report_, "one-line diagram");
        double top = load_heading_height;
        for (const TransformerLoad& transformer : report_.transformers)
            top = draw_transformer(transformer, top);
        draw_state_key(canvas_, {page_margin, top + 4});
        draw_load_note(canvas_, top + 34);
        return {canvas_.finish(), find_height(), canvas_.words()};
    }

private:
    static std::size_t per_row() {
        return static_cast<std::size_t>((page_width - page_margin - first_joint) / least_gap);
    }
    std::size_t rows_of(const RunLoad& run) const {
        const std::size_t slots = make_slots(make_chain(report_, run)).size();
        return std::max<std::size_t>(1, (slots + per_row() - 1) / per_row());
    }
    double find_height() const {
        double height = load_heading_height;
        for (const TransformerLoad& transformer : report_.transformers) {
            height += heading + 10;
            for (const RunLoad& run : report_.runs)
                if (run.transformer == transformer.id)
                    height += static_cast<double>(rows_of(run)) * run_height;
        }
        return height + 40 + load_note_height;
    }

    double draw_transformer(const TransformerLoad& transformer, double top) {
        const glm::dvec2 mark(page_margin + 24, top + 34);
        double y = top + heading;
        double last = mark.y;
        for (std::size_t i = 0; i < report_.runs.size(); ++i) {
            const RunLoad& run = report_.runs[i];
            if (run.transformer != transformer.id)
                continue;
            last = y + bus;
            y = draw_run(i, mark.x, y);
        }
        canvas_.line({mark, {mark.x, last}}, false, 3, text_ink);
        draw_transformer_mark(canvas_, mark, 48);
        canvas_.text(describe_transformer(transformer), {mark.x + 38, mark.y}, Anchor::left,
                     {.size = 16, .is_bold = true, .ink = text_ink});
        return y + 10;
    }

    double draw_run(std::size_t index, double from_x, double top) {
        const RunLoad& run = report_.runs[index];
        const Chain chain = make_chain(report_, run);
        const std::vector<Slot> slots = make_slots(chain);
        const std::size_t in_row = std::min(slots.size(), per_row());
        const double gap = std::clamp((page_width - page_margin - 40 - first_joint) /
                                          static_cast<double>(std::max<std::size_t>(1, in_row)),
                                      least_gap, most_gap);
        const Ink ink = run_ink(index);
        canvas_.text(describe_run(run, site_.units), {first_joint - 20, top + 14}, Anchor::left,
                     {.size = 15, .is_bold = true, .ink = ink});
        std::vector<glm::dvec2> places;
        for (std::size_t i = 0; i < slots.size(); ++i)
            places.emplace_back(first_joint + 40 + gap * static_cast<double>(i % per_row()),
                                top + bus + run_height * static_cast<double>(i / per_row()));
        canvas_.text(fmt::format("{} V tap", print_number(run.tap)), {from_x + 12, top + bus - 11},
                     Anchor::left, {.size = 13.5, .ink = ink});
        draw_bus(run, chain, slots, places, {from_x, top + bus}, ink);
        for (std::size_t i = 0; i < slots.size(); ++i)
            draw_slot(slots[i], places[i], ink);
        return top + run_height * static_cast<double>((slots.size() + per_row() - 1) / per_row());
    }

    void draw_stretch(const glm::dvec2& from, const glm::dvec2& to, const CableLoad* cable, const Ink& ink,
                      const std::vector<double>& dash = {}) {
        const bool wraps = to.y > from.y + 1;
        if (wraps) { // over to the next row
            const double turn = page_width - page_margin + 6, middle = to.y - bus + 4;
            canvas_.line(
                {from, {turn, from.y}, {turn, middle}, {first_joint, middle}, {first_joint, to.y}, to}, false,
                3, ink, dash);
        } else {
            canvas_.line({from, to}, false, 3, ink, dash);
        }
        if (cable == nullptr)
            return;
        const glm::dvec2 at = wraps ? glm::dvec2(to.x - least_gap / 2, to.y) : (from + to) / 2.0;
        canvas_.text(print_cable_length(cable->length, site_.units), at + glm::dvec2(0, -11), Anchor::middle,
                     {.size = 13, .ink = ink, .halo = 3});
    }

    void draw_bus(const RunLoad& run, const Chain& chain, const std::vector<Slot>& slots,
                  const std::vector<glm::dvec2>& places, const glm::dvec2& source, const Ink& ink) {
        if (slots.empty())
            return;
        for (std::size_t i = 1; i < slots.size(); ++i) {
            const bool is_new = slots[i].stop != slots[i - 1].stop;
            draw_stretch(places[i - 1], places[i], is_new ? chain.stretches[slots[i].stop] : nullptr, ink);
        }
        if (chain.home != nullptr) {
            std::size_t fed = 0;
            while (fed + 1 < slots.size() && slots[fed].stop != chain.fed_at)
                ++fed;
            if (const Hub* hub = find_hub_of(site_, run)) {
                const glm::dvec2 at = places[0] - glm::dvec2(54, 0);
                draw_stretch(source, at, nullptr, ink, {9, 5});
                canvas_.text(print_cable_length(chain.home->length, site_.units), at - glm::dvec2(12, 11),
                             Anchor::right, {.size = 13, .ink = ink, .halo = 3});
                canvas_.line({at, places[0]}, false, 3, ink);
                draw_hub_mark(canvas_, at, ink);
                canvas_.text(hub->id, at + glm::dvec2(0, 21), Anchor::middle,
                             {.size = 13.5, .is_bold = true, .ink = ink});
            } else if (fed == 0) {
                draw_stretch(source, places[0], chain.home, ink, {9, 5});
            } else { // over the row and down at the middle
                const double lift = 30;
                canvas_.line({source,
                              {first_joint - 10, source.y},
                              {first_joint - 10, source.y - lift},
                              {places[fed].x, source.y - lift},
                              places[fed]},
                             false, 3, ink, {9, 5});
                canvas_.text(print_cable_length(chain.home->length, site_.units) + " home run",
                             {(first_joint + places[fed].x) / 2, source.y - lift}, Anchor::middle,
                             {.size = 13, .ink = ink, .halo = 4});
            }
        } else {
            draw_stretch(source, places[0], chain.stretches[slots[0].stop], ink);
        }
        if (chain.back != nullptr) {
            const double low = places.back().y + run_height - bus - 8;
            canvas_.line({places.back(),
                          {places.back().x + 50, places.back().y},
                          {places.back().x + 50, low},
                          {source.x + 40, low},
                          {source.x + 40, source.y},
                          source},
                         false, 2, ink, {4, 4});
            canvas_.text(fmt::format("back to {}, {}", run.transformer,
                                     print_cable_length(chain.back->length, site_.units)),
                         {first_joint + 60, low}, Anchor::left, {.size = 13, .ink = ink, .halo = 4});
        }
    }

    void draw_slot(const Slot& slot, const glm::dvec2& place, const Ink& ink) {
        canvas_.fill_disk(place, 4, ink);
        if (slot.tap.fixture == nullptr)
            return;
        const FixtureLoad& fixture = *slot.tap.fixture;
        const Ink lamp_ink = state_ink(report_, fixture);
        const glm::dvec2 lamp = place + glm::dvec2(0, 32);
        canvas_.line({place, lamp}, false, 1.5, ink);
        canvas_.text(slot.tap.lead != nullptr ? print_cable_length(slot.tap.lead->length, site_.units)
                                              : "no lead",
                     place + glm::dvec2(6, 13), Anchor::left, {.size = 11.5, .ink = quiet_ink});
        draw_lamp_mark(canvas_, lamp, 9, lamp_ink);
        canvas_.text(fixture.id, lamp + glm::dvec2(0, 21), Anchor::middle,
                     {.size = 13.5, .is_bold = true, .ink = text_ink});
        canvas_.text(print_volts(report_, fixture), lamp + glm::dvec2(0, 39), Anchor::middle,
                     {.size = 13.5, .is_bold = true, .ink = lamp_ink});
        const bool is_found = report_.runs[fixture.run].is_found;
        canvas_.text(is_found ? fmt::format("{:.1f} W {:.2f} A", fixture.watts, fixture.amps)
                              : fmt::format("{:.1f} W", fixture.asked_watts),
                     lamp + glm::dvec2(0, 56), Anchor::middle, {.size = 12, .ink = quiet_ink});
    }

    const Site& site_;
    const LoadReport& report_;
    Canvas canvas_;
};

} // namespace

DrawnPage make_one_line(const Site& site, const LoadReport& report, PictureFormat format) {
    return Diagram(site, report, format).draw();
}

std::string draw_one_line(const Site& site, const LoadReport& report, PictureFormat format) {
    return make_one_line(site, report, format).bytes;
}

} // namespace duskcast
