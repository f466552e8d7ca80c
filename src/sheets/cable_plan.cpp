// The plan with its cable runs.

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <utility>

#include "duskcast/draw/labels.hpp"
#include "duskcast/sheets/load_words.hpp"
#include "duskcast/site/fountain_plan.hpp"
#include "duskcast/site/layout.hpp"
#include "duskcast/site/roof_plan.hpp"
#include "load_marks.hpp"
#include "plan_inks.hpp"

namespace duskcast {
namespace {

constexpr double most_plan_height = 1500; ///< of the plan, pixels
constexpr double margin = 2.5;            ///< metres round everything
constexpr double key_line_height = 26;

class Plan {
public:
    Plan(const Site& site, const LoadReport& report, PictureFormat format)
        : site_(site), report_(report), frame_(find_frame()), canvas_(page_width, page_height(), format) {}

    DrawnPage draw() {
        draw_load_heading(canvas_, site_, report_, "cable plan");
        canvas_.fill(box_, ground_ink(site_.ground.base));
        draw_ground();
        draw_cables();
        for (std::size_t i = 0; i < report_.runs.size(); ++i)
            if (const Hub* hub = find_hub_of(site_, report_.runs[i]))
                draw_hub_mark(canvas_, at(hub->at), run_ink(i));
        for (const FixtureLoad& fixture : report_.fixtures)
            draw_lamp_mark(canvas_, at(fixture.light), lamp_radius, state_ink(report_, fixture));
        for (const TransformerLoad& transformer : report_.transformers)
            draw_transformer_mark(canvas_, at(transformer.at), 26);
        draw_labels();
        canvas_.line({{box_.left, box_.top},
                      {box_.right, box_.top},
                      {box_.right, box_.bottom},
                      {box_.left, box_.bottom}},
                     true, 1.2, text_ink);
        draw_key();
        draw_load_note(canvas_, key_top() + key_height());
        return {canvas_.finish(), page_height(), canvas_.words()};
    }

private:
    static constexpr double lamp_radius = 8;

    struct Frame {
        glm::dvec2 low{0}, high{0};
    };

    Frame find_frame() {
        std::pair<glm::dvec2, glm::dvec2> bounds = plan_bounds(site_);
        glm::dvec2& low = bounds.first;
        glm::dvec2& high = bounds.second;
        const auto include = [&](const glm::dvec2& point) {
            low = glm::min(low, point);
            high = glm::max(high, point);
        };
        for (const TransformerLoad& transformer : report_.transformers)
            include(transformer.at);
        for (const RunLoad& run : report_.runs)
            for (const CableLoad& cable : run.cables)
                for (const glm::dvec2& point : cable.course)
                    include(point);
        low -= margin;
        high += margin;
        const double room = page_width - 2 * page_margin;
        // A deep lot lies on its side: north then points left.
        is_turned_ = (high.y - low.y) > 1.15 * (high.x - low.x);
        const double across = is_turned_ ? high.y - low.y : high.x - low.x;
        const double down = is_turned_ ? high.x - low.x : high.y - low.y;
        scale_ = std::min(room / across, most_plan_height / down);
        const double left = page_margin + (room - across * scale_) / 2;
        box_ = {left, load_heading_height, left + across * scale_, load_heading_height + down * scale_};
        return {low, high};
    }

    glm::dvec2 at(const glm::dvec2& point) const {
        if (is_turned_) // y runs to the left, x upwards
            return {box_.left + (frame_.high.y - point.y) * scale_,
                    box_.bottom - (point.x - frame_.low.x) * scale_};
        return {box_.left + (point.x - frame_.low.x) * scale_,
                box_.bottom - (point.y - frame_.low.y) * scale_};
    }
    std::vector<glm::dvec2> at(const std::vector<glm::dvec2>& points) const {
        std::vector<glm::dvec2> placed;
        for (const glm::dvec2& point : points)
            placed.push_back(at(point));
        return placed;
    }

    void draw_ground() {
        for (const GroundArea& area : site_.ground.areas) {
            canvas_.fill(at(area.outline), ground_ink(area.kind));
            canvas_.line(at(area.outline), true, 1, hairline_ink);
        }
        for (const Fountain& fountain : site_.fountains)
            draw_plan_fountain(canvas_, site_, fountain, at(fountain.at), scale_);
        for (const Shrub& shrub : site_.shrubs) {
            if (shrub.outline.empty())
                canvas_.line(at(shrub.path), false, std::max(2.0, shrub.width * scale_),
                             {crown_ink.colour, 0.25});
            else
                canvas_.line(at(shrub.outline), true, 1.2, crown_ink, {3, 3});
        }
        for (const Tree& tree : site_.trees) {
            canvas_.circle(at(tree.at), tree.width / 2 * scale_, 1.4, crown_ink, {6, 5});
            canvas_.fill_disk(at(tree.at), std::max(3.0, trunk_diameter(tree) / 2 * scale_), crown_ink);
        }
        draw_plan_bodies(canvas_, site_, [&](const std::vector<glm::dvec2>& outline) { return at(outline); });
        for (const std::vector<glm::dvec2>& house : list_house_footprints(site_))
            canvas_.fill(at(house), plan_house_ink);
        for (const Wall& wall : site_.walls) {
            if (wall.closed)
                canvas_.fill(at(wall.path), plan_house_ink);
            canvas_.line(at(wall.path), wall.closed, 4, plan_wall_ink);
        }
    }

    void draw_cables() {
        for (std::size_t i = 0; i < report_.runs.size(); ++i)
            for (const CableLoad& cable : report_.runs[i].cables) {
                const std::vector<glm::dvec2> line = at(cable.course);
                const bool is_lead = cable.part == CablePart::lead;
                if (!is_lead)
                    canvas_.line(line, false, 6, {plan_paper_ink.colour, 0.85});
                canvas_.line(line, false, is_lead ? 1.4 : 3, run_ink(i),
                             cable.part == CablePart::home ? std::vector<double>{9, 5}
                                                           : std::vector<double>{});
            }
    }

    static Box box_at(const glm::dvec2& middle, const glm::dvec2& size) {
        return {middle.x - size.x / 2, middle.y - size.y / 2, middle.x + size.x / 2, middle.y + size.y / 2};
    }

    /// Beside a mark, or at the end of a leader where that is crowded.
    void add_beside(const std::string& words, const glm::dvec2& mark, double radius, const TextStyle& style) {
        static const std::vector<glm::dvec2> ways = {{0, -1},    {0, 1},      {1, 0},    {-1, 0},
                                                     {0.75, -1}, {-0.75, -1}, {0.75, 1}, {-0.75, 1}};
        const glm::dvec2 size = measure_text(words, style) + glm::dvec2(12, 2);
        if (const auto label = label_mark(mark, radius, size, box_, ways, space_)) {
            if (!label->leader.empty())
                canvas_.line(label->leader, false, 1, style.ink);
            canvas_.text(words, label->box.middle(), Anchor::middle, style);
        }
    }

    void draw_labels() {
        for (const FixtureLoad& fixture : report_.fixtures)
            space_.take(box_at(at(fixture.light), glm::dvec2(2 * lamp_radius + 2)));
        for (const TransformerLoad& transformer : report_.transformers)
            space_.take(box_at(at(transformer.at), glm::dvec2(30)));
        for (const RunLoad& run : report_.runs)
            if (const Hub* hub = find_hub_of(site_, run))
                space_.take(box_at(at(hub->at), glm::dvec2(20)));
        for (const RunLoad& run : report_.runs) // words keep off the cables where they can
            for (const CableLoad& cable : run.cables)
                for (const glm::dvec2& point : walk_line(at(cable.course), 6))
                    if (cable.part != CablePart::lead)
                        space_.take(box_at(point, glm::dvec2(6)));
        for (const TransformerLoad& transformer : report_.transformers)
            add_beside(describe_transformer(transformer), at(transformer.at), 15, style(15, true, text_ink));
        for (const FixtureLoad& fixture : report_.fixtures)
            add_beside(fmt::format("{} {}", fixture.id, print_volts(report_, fixture)), at(fixture.light),
                       lamp_radius, style(13.5, true, state_ink(report_, fixture)));
        for (std::size_t i = 0; i < report_.runs.size(); ++i) {
            if (const Hub* hub = find_hub_of(site_, report_.runs[i]))
                add_beside(hub->id, at(hub->at), 9, style(13.5, true, run_ink(i)));
            draw_lengths(i);
        }
        for (const Wall& wall : site_.walls) {
            const glm::dvec2 middle = std::accumulate(wall.path.begin(), wall.path.end(), glm::dvec2(0)) /
                                      static_cast<double>(std::max<std::size_t>(1, wall.path.size()));
            add_beside(wall.id, at(middle), 0, style(15, false, quiet_ink));
        }
        for (const Water& water : list_waters(site_))
            add_beside(water.id,
                       at(std::accumulate(water.outline.begin(), water.outline.end(), glm::dvec2(0)) /
                          static_cast<double>(water.outline.size())),
                       0, style(14, false, quiet_ink));
        for (const Tree& tree : site_.trees)
            add_beside(tree.id, at(tree.at), 4, style(13, false, crown_ink));
    }

    static TextStyle style(double size, bool is_bold, const Ink& ink) {
        return {.size = size, .is_bold = is_bold, .ink = ink, .halo = 3};
    }

    /// The length of each stretch, beside its longest straight piece.
    void draw_lengths(std::size_t index) {
        for (const CableLoad& cable : report_.runs[index].cables) {
            const std::vector<glm::dvec2> line = at(cable.course);
            if (cable.part == CablePart::lead || line.size() < 2)
                continue;
            std::size_t longest = 0;
            for (std::size_t i = 0; i + 1 < line.size(); ++i)
                if (glm::distance(line[i], line[i + 1]) > glm::distance(line[longest], line[longest + 1]))
                    longest = i;
            const std::string words = print_cable_length(cable.length, site_.units);
            const TextStyle look = style(12.5, false, run_ink(index));
            const glm::dvec2 size = measure_text(words, look) + glm::dvec2(4, 0);
            const glm::dvec2 way = glm::normalize(line[longest + 1] - line[longest]);
            const glm::dvec2 side(-way.y, way.x);
            std::vector<Box> candidates;
            for (const double share : {0.5, 0.35, 0.65})
                for (const double sign : {1.0, -1.0}) {
                    const glm::dvec2 offset = side * sign;
                    const double away = 6 + (std::abs(offset.x) * size.x + std::abs(offset.y) * size.y) / 2;
                    candidates.push_back(
                        box_at(glm::mix(line[longest], line[longest + 1], share) + offset * away, size));
                }
            std::erase_if(candidates, [&](const Box& box) { return !box_.contains(box); });
            if (const auto box = space_.take_first_free(candidates))
                canvas_.text(words, box->middle(), Anchor::middle, look);
        }
    }

    double page_height() const { return std::ceil(key_top() + key_height() + load_note_height); }
    double key_top() const { return box_.bottom + 26; }
    double key_height() const { return key_line_height * static_cast<double>(report_.runs.size() + 1) + 30; }

    void draw_key() {
        double y = key_top() + 8;
        for (std::size_t i = 0; i < report_.runs.size(); ++i, y += key_line_height) {
            canvas_.line({{page_margin, y}, {page_margin + 40, y}}, false, 3, run_ink(i));
            canvas_.text(describe_run(report_.runs[i], site_.units), {page_margin + 54, y}, Anchor::left,
                         {.size = 15, .ink = text_ink});
        }
        draw_state_key(canvas_, {page_margin, y});
        const glm::dvec2 foot(page_width - page_margin - 16, key_top() + 26);
        const glm::dvec2 north = is_turned_ ? glm::dvec2(-1, 0) : glm::dvec2(0, -1);
        const glm::dvec2 side(-north.y, north.x), middle = foot - glm::dvec2(is_turned_ ? 20 : 0, 0);
        canvas_.line({middle - 18.0 * north, middle + 12.0 * north}, false, 1.6, text_ink);
        canvas_.fill(
            {middle + 20.0 * north, middle + 4.0 * north + 6.0 * side, middle + 4.0 * north - 6.0 * side},
            text_ink);
        canvas_.text("N", middle + 32.0 * north, Anchor::middle,
                     {.size = 15, .is_bold = true, .ink = text_ink});
        draw_scale_bar(canvas_, {page_width - page_margin - 90, key_top() + 26}, scale_, site_.units);
    }

    const Site& site_;
    const LoadReport& report_;
    bool is_turned_ = false;
    double scale_ = 1;
    Box box_;
    Frame frame_;
    Canvas canvas_;
    LabelSpace space_;
};

} // namespace

DrawnPage make_cable_plan(const Site& site, const LoadReport& report, PictureFormat format) {
    return Plan(site, report, format).draw();
}

std::string draw_cable_plan(const Site& site, const LoadReport& report, PictureFormat format) {
    return make_cable_plan(site, report, format).bytes;
}

} // namespace duskcast
