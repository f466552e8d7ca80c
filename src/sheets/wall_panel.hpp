#pragma once
// The panel of a wall.

#include "plate_panel.hpp"
#include "wall_light.hpp"
#include "wall_sheet.hpp"

namespace duskcast {

/// Light below `least_lx` counts as that much between sensors.
class WallPanel : public PlatePanel {
public:
    explicit WallPanel(const WallSheet& sheet, double least_lx = scale_low_lx);

    PlateFrame extent() const override;
    std::optional<double> lux_at(const glm::dvec2& uv) const override;
    std::vector<glm::dvec2> spots() const override;
    void paint(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at) const override;
    void draw_outlines(Canvas& canvas, const PlateFrame& frame) const override;
    std::vector<LevelLines> find_lines(const PlateFrame& frame, const ValueAt& value_at,
                                       const std::vector<double>& levels) const override;
    void draw(Canvas& canvas, const PlateFrame& frame, PanelDetail detail) const override;
    bool has_reaches() const override;
    std::vector<FootMark> foot_marks(const PlateFrame& frame) const override;

    /// Light, parts, reach marks with their cards inside `room`, lines of the levels and the ground's line.
    void draw_face(Canvas& canvas, const PlateFrame& frame, const Box& room) const;
    /// Fixtures; the stems of hanging ones end at y = `stem_end`, if that is below the ground.
    void draw_marks(Canvas& canvas, const PlateFrame& frame, double stem_end) const;

private:
    /// The client's photo where it shows the face, dimmed.
    void paint_photo(Canvas& canvas, const PlateFrame& frame) const;
    std::vector<LevelLines> find_level_lines(const PlateFrame& frame) const;

    const WallSheet& sheet_;
    WallLight light_;
};

/// What a reach mark looks like.
void draw_reach_mark(Canvas& canvas, const glm::dvec2& at);

} // namespace duskcast
