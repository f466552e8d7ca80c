#pragma once
// The panel of the ground plan.

#include "ground_sheet.hpp"
#include "plate_panel.hpp"

namespace duskcast {

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

private:
    std::vector<LevelLines> find_level_lines(const PlateFrame& frame) const;

    const GroundSheet& sheet_;
    SensorGrid grid_;
    std::optional<GridField> field_;
};

/// What a wall looks like on the plan.
void draw_plan_wall(Canvas& canvas, const std::vector<glm::dvec2>& points, bool is_closed);

} // namespace duskcast
