#pragma once
// The parts of a lamp chart. Each knows its height before the page is made, as the plates' parts do.

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "duskcast/draw/labels.hpp"
#include "duskcast/draw/page.hpp"
#include "duskcast/draw/text.hpp"
#include "duskcast/sheets/lamp_chart.hpp"
#include "duskcast/stage/surface.hpp"
#include "fixture_marks.hpp"
#include "light_scale.hpp"

namespace duskcast {

struct ChartLamp {
    const LampEntry& entry;
    std::string name;
    int number = 0; ///< from 1, on its tag; 0: the only one
    Ink ink;
    PlaneCurve along, across; ///< C0-C180, C90-C270
    bool is_round = true;     ///< `across` is like `along`
    double last_angle = 0;    ///< off the axis, of the last light worth drawing
};

/// What all parts draw from.
struct ChartSource {
    std::vector<ChartLamp> lamps;
    const SheetOptions& options;
    LengthUnit length = LengthUnit::foot;
    LightUnit light = LightUnit::footcandle;

    bool is_comparison() const { return lamps.size() > 1; }
};

ChartSource make_chart_source(const std::vector<LampEntry>& lamps, const SheetOptions& options,
                              LengthUnit length, LightUnit light);

/// "36°", "110° × 60°" where the planes differ, "all round" where light never falls so low.
std::string print_spread(const BeamSpread& spread);

/// A length that is no closer than an estimate of light can be: whole inches from a foot on, centimetres.
std::string print_about(double metres, LengthUnit unit);

/// Candela or lumens with three digits, "<0.1" below that.
std::string print_amount(double value);

inline constexpr double tag_radius = 9;
inline const std::vector<double> across_dash = {7, 4};

/// A lamp's number on a disk of its colour: what tells lamps apart without colour.
void draw_tag(Canvas& chart, const ChartLamp& lamp, const glm::dvec2& middle);

/// What is solid and what dashed in the plots; draws nothing where all beams are round.
void draw_plane_key(Canvas& chart, const ChartSource& source, const glm::dvec2& at);

/// Columns with headings over rows. Headings and cells may have several lines. Columns that do not fit the
/// width stand in a further block below, after the first column once more.
class ChartTable {
public:
    struct Column {
        std::string heading;
        std::vector<std::string> cells;
        Anchor anchor = Anchor::right; ///< left or right
    };

    /// `tags`: the lamp of each row, or none.
    ChartTable(std::vector<Column> columns, std::vector<const ChartLamp*> tags, double width);

    double height() const;
    double width() const;
    double row_height() const { return row_height_; }
    double heading_height() const { return heading_height_; }

    /// `rows`: y of the rows' middles where they are not to follow each other closely (one block only).
    void draw(Canvas& chart, const glm::dvec2& corner, const std::vector<double>& rows = {}) const;

private:
    struct Block {
        std::vector<std::size_t> columns;
        std::vector<double> left;
    };
    double tag_width() const;
    void draw_block(Canvas& chart, const Block& block, const glm::dvec2& corner,
                    const std::vector<double>& rows) const;

    std::vector<Column> columns_;
    std::vector<const ChartLamp*> tags_;
    std::vector<double> widths_;
    std::vector<Block> blocks_;
    double row_height_ = 0;
    double heading_height_ = 0;
};

/// Candela by direction, beam up.
void draw_polar_plot(Canvas& chart, const ChartSource& source, const Box& box);

/// Candela over the angle from the axis, with the beam and field angle.
void draw_angle_plot(Canvas& chart, const ChartSource& source, const Box& box);

/// The beam as it widens; of a single lamp, how wide and how bright it is at each distance as well.
class BeamPart {
public:
    BeamPart(const ChartSource& source, double width);
    double height() const;
    void draw(Canvas& chart, const glm::dvec2& corner) const;

private:
    struct Frame {
        glm::dvec2 lens{0}; ///< from the drawing's upper left corner, pixels
        double scale = 1;   ///< pixels a metre
        double farthest = 1;
        double used = 0; ///< width of the drawn beams, pixels

        glm::dvec2 at(double angle, double distance) const;
    };
    Frame fit(double width) const;
    void draw_beam(Canvas& chart, const ChartLamp& lamp, const Frame& frame) const;
    void draw_beam_tags(Canvas& chart, const Frame& frame) const;

    const ChartSource& source_;
    ChartTable table_;
    double left_ = 0; ///< of the drawing, for words beside it
    double drawing_width_ = 0;
    double drawing_height_ = 0;
    Frame frame_;
};

/// How wide and how bright each lamp's beam is at each distance, one row a lamp.
ChartTable make_spot_table(const ChartSource& source, double width);

/// Lumens by zone of 10 degrees.
void draw_zone_bars(Canvas& chart, const ChartSource& source, const Box& box);

/// The light on the wall, with the cells' centres symmetric about the fixture's line.
struct WallGrid {
    SensorGrid grid;
    std::vector<double> lux;
};

/// The lit patches of a wall beside one height ruler, and what they measure.
class WallPart {
public:
    WallPart(const ChartSource& source, double width);
    double height() const;
    void draw(Canvas& chart, const glm::dvec2& corner) const;

private:
    struct Patch {
        const ChartLamp* lamp = nullptr;
        double setback = 0;
        std::string heading;
        std::vector<const WallSpread*> spreads; ///< by level
    };
    struct Card {
        std::string words;
        Box box;
    };
    void fit(double width);
    ChartTable make_table(double width) const;
    std::vector<RulerMark> find_ruler_marks() const;
    void draw_patch(Canvas& chart, const Patch& patch, const Box& box) const;
    void draw_heading_of(Canvas& chart, const Patch& patch, const Box& box) const;
    void draw_measures(Canvas& chart, const WallSpread& spread, const WallGrid& wall, const Box& box,
                       LabelSpace& space, std::vector<Card>& cards) const;
    std::vector<LevelLines> find_level_lines(const WallGrid& wall, const Box& box) const;
    /// On the page, of a spot on the wall: metres aside and above the lens.
    glm::dvec2 place(const Box& box, const glm::dvec2& uv) const;
    std::size_t row_count() const;
    double row_step() const;

    const ChartSource& source_;
    std::vector<Patch> patches_;
    ChartTable table_;
    double patch_width_ = 0; ///< pixels
    double scale_ = 1;       ///< pixels a metre
    double top_ = 1;         ///< metres shown above the lens
};

/// Title, losses and what else is to be known of the figures.
PlateText make_chart_text(const ChartSource& source);

DrawnPage make_lamp_chart(const std::vector<LampEntry>& lamps, const SheetOptions& options, LengthUnit length,
                          LightUnit light, PictureFormat format);

} // namespace duskcast
