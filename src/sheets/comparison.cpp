#include "duskcast/sheets/comparison.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "comparison_page.hpp"
#include "contact_parts.hpp"
#include "duskcast/base/problem.hpp"

namespace duskcast {
namespace {

constexpr double most_wall_height = 430;
constexpr int body_pixels = 360;

std::array<std::size_t, 2> check(const Comparison& comparison) {
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

std::string letter_of(std::size_t variant) {
    return std::string(1, static_cast<char>('A' + variant));
}

ComparisonPage::ComparisonPage(const Comparison& comparison)
    : comparison_(comparison), pair_(check(comparison)) {
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

ComparisonGrid::ComparisonGrid(std::size_t variants, bool has_change, bool is_body, double aspect) {
    constexpr double slim = 1.6;
    is_one_row = has_change && is_body && variants == 2 && aspect < slim;
    columns = is_one_row ? 4 : variants == 4 && aspect >= 1 && !(is_body && aspect < slim) ? 2 : variants;
}

DrawnPage make_comparison(const Comparison& comparison, PictureFormat format) {
    return ComparisonPage(comparison).draw(format);
}

std::string draw_comparison(const Comparison& comparison, PictureFormat format) {
    return make_comparison(comparison, format).bytes;
}

} // namespace duskcast
