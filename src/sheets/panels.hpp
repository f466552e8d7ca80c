#pragma once
// The three sorts of panel, and all panels of one plate.

#include "captions.hpp"
#include "plate_panel.hpp"

namespace duskcast {

/// An upright surface's light, straight piece by straight piece of its run.
class WallLight {
public:
    /// `lux`: one a sensor of the stage; below `least` counts as `least`.
    WallLight(const Surface& surface, const std::vector<double>& lux, double least);

    /// The closed lines of the surface's edge in (u, v).
    const std::vector<std::vector<glm::dvec2>>& rings() const { return rings_; }
    std::optional<double> lux_at(const glm::dvec2& uv) const;
    std::vector<std::vector<glm::dvec2>> contours(double level) const;

private:
    std::size_t piece_at(double u) const;
    bool is_face(const glm::dvec2& uv) const;

    std::vector<std::vector<glm::dvec2>> rings_, holes_;
    std::vector<double> ends_;
    std::vector<GridField> fields_;
};

/// All panels: light below `least_lx` counts as that much between sensors.
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
    std::vector<LevelLines> find_level_lines(const PlateFrame& frame) const;

    const WallSheet& sheet_;
    WallLight light_;
};

/// What a reach mark looks like.
void draw_reach_mark(Canvas& canvas, const glm::dvec2& at);

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

/// u is east, v north.
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

/// The panels of one plate, with the sheet that they show.
class PlatePicture {
public:
    /// Bodies are traced `pixels` high from so many sides, two at most.
    PlatePicture(const PlateSource& source, const Plate& plate, int pixels, std::size_t sides);
    PlatePicture(const PlatePicture&) = delete; // its panels refer to its sheet
    PlatePicture& operator=(const PlatePicture&) = delete;
    ~PlatePicture() = default;

    const PlateText& text() const;
    const std::vector<RulerMark>& heights() const; ///< above the frame's lower end; none of the plan
    /// Of the levels this one alone is drawn.
    void keep_level(double level_lx);
    bool is_plan() const { return ground_.has_value(); }
    bool is_body() const { return body_.has_value(); }
    std::string reach_key() const { return wall_ ? wall_->reach_key : ""; }
    const std::vector<std::unique_ptr<PlatePanel>>& panels() const { return panels_; }
    /// The same panels with light down to next to nothing kept, for differences.
    std::vector<std::unique_ptr<PlatePanel>> make_exact_panels() const;

private:
    std::vector<std::unique_ptr<PlatePanel>> make_panels(double least_lx) const;

    std::optional<WallSheet> wall_;
    std::optional<BodySheet> body_;
    std::optional<GroundSheet> ground_;
    std::vector<std::unique_ptr<PlatePanel>> panels_;
};

bool is_wall_plate(const Surface& surface);
bool is_body_plate(const Surface& surface);

} // namespace duskcast
