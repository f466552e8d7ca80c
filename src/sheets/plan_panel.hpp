#pragma once
// The panel of the ground plan.

#include "ground_sheet.hpp"
#include "plate_panel.hpp"

namespace duskcast {

/// The place of an inset on the plan, in page pixels.
struct InsetMark {
    Box box;
    std::string name;

    bool holds(const glm::dvec2& at) const { return box.contains({at.x, at.y, at.x, at.y}); }
};

/// u is east, v north. Light below `least_lx` counts as that much between sensors.
class PlanPanel : public PlatePanel {
public:
    explicit PlanPanel(const GroundSheet& sheet, double least_lx = scale_low_lx);

    PlateFrame extent() const override;
    std::optional<double> lux_at(const glm::dvec2& uv) const override;
    std::vector<glm::dvec2> spots() const override;
    void paint(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at) const override;
    std::vector<LevelLines> find_lines(const PlateFrame& frame, const ValueAt& value_at,
                                       const std::vector<double>& levels) const override;
    void draw(Canvas& canvas, const PlateFrame& frame, PanelDetail detail) const override;
    std::vector<FootMark> foot_marks(const PlateFrame&) const override { return {}; }

    /// As `draw`, with the places of insets marked and the fixtures within them not named.
    void draw_with_insets(Canvas& canvas, const PlateFrame& frame,
                          const std::vector<InsetMark>& insets) const;
    /// A part of the plan, cut off at its frame, with the names of what has its middle there.
    void draw_part(Canvas& canvas, const PlateFrame& part) const;

private:
    std::vector<LevelLines> find_level_lines(const PlateFrame& frame) const;
    void draw_all(Canvas& canvas, const PlateFrame& frame, const std::vector<InsetMark>& insets,
                  const std::optional<Box>& window) const;
    void paint_in(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at,
                  const std::optional<Box>& window) const;

    const GroundSheet& sheet_;
    SensorGrid grid_;
    std::optional<GridField> field_;
};

/// What a wall looks like on the plan.
void draw_plan_wall(Canvas& canvas, const std::vector<glm::dvec2>& points, bool is_closed);

} // namespace duskcast
