#include "duskcast/draw/marks.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace duskcast {
namespace {

constexpr double leader = 26;      // height of the leaders
constexpr double line_height = 19; // of the words
constexpr double list_gap = 14;
constexpr double list_height = 22;
constexpr double list_columns = 4;
constexpr double list_column = (page_width - 2 * page_margin) / list_columns;

const TextStyle id_style{.size = 15, .is_bold = true, .ink = text_ink};
const TextStyle word_style{.size = 14, .ink = quiet_ink};

double block_width(const FixtureText& fixture) {
    return std::max({measure_text(fixture.id, id_style).x, measure_text(fixture.lamp, word_style).x,
                     measure_text(fixture.placed, word_style).x});
}

double length_of(const std::vector<glm::dvec2>& line) {
    double length = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i)
        length += glm::distance(line[i], line[i + 1]);
    return length;
}

std::size_t rows_for(std::size_t fixtures) {
    return static_cast<std::size_t>(std::ceil(static_cast<double>(fixtures) / list_columns));
}

} // namespace

void draw_level_lines(Canvas& canvas, const std::vector<LevelLines>& levels, LightUnit unit, const Box& frame,
                      LabelSpace& space) {
    constexpr double label_every = 900; // pixels of line
    constexpr double least_line = 30;   // shorter ones are specks of light between leaves
    for (const LevelLines& level : levels) {
        const Ink ink = ink_on(level.level_lx);
        const TextStyle style{.size = 13.5,
                              .is_bold = true,
                              .ink = ink,
                              .halo = 2,
                              .halo_ink = {lux_colour(level.level_lx), 0.8}};
        const std::string words = print_illuminance(level.level_lx, unit);
        const glm::dvec2 size = measure_text(words, style);
        // A label takes its piece out of the line; the two rests are lines of their own.
        std::vector<std::vector<glm::dvec2>> waiting = level.lines;
        std::stable_sort(waiting.begin(), waiting.end(),
                         [](const auto& a, const auto& b) { return length_of(a) > length_of(b); });
        std::vector<glm::dvec2> others;
        for (const LevelLines& other : levels)
            for (const std::vector<glm::dvec2>& line : other.lines)
                if (&other != &level)
                    for (const glm::dvec2& point : walk_line(line, 5))
                        others.push_back(point);
        bool is_first = true;
        for (std::size_t i = 0; i < waiting.size(); ++i) {
            const std::vector<glm::dvec2> line = waiting[i];
            const bool is_rest = i >= level.lines.size();
            std::optional<LineLabel> label;
            if (is_first || length_of(line) > (is_rest ? label_every : 3 * size.x))
                label = find_line_label(line, size, frame, space, others);
            if (!label) {
                if (!is_rest && length_of(line) < least_line)
                    continue;
                canvas.line(line, false, 1.5, ink);
                continue;
            }
            canvas.text(words, label->middle, Anchor::middle, style, label->turn);
            space.take(label->box.grown(14));
            waiting.push_back(label->before);
            waiting.push_back(label->after);
            is_first = false;
        }
    }
}

void draw_fixture_mark(Canvas& canvas, const glm::dvec2& at, const glm::dvec2& direction) {
    const Ink rim{{1, 1, 1}, 1};
    const double reach = 15;
    const double length = glm::length(direction);
    if (length > 0.05) {
        const glm::dvec2 tip = at + direction / length * reach;
        canvas.line({at, tip}, false, 5, rim);
        canvas.line({at, tip}, false, 2.2, text_ink);
    }
    canvas.fill_disk(at, 7, rim);
    canvas.fill_disk(at, 5, {dusk_colour(0.72), 1});
    canvas.circle(at, 5, 1.6, text_ink);
}

FixtureRow::FixtureRow(std::vector<FixtureText> fixtures, std::vector<MarkGroup> groups)
    : fixtures_(std::move(fixtures)), groups_(std::move(groups)) {
    if (fixtures_.empty())
        return;
    std::vector<double> block_widths, id_widths;
    for (const FixtureText& fixture : fixtures_) {
        block_widths.push_back(block_width(fixture));
        id_widths.push_back(measure_text(fixture.id, id_style).x);
    }
    if (groups_.size() == 1) {
        const MarkGroup& group = groups_.front();
        if (const auto blocks = spread_labels(group.marks, block_widths, group.left, group.right, 22)) {
            middles_ = {*blocks};
            height_ = leader + 3 * line_height + 4;
            return;
        }
    }
    is_list_ = true;
    for (const MarkGroup& group : groups_) {
        const auto ids = spread_labels(group.marks, id_widths, group.left, group.right, 6);
        middles_.push_back(
            ids.value_or(std::vector<double>{})); // where even ids do not fit, the list names them
    }
    height_ = leader + line_height + list_gap + static_cast<double>(rows_for(fixtures_.size())) * list_height;
}

void FixtureRow::draw(Canvas& canvas, double top) const {
    for (std::size_t g = 0; g < middles_.size(); ++g)
        for (std::size_t i = 0; i < middles_[g].size(); ++i) {
            const double mark = groups_[g].marks[i], middle = middles_[g][i];
            canvas.line({{mark, top}, {mark, top + 4}, {middle, top + leader - 6}}, false, 1, hairline_ink);
            double y = top + leader + line_height / 2 - 2;
            canvas.text(fixtures_[i].id, {middle, y}, Anchor::middle, id_style);
            if (is_list_)
                continue;
            canvas.text(fixtures_[i].lamp, {middle, y += line_height}, Anchor::middle, word_style);
            canvas.text(fixtures_[i].placed, {middle, y + line_height}, Anchor::middle, word_style);
        }
    if (!is_list_)
        return;
    const std::size_t rows = rows_for(fixtures_.size());
    for (std::size_t i = 0; i < fixtures_.size(); ++i) {
        const double y =
            top + leader + line_height + list_gap + (static_cast<double>(i % rows) + 0.5) * list_height;
        const double x = page_margin + static_cast<double>(i / rows) * list_column;
        const Box id = canvas.text(fixtures_[i].id, {x, y}, Anchor::left, id_style);
        canvas.text(fixtures_[i].lamp + ", " + fixtures_[i].placed, {std::max(id.right + 10, x + 44), y},
                    Anchor::left, word_style);
    }
}

} // namespace duskcast
