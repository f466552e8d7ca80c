// Boards on walls as pictures show them: casings, corner boards, friezes, shutters, the number of the house.

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "builder.hpp"
#include "duskcast/site/finish.hpp"
#include "duskcast/site/trim.hpp"
#include "relief_shapes.hpp"

namespace duskcast {
namespace {

// Common practice, no source.
constexpr float board_depth = 0.75f * inch, board_bevel = 0.004f;
constexpr double sill_height = 2 * metres_per_inch, sill_beyond = 1 * metres_per_inch;
constexpr double head_share = 1.25; ///< of a casing's head, by its sides
constexpr float stile = 2.25f * inch, shutter_rail = 3.5f * inch, louvre_pitch = 1.75f * inch,
                louvre_depth = 0.45f * inch, shutter_panel = 0.35f * inch;
constexpr float figure_stroke = 0.055f; ///< by a figure's height
constexpr auto figure_side = static_cast<float>(figure_width),
               figure_between = static_cast<float>(figure_gap);

/// A part of the wall's face in its (u, v).
struct FacePart {
    glm::vec2 from{0}, to{0};

    float inside(const glm::vec2& at) const {
        return std::min({at.x - from.x, to.x - at.x, at.y - from.y, to.y - at.y});
    }
};

/// A flat board whose edges are eased; what is on it stands out or lies deeper.
class BoardRelief : public Relief {
public:
    BoardRelief(const FacePart& part, const glm::vec3& colour)
        : Relief(board_depth, 0), part_(part), colour_(colour) {}

    float height(const glm::vec2& at) const override {
        return -board_depth * (1 - ease(part_.inside(at) / board_bevel));
    }
    ReliefSpot spot(const glm::vec2&) const override { return {.reflectance = colour_}; }

protected:
    const FacePart part_;
    const glm::vec3 colour_;
};

/// A board with no edges of its own, along a slope or between its neighbours.
class FriezeRelief final : public Relief {
public:
    explicit FriezeRelief(const glm::vec3& colour) : Relief(board_depth, 0), colour_(colour) {}
    float height(const glm::vec2&) const override { return 0; }
    ReliefSpot spot(const glm::vec2&) const override { return {.reflectance = colour_}; }

private:
    const glm::vec3 colour_;
};

class ShutterRelief final : public BoardRelief {
public:
    ShutterRelief(const FacePart& part, const glm::vec3& colour, Shutters kind)
        : BoardRelief(part, colour), kind_(kind) {}

    float height(const glm::vec2& at) const override {
        const float edge = BoardRelief::height(at);
        // Two fields between stiles and three rails.
        const float middle = (part_.from.y + part_.to.y) / 2, half_rail = shutter_rail / 2;
        const bool is_low = at.y < middle;
        const float low = is_low ? part_.from.y + shutter_rail : middle + half_rail;
        const float high = is_low ? middle - half_rail : part_.to.y - shutter_rail;
        const float inside = std::min(std::min(at.x - part_.from.x, part_.to.x - at.x) - stile,
                                      std::min(at.y - low, high - at.y));
        if (inside <= 0)
            return edge;
        if (kind_ == Shutters::panelled) // raised in the middle of each field
            return -shutter_panel * (ease(inside / 0.006f) - 0.8f * ease((inside - 0.02f) / 0.025f));
        // A slat's front edge is its lower one.
        const float share = (at.y - low) / louvre_pitch - std::floor((at.y - low) / louvre_pitch);
        return -0.1f * inch - louvre_depth * std::max(share, 1 - ease(share / 0.12f));
    }

private:
    const Shutters kind_;
};

using Stroke = std::vector<glm::vec2>;

/// Figures in a box 0.6 wide and 1 high, as lines.
const Stroke& stroke_of(char figure) {
    static const std::array<Stroke, 11> strokes = [] {
        std::array<Stroke, 11> made;
        made[0] = {{.3f, 1},    {.1f, .93f}, {0, .7f},   {0, .3f},    {.1f, .07f}, {.3f, 0},
                   {.5f, .07f}, {.6f, .3f},  {.6f, .7f}, {.5f, .93f}, {.3f, 1}};
        made[1] = {{.12f, .8f}, {.36f, 1}, {.36f, 0}};
        made[2] = {{0, .75f},   {.08f, .93f}, {.3f, 1}, {.52f, .93f},
                   {.6f, .75f}, {.5f, .5f},   {0, 0},   {.6f, 0}};
        made[3] = {{0, .86f},    {.15f, .98f}, {.3f, 1},    {.5f, .93f}, {.57f, .76f},
                   {.48f, .59f}, {.25f, .53f}, {.5f, .47f}, {.6f, .27f}, {.5f, .07f},
                   {.3f, 0},     {.12f, .03f}, {0, .16f}};
        made[4] = {{.45f, 0}, {.45f, 1}, {0, .3f}, {.6f, .3f}};
        made[5] = {{.55f, 1},  {.08f, 1},   {.04f, .55f}, {.3f, .62f}, {.52f, .53f},
                   {.6f, .3f}, {.5f, .08f}, {.28f, 0},    {.1f, .03f}, {0, .15f}};
        made[6] = {{.52f, .92f}, {.35f, 1},  {.15f, .9f}, {.02f, .6f}, {0, .3f},    {.1f, .07f}, {.3f, 0},
                   {.5f, .07f},  {.6f, .3f}, {.5f, .53f}, {.3f, .6f},  {.1f, .53f}, {0, .3f}};
        made[7] = {{0, 1}, {.6f, 1}, {.2f, 0}};
        made[8] = {{.3f, .54f},  {.1f, .63f}, {.05f, .78f}, {.12f, .94f}, {.3f, 1},   {.48f, .94f},
                   {.55f, .78f}, {.5f, .63f}, {.3f, .54f},  {.08f, .45f}, {0, .27f},  {.1f, .06f},
                   {.3f, 0},     {.5f, .06f}, {.6f, .27f},  {.52f, .45f}, {.3f, .54f}};
        for (const glm::vec2& point : made[6]) // a nine is a six upside down
            made[9].push_back(glm::vec2(figure_side, 1) - point);
        made[10] = {{.1f, .45f}, {.5f, .45f}};
        return made;
    }();
    return strokes[figure == '-' ? 10 : static_cast<std::size_t>(figure - '0')];
}

/// Figures on a plate.
class NumberRelief final : public BoardRelief {
public:
    NumberRelief(const FacePart& part, const glm::vec3& plate, const HouseNumber& number)
        : BoardRelief(part, plate), ink_(number.finish.reflectance), text_(number.text),
          size_(static_cast<float>(number.height)),
          start_((part.from + part.to) / 2.0f -
                 size_ * glm::vec2((static_cast<float>(text_.size()) * (figure_side + figure_between) -
                                    figure_between) /
                                       2,
                                   0.5f)) {}

    float height(const glm::vec2& at) const override {
        const float edge = BoardRelief::height(at) - 0.3f * board_depth;
        return std::clamp(edge + 0.3f * board_depth * ease(ink_at(at) / 0.002f), -board_depth, 0.0f);
    }
    ReliefSpot spot(const glm::vec2& at) const override {
        return {.reflectance = ink_at(at) > 0 ? ink_ : colour_};
    }

private:
    /// Metres inside a stroke; below 0 beside all.
    float ink_at(const glm::vec2& at) const {
        const glm::vec2 place = (at - start_) / size_;
        const float step = figure_side + figure_between;
        const float index = std::floor((place.x + figure_between / 2) / step);
        if (index < 0 || index >= static_cast<float>(text_.size()))
            return -1;
        const glm::vec2 own(place.x - index * step, place.y);
        const Stroke& stroke = stroke_of(text_[static_cast<std::size_t>(index)]);
        float nearest = 9;
        for (std::size_t i = 1; i < stroke.size(); ++i) {
            const glm::vec2 way = stroke[i] - stroke[i - 1], to = own - stroke[i - 1];
            const float share = std::clamp(glm::dot(to, way) / glm::dot(way, way), 0.0f, 1.0f);
            nearest = std::min(nearest, glm::distance(to, share * way));
        }
        return size_ * (figure_stroke - nearest);
    }

    const glm::vec3 ink_;
    const std::string text_;
    const float size_;
    const glm::vec2 start_;
};

class TrimMaker {
public:
    TrimMaker(StageBuilder& builder, std::uint16_t surface, const UprightFace& face)
        : builder_(builder), surface_(surface), face_(face) {}

    void add(std::vector<glm::dvec2> outline, std::shared_ptr<const Relief> relief) {
        builder_.stage.reliefs.push_back(
            {surface_, face_.run, face_.foot, std::move(outline), std::move(relief)});
    }
    /// Of a part of the face that is no less than a millimetre wide.
    template <class Made, class... More>
    void add_part(const glm::dvec2& from, const glm::dvec2& to, const glm::vec3& colour,
                  const More&... more) {
        if (to.x - from.x < 1e-3 || to.y - from.y < 1e-3)
            return;
        add({from, {to.x, from.y}, to, {from.x, to.y}},
            std::make_shared<Made>(FacePart{glm::vec2(from), glm::vec2(to)}, colour, more...));
    }

    void add_round(const Opening& opening) {
        const glm::dvec2 low(opening.from, opening.sill),
            high = low + glm::dvec2(opening.width, opening.height);
        if (const double wide = opening.casing; wide > 0) {
            const glm::vec3 colour(trim_of(opening).reflectance);
            add_part<BoardRelief>({low.x - wide, low.y}, {low.x, high.y}, colour);
            add_part<BoardRelief>({high.x, low.y}, {high.x + wide, high.y}, colour);
            add_part<BoardRelief>({low.x - wide - sill_beyond, high.y},
                                  {high.x + wide + sill_beyond, high.y + head_share * wide}, colour);
            if (opening.kind == OpeningKind::window)
                add_part<BoardRelief>({low.x - wide - sill_beyond, low.y - sill_height},
                                      {high.x + wide + sill_beyond, low.y}, colour);
        }
        if (!opening.shutters)
            return;
        const glm::vec3 colour(shutter_finish_of(opening).reflectance);
        const double leaf = shutter_width(opening);
        add_part<ShutterRelief>({low.x - opening.casing - leaf, low.y}, {low.x - opening.casing, high.y},
                                colour, *opening.shutters);
        add_part<ShutterRelief>({high.x + opening.casing, low.y}, {high.x + opening.casing + leaf, high.y},
                                colour, *opening.shutters);
    }

    void add_boards(const Wall& wall) {
        const glm::vec3 colour(trim_of(wall).reflectance);
        const double low = std::max(face_.low, 0.0);
        for (const RunSegment& segment : face_.run) {
            const double start = segment.along, end = start + segment.length;
            if (wall.frieze > 0)
                add_frieze(start, end, wall.frieze, colour);
            if (!(wall.corner_boards > 0))
                continue;
            const double wide = std::min(wall.corner_boards, segment.length / 2);
            const auto add_upright = [&](double from, double to) {
                add({{from, low}, {to, low}, {to, face_.top(to)}, {from, face_.top(from)}},
                    std::make_shared<BoardRelief>(
                        FacePart{{from, low - 1}, {to, std::max(face_.top(from), face_.top(to)) + 1}},
                        colour));
            };
            add_upright(start, start + wide);
            add_upright(end - wide, end);
        }
        if (wall.number) {
            const HouseNumber& number = *wall.number;
            const glm::dvec2 half = plate_size(number) / 2.0, middle(number.along, number.up);
            add_part<NumberRelief>(middle - half, middle + half, colour, number);
        }
    }

private:
    void add_frieze(double start, double end, double high, const glm::vec3& colour) {
        std::vector<double> bends{start, end};
        for (const double bend : face_.breaks)
            if (bend > start && bend < end)
                bends.push_back(bend);
        std::sort(bends.begin(), bends.end());
        for (std::size_t i = 0; i + 1 < bends.size(); ++i) {
            const double left = bends[i], right = bends[i + 1];
            // A gable's upper edge begins where its slope does, a little within the stretch.
            const double inset = std::min(1e-6, (right - left) / 4);
            const double top_left = face_.top(left + inset), top_right = face_.top(right - inset);
            add({{left, top_left - high}, {right, top_right - high}, {right, top_right}, {left, top_left}},
                std::make_shared<FriezeRelief>(colour));
        }
    }

    StageBuilder& builder_;
    std::uint16_t surface_;
    const UprightFace& face_;
};

} // namespace

void StageBuilder::add_trim(std::uint16_t surface, const UprightFace& face,
                            const std::vector<Opening>& openings, const Wall* wall) {
    TrimMaker maker(*this, surface, face);
    if (wall != nullptr)
        maker.add_boards(*wall);
    for (const Opening& opening : openings)
        maker.add_round(opening);
}

} // namespace duskcast
