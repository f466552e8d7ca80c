#pragma once
// A comparison with everything in its place.

#include <array>

#include "duskcast/draw/page.hpp"
#include "duskcast/sheets/comparison.hpp"
#include "plate_change.hpp"

namespace duskcast {

/// How the blocks of a comparison stand on the page.
struct ComparisonGrid {
    std::size_t columns = 2;
    bool is_one_row = false; ///< variants and change beside each other

    /// `aspect`: width over height of a plate.
    ComparisonGrid(std::size_t variants, bool has_change, bool is_body, double aspect);
};

class ComparisonPage {
public:
    explicit ComparisonPage(const Comparison& comparison);
    DrawnPage draw(PictureFormat format) const;

private:
    const std::vector<std::unique_ptr<PlatePanel>>& panels_of(std::size_t variant) const {
        return pictures_[variant]->panels();
    }
    std::string change_note(bool is_ratio) const;
    double row_height(double head, double below) const;
    double side_bottom(std::size_t side, double pictures_top, double below) const;
    double column_left(std::size_t column) const;
    PlateFrame place(const PlatePanel& panel, std::size_t column, double bottom) const;

    void draw_rulers(Canvas& canvas, double pictures_top, double below) const;
    void draw_variant(Canvas& canvas, std::size_t variant, std::size_t column, double top) const;
    void draw_ids(Canvas& canvas, const PlatePanel& panel, const PlateFrame& frame) const;
    void draw_change(Canvas& canvas, bool is_ratio, std::size_t column, double top, double below) const;
    void draw_side(Canvas& canvas, const PlatePanel& panel, const PlateFrame& frame) const;

    static constexpr double column_gap = 40;
    static constexpr double name_height = 32;
    static constexpr double change_scale_height = 44; // from a name to the words below the bar
    static constexpr double line_gap = 3;
    static constexpr double mark_room = 48; // below a picture, for fixtures and their ids

    const Comparison& comparison_;
    std::array<std::size_t, 2> pair_;
    std::vector<std::unique_ptr<PlatePicture>> pictures_;
    std::optional<PlateChange> change_;
    std::optional<ComparisonGrid> grid_;
    PlateText text_;
    std::size_t sides_ = 1;
    double side_room_ = 24; ///< above each picture
    double ruler_ = 0;
    double column_width_ = 0;
    double scale_ = 1;
    double height_ = 0; ///< of the highest picture, metres
    double variant_head_ = 0, change_head_ = 0;
};

DrawnPage make_comparison(const Comparison& comparison, PictureFormat format);

} // namespace duskcast
