#include "duskcast/draw/labels.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

#include "duskcast/base/sort_stably.hpp"
#include "duskcast/base/units.hpp"

namespace duskcast {
namespace {

/// A turned box's surroundings.
Box box_round(const glm::dvec2& middle, const glm::dvec2& size, double turn) {
    const double c = std::abs(std::cos(turn)), s = std::abs(std::sin(turn));
    return Box::round(middle, {c * size.x + s * size.y, s * size.x + c * size.y});
}

double length_of(const std::vector<glm::dvec2>& line) {
    double length = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i)
        length += glm::distance(line[i], line[i + 1]);
    return length;
}

} // namespace

std::vector<glm::dvec2> walk_line(const std::vector<glm::dvec2>& line, double stride) {
    std::vector<glm::dvec2> points;
    double rest = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const double length = glm::distance(line[i], line[i + 1]);
        for (; rest < length; rest += stride)
            points.push_back(glm::mix(line[i], line[i + 1], rest / length));
        rest -= length;
    }
    return points;
}

bool LabelSpace::is_free(const Box& box) const {
    return std::none_of(taken_.begin(), taken_.end(), [&](const Box& other) { return box.overlaps(other); });
}

std::optional<Box> LabelSpace::take_first_free(const std::vector<Box>& candidates) {
    for (const Box& box : candidates)
        if (is_free(box)) {
            take(box);
            return box;
        }
    return std::nullopt;
}

std::optional<MarkLabel> label_mark(const glm::dvec2& mark, double radius, const glm::dvec2& size,
                                    const Box& frame, const std::vector<glm::dvec2>& ways,
                                    LabelSpace& space) {
    const double widest = std::hypot(frame.width(), frame.bottom - frame.top);
    const auto try_ring = [&](double away) -> std::optional<Box> {
        for (const glm::dvec2& way : ways)
            if (const Box box = Box::round(mark + way * (radius + away + size / 2.0), size);
                frame.contains(box) && space.is_free(box))
                return box;
        return std::nullopt;
    };
    for (const double away : {3.0, 10.0, 20.0})
        if (const std::optional<Box> box = try_ring(away)) {
            space.take(*box);
            return MarkLabel{*box, {}};
        }
    for (double away = 32; away < widest; away += 14)
        if (const std::optional<Box> box = try_ring(away)) {
            space.take(*box);
            const glm::dvec2 end =
                glm::clamp(mark, glm::dvec2(box->left, box->top), glm::dvec2(box->right, box->bottom));
            return MarkLabel{*box, {mark + radius * glm::normalize(end - mark), end}};
        }
    return std::nullopt;
}

namespace {

using Leader = std::array<glm::dvec2, 2>;

double cross(const glm::dvec2& a, const glm::dvec2& b) {
    return a.x * b.y - a.y * b.x;
}

bool do_cross(const Leader& one, const Leader& other) {
    const auto side = [](const Leader& line, const glm::dvec2& point) {
        return cross(line[1] - line[0], point - line[0]);
    };
    return side(one, other[0]) * side(one, other[1]) <= 0 && side(other, one[0]) * side(other, one[1]) <= 0;
}

bool does_touch(const Leader& line, const Box& box) {
    if (box.contains({line[0].x, line[0].y, line[0].x, line[0].y}))
        return true;
    const std::vector<glm::dvec2> corners = box.corners();
    return do_cross(line, {corners[0], corners[2]}) || do_cross(line, {corners[1], corners[3]});
}

double distance_to(const Leader& line, const glm::dvec2& point) {
    const glm::dvec2 way = line[1] - line[0];
    const double along = glm::dot(point - line[0], way) / std::max(1e-12, glm::dot(way, way));
    return glm::distance(point, line[0] + std::clamp(along, 0.0, 1.0) * way);
}

/// Labels of marks, one after the other.
class MarkLabeller {
public:
    MarkLabeller(const std::vector<MarkToLabel>& marks, double radius, const Box& frame)
        : marks_(marks), radius_(radius), frame_(frame), labels_(marks.size()) {}

    std::vector<std::optional<MarkLabel>> place_all() {
        std::vector<std::size_t> order(marks_.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        // Whichever finds no room goes first the next time.
        for (std::size_t tries = 0; tries <= 2 * marks_.size(); ++tries) {
            labels_.assign(marks_.size(), std::nullopt);
            const auto failed =
                std::find_if_not(order.begin(), order.end(), [&](std::size_t mark) { return place(mark); });
            if (failed == order.end())
                return labels_;
            std::rotate(order.begin(), failed, failed + 1);
        }
        labels_.assign(marks_.size(), std::nullopt);
        for (const std::size_t mark : order)
            place(mark);
        return labels_;
    }

private:
    static constexpr double air = 3; // between a label and whatever else there is
    static constexpr int ways = 16;

    bool place(std::size_t mark) {
        const double farthest = std::hypot(frame_.width(), frame_.height());
        for (double away = 18; away < farthest; away *= 1.3)
            for (int way = 0; way < ways; ++way) { // down first, then by turns to either side
                const double turn = (way % 2 == 0 ? 1 : -1) * ((way + 1) / 2) * 2 * pi / ways;
                const glm::dvec2 to(std::sin(turn), std::cos(turn));
                const MarkToLabel& one = marks_[mark];
                const Box box = Box::round(one.at + to * (radius_ + away + one.size / 2.0), one.size);
                if (is_room(mark, box)) {
                    labels_[mark] = MarkLabel{box, leader_of(mark, box)};
                    return true;
                }
            }
        return false;
    }

    std::vector<glm::dvec2> leader_of(std::size_t mark, const Box& box) const {
        const glm::dvec2 at = marks_[mark].at;
        const glm::dvec2 end =
            glm::clamp(at, glm::dvec2(box.left, box.top), glm::dvec2(box.right, box.bottom));
        return {at + radius_ * glm::normalize(end - at), end};
    }

    bool is_room(std::size_t mark, const Box& box) const {
        if (!frame_.contains(box))
            return false;
        const std::vector<glm::dvec2> points = leader_of(mark, box);
        const Leader leader{points[0], points[1]};
        const Box clear = box.grown(air);
        for (std::size_t i = 0; i < marks_.size(); ++i) {
            const MarkToLabel& other = marks_[i];
            const Leader stem{other.at, other.tip};
            if (Box::round(other.at, glm::dvec2(2 * radius_)).overlaps(clear) || does_touch(stem, clear))
                return false;
            // Marks that lie on each other cannot be kept clear of each other's leaders.
            if (i != mark && glm::distance(other.at, marks_[mark].at) > 2 * radius_ &&
                (distance_to(leader, other.at) < radius_ + air || do_cross(leader, stem)))
                return false;
            if (i == mark || !labels_[i])
                continue;
            const std::vector<glm::dvec2>& theirs = labels_[i]->leader;
            if (labels_[i]->box.overlaps(clear) || does_touch(leader, labels_[i]->box.grown(air)) ||
                does_touch({theirs[0], theirs[1]}, clear) || do_cross(leader, {theirs[0], theirs[1]}))
                return false;
        }
        return true;
    }

    const std::vector<MarkToLabel>& marks_;
    double radius_;
    Box frame_;
    std::vector<std::optional<MarkLabel>> labels_;
};

} // namespace

std::vector<std::optional<MarkLabel>> label_marks(const std::vector<MarkToLabel>& marks, double radius,
                                                  const Box& frame) {
    return MarkLabeller(marks, radius, frame).place_all();
}

std::optional<std::vector<double>> spread_labels(const std::vector<double>& wanted,
                                                 const std::vector<double>& widths, double low, double high,
                                                 double gap) {
    const double total = std::accumulate(widths.begin(), widths.end(), 0.0);
    if (wanted.empty())
        return std::vector<double>{};
    if (total + gap * (wanted.size() - 1.0) > high - low)
        return std::nullopt;

    std::vector<std::size_t> order(wanted.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    sort_stably(order, [&](std::size_t a, std::size_t b) { return wanted[a] < wanted[b]; });

    // Pooling of neighbours (isotonic regression): labels that would overlap become a block, which sits at
    // the mean of what its labels want.
    struct Block {
        std::size_t first, count;
        double width; ///< gaps within included
        double sum;   ///< of the left ends its labels want for the block
        double left(double low_end, double high_end) const {
            return std::clamp(sum / static_cast<double>(count), low_end, high_end - width);
        }
    };
    std::vector<Block> blocks;
    for (std::size_t i = 0; i < order.size(); ++i) {
        const std::size_t label = order[i];
        blocks.push_back({i, 1, widths[label], wanted[label] - widths[label] / 2});
        while (blocks.size() > 1) {
            const Block last = blocks.back();
            Block& before = blocks[blocks.size() - 2];
            if (before.left(low, high) + before.width + gap <= last.left(low, high))
                break;
            before.sum += last.sum - static_cast<double>(last.count) * (before.width + gap);
            before.count += last.count;
            before.width += gap + last.width;
            blocks.pop_back();
        }
    }
    std::vector<double> middles(wanted.size());
    for (const Block& block : blocks) {
        double left = block.left(low, high);
        for (std::size_t i = block.first; i < block.first + block.count; ++i) {
            middles[order[i]] = left + widths[order[i]] / 2;
            left += widths[order[i]] + gap;
        }
    }
    return middles;
}

std::optional<LineLabel> find_line_label(const std::vector<glm::dvec2>& line, const glm::dvec2& size,
                                         const Box& frame, const LabelSpace& space,
                                         const std::vector<glm::dvec2>& other_lines) {
    constexpr double stride = 2;
    constexpr double room = 5;       // pixels kept free on either side of the label
    constexpr double crooked = 0.06; // a chord that much shorter than its line carries no text
    const std::vector<glm::dvec2> points = walk_line(line, stride);
    const auto window = static_cast<std::size_t>(std::ceil((size.x + 2 * room) / stride));
    std::size_t best = 0;
    double best_cost = std::numeric_limits<double>::infinity();
    LineLabel label;
    // Some line must be left to see on both sides.
    for (std::size_t i = window / 2; i + window + window / 2 < points.size(); ++i) {
        const glm::dvec2 chord = points[i + window] - points[i];
        const double crookedness = 1 - glm::length(chord) / (static_cast<double>(window) * stride);
        double turn = std::atan2(chord.y, chord.x);
        if (turn > pi / 2)
            turn -= pi;
        if (turn < -pi / 2)
            turn += pi;
        const double cost = crookedness / crooked + std::abs(turn);
        if (crookedness > crooked || cost >= best_cost)
            continue;
        const glm::dvec2 middle = (points[i] + points[i + window]) / 4.0 + points[i + window / 2] / 2.0;
        const Box box = box_round(middle, size, turn);
        const auto is_under = [&](const glm::dvec2& point) {
            return point.x > box.left && point.x < box.right && point.y > box.top && point.y < box.bottom;
        };
        if (!frame.contains(box) || !space.is_free(box) ||
            std::any_of(other_lines.begin(), other_lines.end(), is_under))
            continue;
        best = i;
        best_cost = cost;
        label = {middle, turn, box, {}, {}};
    }
    if (std::isinf(best_cost))
        return std::nullopt;
    label.before.assign(points.begin(), points.begin() + static_cast<std::ptrdiff_t>(best) + 1);
    label.after.assign(points.begin() + static_cast<std::ptrdiff_t>(best + window), points.end());
    label.after.push_back(line.back());
    return label;
}

void draw_named_lines(Canvas& canvas, const std::vector<NamedLines>& lines, const Box& frame,
                      LabelSpace& space) {
    constexpr double label_every = 900; // pixels of line
    constexpr double least_line = 30;   // shorter ones are specks
    for (const NamedLines& named : lines) {
        const TextStyle style{
            .size = 13.5, .is_bold = true, .ink = named.ink, .halo = 2, .halo_ink = named.halo};
        const glm::dvec2 size = measure_text(named.words, style);
        // A label takes its piece out of the line; the two rests are lines of their own.
        std::vector<std::vector<glm::dvec2>> waiting = named.lines;
        sort_stably(waiting, [](const auto& a, const auto& b) { return length_of(a) > length_of(b); });
        std::vector<glm::dvec2> others;
        for (const NamedLines& other : lines)
            for (const std::vector<glm::dvec2>& line : other.lines)
                if (&other != &named)
                    for (const glm::dvec2& point : walk_line(line, 5))
                        others.push_back(point);
        bool is_first = true;
        for (std::size_t i = 0; i < waiting.size(); ++i) {
            const std::vector<glm::dvec2> line = waiting[i];
            const bool is_rest = i >= named.lines.size();
            std::optional<LineLabel> label;
            if (is_first || length_of(line) > (is_rest ? label_every : 3 * size.x))
                label = find_line_label(line, size, frame, space, others);
            if (!label) {
                if (!is_rest && length_of(line) < least_line)
                    continue;
                canvas.line(line, false, 1.5, named.ink);
                continue;
            }
            canvas.text(named.words, label->middle, Anchor::middle, style, label->turn);
            space.take(label->box.grown(14));
            waiting.push_back(label->before);
            waiting.push_back(label->after);
            is_first = false;
        }
    }
}

} // namespace duskcast
