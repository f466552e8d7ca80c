#include "fixture_marks.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/draw/labels.hpp"

namespace duskcast {
namespace {

constexpr double leader_height = 26;
constexpr double word_height = 19; // of a line of the words
constexpr double list_gap = 14;
constexpr double list_height = 22;
constexpr double list_gutter = 24;
constexpr double list_indent = 44; // of the words, which a long id pushes further
constexpr double most_list_columns = 4;

const TextStyle fixture_id_style{.size = 15, .is_bold = true, .ink = text_ink};
const TextStyle fixture_word_style{.size = 14, .ink = quiet_ink};

double block_width(const FixtureText& fixture) {
    return std::max({measure_text(fixture.id, fixture_id_style).x,
                     measure_text(fixture.lamp, fixture_word_style).x,
                     measure_text(fixture.placed, fixture_word_style).x,
                     measure_text(fixture.from_corner, fixture_word_style).x});
}

std::string list_words(const FixtureText& fixture) {
    return fixture.lamp + ", " + fixture.placed +
           (fixture.from_corner.empty() ? "" : ", " + fixture.from_corner);
}

/// As many columns as the longest entry leaves room for.
double columns_for(const std::vector<FixtureText>& fixtures) {
    double widest = 1;
    for (const FixtureText& one : fixtures)
        widest = std::max(widest, std::max(measure_text(one.id, fixture_id_style).x + 10, list_indent) +
                                      measure_text(list_words(one), fixture_word_style).x + list_gutter);
    return std::clamp(std::floor((page_width - 2 * page_margin) / widest), 1.0, most_list_columns);
}

std::size_t rows_for(const std::vector<FixtureText>& fixtures) {
    return static_cast<std::size_t>(std::ceil(static_cast<double>(fixtures.size()) / columns_for(fixtures)));
}

} // namespace

void draw_fixture_mark(Canvas& canvas, const glm::dvec2& at, const glm::dvec2& direction, bool is_hidden) {
    const Ink rim{{1, 1, 1}, 1};
    const double length = glm::length(direction);
    if (length > 0.05) {
        const glm::dvec2 tip = at + direction / length * fixture_stem;
        canvas.line({at, tip}, false, 5, rim);
        canvas.line({at, tip}, false, 2.2, text_ink,
                    is_hidden ? std::vector<double>{3, 2} : std::vector<double>{});
    }
    canvas.fill_disk(at, fixture_mark_radius, rim);
    if (is_hidden) {
        canvas.circle(at, 5, 1.6, text_ink, {2.5, 2});
        return;
    }
    canvas.fill_disk(at, 5, {dusk_colour(0.72), 1});
    canvas.circle(at, 5, 1.6, text_ink);
}

void draw_lens_ring(Canvas& canvas, const glm::dvec2& at, const Ink& ink, const Ink& rim, bool is_hidden) {
    constexpr double radius = 8;
    canvas.circle(at, radius, 4, rim);
    canvas.circle(at, radius, 2, ink, is_hidden ? std::vector<double>{3, 3} : std::vector<double>{});
}

FixtureRow::FixtureRow(std::vector<FixtureText> fixtures, std::vector<MarkGroup> groups)
    : fixtures_(std::move(fixtures)), groups_(std::move(groups)) {
    if (fixtures_.empty())
        return;
    std::vector<double> block_widths, id_widths;
    for (const FixtureText& fixture : fixtures_) {
        block_widths.push_back(block_width(fixture));
        id_widths.push_back(measure_text(fixture.id, fixture_id_style).x);
    }
    if (groups_.size() == 1) {
        const MarkGroup& group = groups_.front();
        if (const auto blocks = spread_labels(group.marks, block_widths, group.left, group.right, 22)) {
            middles_ = {*blocks};
            const bool has_corner =
                std::any_of(fixtures_.begin(), fixtures_.end(),
                            [](const FixtureText& one) { return !one.from_corner.empty(); });
            height_ = leader_height + (has_corner ? 4 : 3) * word_height + 4;
            return;
        }
    }
    is_list_ = true;
    for (const MarkGroup& group : groups_) {
        const auto ids = spread_labels(group.marks, id_widths, group.left, group.right, 6);
        middles_.push_back(
            ids.value_or(std::vector<double>{})); // where even ids do not fit, the list names them
    }
    height_ = leader_height + word_height + list_gap + static_cast<double>(rows_for(fixtures_)) * list_height;
}

void FixtureRow::draw(Canvas& canvas, double top) const {
    for (std::size_t g = 0; g < middles_.size(); ++g)
        for (std::size_t i = 0; i < middles_[g].size(); ++i) {
            const double mark = groups_[g].marks[i], middle = middles_[g][i];
            canvas.line({{mark, top}, {mark, top + 4}, {middle, top + leader_height - 6}}, false, 1,
                        hairline_ink);
            double y = top + leader_height + word_height / 2 - 2;
            canvas.text(fixtures_[i].id, {middle, y}, Anchor::middle, fixture_id_style);
            if (is_list_)
                continue;
            canvas.text(fixtures_[i].lamp, {middle, y += word_height}, Anchor::middle, fixture_word_style);
            canvas.text(fixtures_[i].placed, {middle, y += word_height}, Anchor::middle, fixture_word_style);
            if (!fixtures_[i].from_corner.empty())
                canvas.text(fixtures_[i].from_corner, {middle, y + word_height}, Anchor::middle,
                            fixture_word_style);
        }
    if (!is_list_)
        return;
    const std::size_t rows = rows_for(fixtures_);
    const double column = (page_width - 2 * page_margin) / columns_for(fixtures_);
    for (std::size_t i = 0; i < fixtures_.size(); ++i) {
        const double y = top + leader_height + word_height + list_gap +
                         (static_cast<double>(i % rows) + 0.5) * list_height;
        const double x = page_margin + static_cast<double>(i / rows) * column;
        const Box id = canvas.text(fixtures_[i].id, {x, y}, Anchor::left, fixture_id_style);
        canvas.text(list_words(fixtures_[i]), {std::max(id.right + 10, x + list_indent), y}, Anchor::left,
                    fixture_word_style);
    }
}

} // namespace duskcast
