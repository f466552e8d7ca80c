#pragma once
// The panel of a body from one side.

#include "body_sheet.hpp"
#include "plate_panel.hpp"

namespace duskcast {

/// u is metres rightwards from the body's middle, v above z = 0.
class BodyPanel : public PlatePanel {
public:
    BodyPanel(const BodySheet& sheet, const Elevation& elevation);

    PlateFrame extent() const override;
    std::string side() const override { return elevation_.from; }
    std::optional<double> lux_at(const glm::dvec2& uv) const override;
    std::vector<glm::dvec2> spots() const override;
    void paint(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at) const override;
    std::vector<LevelLines> find_lines(const PlateFrame&, const ValueAt&,
                                       const std::vector<double>&) const override {
        return {};
    }
    void draw(Canvas& canvas, const PlateFrame& frame, PanelDetail detail) const override;
    std::vector<FootMark> foot_marks(const PlateFrame& frame) const override;
    void draw_marks(Canvas& canvas, const PlateFrame& frame) const;

private:
    void paint_body(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at,
                    PanelDetail detail) const;

    const BodySheet& sheet_;
    const Elevation& elevation_;
    std::vector<double> fixtures_; ///< u of each
};

} // namespace duskcast
