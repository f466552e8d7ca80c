#include "comparison_page.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "duskcast/base/problem.hpp"
#include "duskcast/draw/text.hpp"
#include "wall_panel.hpp"

namespace duskcast {
namespace {

constexpr double block_gap = 26;
constexpr double scale_bar_width = 300;
constexpr double letter_radius = 12;
const TextStyle plate_name_style{.size = 18, .is_bold = true, .ink = text_ink};
const TextStyle side_style{.size = 14, .is_bold = true, .ink = text_ink};
const TextStyle id_style{.size = 13, .is_bold = true, .ink = text_ink};
const TextStyle comparison_line_style{.size = 14, .ink = quiet_ink};
const TextStyle comparison_note_style{.size = 13, .ink = quiet_ink};

constexpr double most_wall_height = 430;
constexpr int body_pixels = 360;

/// "A" for the first variant, and so on.
std::string letter_of(std::size_t variant) {
    return std::string(1, static_cast<char>('A' + variant));
}

std::array<std::size_t, 2> check_comparison(const Comparison& comparison) {
    const std::size_t count = comparison.variants.size();
    if (count < 2 || count > most_compared)
        throw InputError({Severity::error,
                          {},
                          fmt::format("{} variants cannot be laid side by side", count),
                          fmt::format("choose 2 to {}", most_compared)});
    const std::array<std::size_t, 2> change = comparison.change.value_or(std::array<std::size_t, 2>{0, 1});
    if (change[0] >= count || change[1] >= count)
        throw InputError({Severity::error,
                          {},
                          "the change is wanted of a variant that is not there",
                          fmt::format("choose two of the {}", count)});
    return change;
}

} // namespace

ComparisonGrid::ComparisonGrid(std::size_t variants, bool has_change, bool is_body, double aspect) {
    constexpr double slim = 1.6;
    is_one_row = has_change && is_body && variants == 2 && aspect < slim;
    columns = is_one_row ? 4 : variants == 4 && aspect >= 1 && !(is_body && aspect < slim) ? 2 : variants;
}

ComparisonPage::ComparisonPage(const Comparison& comparison)
    : comparison_(comparison), pair_(check_comparison(comparison)) {
    double width = 0;
    for (const ComparedPlate& variant : comparison.variants) {
        pictures_.push_back(std::make_unique<PlatePicture>(
            variant.source, find_plate(variant.source, comparison.plate), body_pixels, 2));
        for (const auto& panel : pictures_.back()->panels()) {
            width = std::max(width, panel->extent().width());
            height_ = std::max(height_, panel->extent().height());
        }
    }
    const PlatePicture& first = *pictures_.front();
    text_ = first.text();
    text_.title = comparison.title;
    text_.detail = comparison.detail;
    text_.answers = comparison.answers;
    if (std::any_of(pictures_.begin(), pictures_.end(),
                    [&](const auto& picture) { return picture->text().note != text_.note; }))
        text_.note.clear();
    sides_ = first.panels().size();
    if (!first.panels().front()->side().empty())
        side_room_ = 34;

    if (comparison.change || pictures_.size() == 2)
        change_.emplace(*pictures_[pair_[0]], *pictures_[pair_[1]], lux_per(text_.light));
    grid_.emplace(pictures_.size(), change_.has_value(), first.is_body(), width / height_);
    ruler_ = first.is_plan() ? 0 : ruler_width;
    const auto columns = static_cast<double>(grid_->columns);
    column_width_ = (page_width - 2 * page_margin - ruler_ - (columns - 1) * column_gap) / columns;
    scale_ = std::min(column_width_ / width, (first.is_body() ? body_pixels : most_wall_height) / height_);

    for (const ComparedPlate& variant : comparison.variants) {
        double head = name_height;
        for (const std::string& line : variant.lines)
            head += measure_text(keep_units(line), comparison_line_style, column_width_).y + line_gap;
        variant_head_ = std::max(variant_head_, head);
    }
    for (const bool is_ratio : {false, true})
        if (change_)
            change_head_ =
                std::max(change_head_,
                         name_height + change_scale_height +
                             measure_text(change_note(is_ratio), comparison_note_style, column_width_).y);
    if (grid_->is_one_row)
        variant_head_ = change_head_ = std::max(variant_head_, change_head_);
}

std::string ComparisonPage::change_note(bool is_ratio) const {
    const std::string from = letter_of(pair_[0]), to = letter_of(pair_[1]);
    if (!is_ratio)
        return keep_units(fmt::format("Blue: {} is darker than {}; brown: brighter.{}", to, from,
                                      change_->goes_beyond() ? " Beyond the ends the colour stays." : ""));
    return keep_units(fmt::format("Beyond the ends the colour stays. Under {} counts as that.{}",
                                  print_illuminance(scale_low_lx, text_.light),
                                  pictures_.front()->is_body() ? "" : " Lines at 1/2 and 2."));
}

double ComparisonPage::row_height(double head, double below) const {
    return head + static_cast<double>(sides_) * (side_room_ + scale_ * height_ + below);
}

double ComparisonPage::side_bottom(std::size_t side, double pictures_top, double below) const {
    const auto before = static_cast<double>(side);
    return pictures_top + (before + 1) * (side_room_ + scale_ * height_) + before * below;
}

double ComparisonPage::column_left(std::size_t column) const {
    return page_margin + ruler_ + static_cast<double>(column) * (column_width_ + column_gap);
}

PlateFrame ComparisonPage::place(const PlatePanel& panel, std::size_t column, double bottom) const {
    PlateFrame frame = panel.extent();
    frame.scale = scale_;
    frame.left = column_left(column);
    frame.bottom = bottom;
    return frame;
}

void ComparisonPage::draw_rulers(Canvas& canvas, double pictures_top, double below) const {
    if (ruler_ == 0)
        return;
    // Heights that only some variants have would mislead.
    std::vector<RulerMark> marks = pictures_.front()->heights();
    for (const auto& picture : pictures_)
        std::erase_if(marks, [&](const RulerMark& mark) {
            return std::none_of(picture->heights().begin(), picture->heights().end(),
                                [&](const RulerMark& other) { return other.text == mark.text; });
        });
    for (std::size_t side = 0; side < sides_; ++side)
        draw_ruler(canvas, page_margin + ruler_ - 14, side_bottom(side, pictures_top, below), scale_, height_,
                   text_.length, marks);
}

void ComparisonPage::draw_side(Canvas& canvas, const PlatePanel& panel, const PlateFrame& frame) const {
    if (!panel.side().empty())
        canvas.text(panel.side(), {frame.box().middle().x, frame.bottom - scale_ * height_ - 18},
                    Anchor::middle, side_style);
}

/// The fixtures' ids below their marks, where they fit.
void ComparisonPage::draw_ids(Canvas& canvas, const PlatePanel& panel, const PlateFrame& frame) const {
    std::vector<double> wanted, widths;
    const std::vector<PlatePanel::FootMark> marks = panel.foot_marks(frame);
    for (const PlatePanel::FootMark& mark : marks) {
        wanted.push_back(mark.x);
        widths.push_back(measure_text(mark.id, id_style).x);
    }
    const auto middles = spread_labels(wanted, widths, frame.box().left - column_gap / 2 + 2,
                                       frame.box().left + column_width_ + column_gap / 2 - 2, 6);
    for (std::size_t i = 0; middles && i < marks.size(); ++i)
        canvas.text(marks[i].id, {(*middles)[i], frame.bottom + 35}, Anchor::middle, id_style);
}

void ComparisonPage::draw_variant(Canvas& canvas, std::size_t variant, std::size_t column, double top) const {
    const double left = column_left(column), room = column_width_ - 2 * letter_radius - 10;
    canvas.fill_disk({left + letter_radius, top + name_height / 2 - 3}, letter_radius, {dusk_colour(0.3), 1});
    canvas.text(letter_of(variant), {left + letter_radius, top + name_height / 2 - 3}, Anchor::middle,
                {.size = 15, .is_bold = true, .ink = {{1, 1, 1}, 1}});
    const ComparedPlate& plate = comparison_.variants[variant];
    canvas.text(cut_text(plate.name, plate_name_style, room),
                {left + 2 * letter_radius + 10, top + name_height / 2 - 3}, Anchor::left, plate_name_style);
    double y = top + name_height;
    for (const std::string& line : plate.lines)
        y += canvas.paragraph(keep_units(line), {left, y}, column_width_, comparison_line_style) + line_gap;
    for (std::size_t side = 0; side < sides_; ++side) {
        const PlatePanel& panel = *panels_of(variant)[side];
        const PlateFrame frame = place(panel, column, side_bottom(side, top + variant_head_, mark_room));
        panel.draw(canvas, frame, PanelDetail::small);
        draw_side(canvas, panel, frame);
        draw_ids(canvas, panel, frame);
    }
}

void ComparisonPage::draw_change(Canvas& canvas, bool is_ratio, std::size_t column, double top,
                                 double below) const {
    const double left = column_left(column);
    const std::string from = letter_of(pair_[0]), to = letter_of(pair_[1]);
    canvas.text(is_ratio ? fmt::format("Ratio, {} : {}", to, from)
                         : fmt::format("Difference, {} \u2212 {}, in {}", to, from, name_of(text_.light)),
                {left, top + name_height / 2 - 3}, Anchor::left, plate_name_style);
    const double bar_left = left + 24, bar_width = std::min(scale_bar_width, column_width_ - 48);
    draw_change_scale(canvas, {bar_left, top + name_height + 2, bar_left + bar_width, top + name_height + 18},
                      is_ratio ? std::vector<std::string>{"1/4", "1/2", "1", "2", "4"}
                               : print_change_figures(change_->end()));
    canvas.paragraph(change_note(is_ratio), {left, top + name_height + change_scale_height}, column_width_,
                     comparison_note_style);
    for (std::size_t side = 0; side < change_->sides(); ++side) {
        const PlatePanel& panel = change_->panel(side);
        const PlateFrame frame = place(panel, column, side_bottom(side, top + change_head_, below));
        panel.paint(canvas, frame, [&](const glm::dvec2& uv) -> std::optional<Colour> {
            const std::optional<double> value =
                is_ratio ? change_->ratio(side, uv) : change_->difference(side, uv);
            if (!value)
                return std::nullopt;
            return change_colour(is_ratio ? ratio_place(*value) : *value / change_->end());
        });
        panel.draw_outlines(canvas, frame);
        const auto ratio_at = [&](const glm::dvec2& uv) { return change_->ratio(side, uv); };
        if (is_ratio)
            for (const LevelLines& lines : panel.find_lines(frame, ratio_at, {0.5, 2}))
                for (const std::vector<glm::dvec2>& line : lines.lines)
                    canvas.line(line, false, 1.1, {text_ink.colour, 0.8});
        draw_side(canvas, panel, frame);
    }
}

DrawnPage ComparisonPage::draw(PictureFormat format) const {
    const std::size_t count = pictures_.size();
    const std::size_t per_row = grid_->is_one_row ? count : grid_->columns;
    const auto rows = static_cast<double>((count + per_row - 1) / per_row);
    const double variants_top = heading_height + 10;
    const double stride = row_height(variant_head_, mark_room) + block_gap;
    const double change_top = grid_->is_one_row ? variants_top : variants_top + rows * stride;
    const double change_below = grid_->is_one_row ? mark_room : 14;
    double end = variants_top + rows * stride;
    if (change_ && !grid_->is_one_row)
        end += row_height(change_head_, change_below) + block_gap;
    const Foot foot(text_.answers, text_.note);
    const double foot_top = end + 30;
    const double page_height = std::ceil(foot_top + foot.height());

    Canvas canvas(page_width, page_height, format);
    draw_heading(canvas, text_);
    for (std::size_t i = 0; i < count; ++i) {
        const double top = variants_top + static_cast<double>(i / per_row) * stride;
        if (i % per_row == 0)
            draw_rulers(canvas, top + variant_head_, mark_room);
        draw_variant(canvas, i, i % per_row, top);
    }
    if (change_) {
        if (!grid_->is_one_row)
            draw_rulers(canvas, change_top + change_head_, change_below);
        const std::size_t column = grid_->is_one_row ? count : 0;
        draw_change(canvas, false, column, change_top, change_below);
        draw_change(canvas, true, column + 1, change_top, change_below);
    }
    const auto has_reaches = [&](const auto& picture) { return picture->panels().front()->has_reaches(); };
    if (std::any_of(pictures_.begin(), pictures_.end(), has_reaches)) {
        draw_reach_mark(canvas, {page_margin + 10, end + 8});
        canvas.text(pictures_.front()->reach_key(), {page_margin + 30, end + 8}, Anchor::left,
                    {.size = 14, .ink = quiet_ink});
    }
    draw_scale_bar(canvas, {page_width - page_margin, end + 12}, scale_, text_.length);
    foot.draw(canvas, foot_top);
    return {canvas.finish(), page_height, canvas.words()};
}

DrawnPage make_comparison(const Comparison& comparison, PictureFormat format) {
    return ComparisonPage(comparison).draw(format);
}

std::string draw_comparison(const Comparison& comparison, PictureFormat format) {
    return make_comparison(comparison, format).bytes;
}

} // namespace duskcast
