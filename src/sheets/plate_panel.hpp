#pragma once
// What a plate shows without its page: a wall, a body from one side, the plan. Can be drawn at any size.

#include <algorithm>
#include <functional>
#include <memory>
#include <numeric>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/draw/field.hpp"
#include "duskcast/stage/surface.hpp"
#include "light_scale.hpp"

namespace duskcast {

/// Where a rectangle of a plate's (u, v), metres, lies on the page.
struct PlateFrame {
    double u0 = 0, v0 = 0, u1 = 0, v1 = 0;
    double scale = 1; ///< pixels a metre
    double left = 0, bottom = 0;

    double width() const { return u1 - u0; }
    double height() const { return v1 - v0; }
    glm::dvec2 at(const glm::dvec2& uv) const {
        return {left + (uv.x - u0) * scale, bottom - (uv.y - v0) * scale};
    }
    std::vector<glm::dvec2> at(const std::vector<glm::dvec2>& points) const {
        std::vector<glm::dvec2> result;
        for (const glm::dvec2& point : points)
            result.push_back(at(point));
        return result;
    }
    Box box() const { return {left, bottom - (v1 - v0) * scale, left + (u1 - u0) * scale, bottom}; }
};

/// The mean of points; the origin of none.
inline glm::dvec2 middle_of(const std::vector<glm::dvec2>& points) {
    return std::accumulate(points.begin(), points.end(), glm::dvec2(0)) /
           static_cast<double>(std::max<std::size_t>(points.size(), 1));
}

/// How much is drawn of a panel: with names and figures, or colours and outlines alone.
enum class PanelDetail { small, tiny };

/// The colour at a spot of the plate; none: nothing there.
using ColourAt = std::function<std::optional<Colour>(const glm::dvec2& uv)>;
using ValueAt = std::function<std::optional<double>(const glm::dvec2& uv)>;

class PlatePanel {
public:
    PlatePanel() = default;
    virtual ~PlatePanel() = default;
    PlatePanel(const PlatePanel&) = delete;
    PlatePanel& operator=(const PlatePanel&) = delete;

    /// What must be seen of it, at scale 1 and not yet placed.
    virtual PlateFrame extent() const = 0;
    /// "from the south"; "" where there is one side only.
    virtual std::string side() const { return ""; }
    virtual std::optional<double> lux_at(const glm::dvec2& uv) const = 0;
    /// Spots evenly over the plate at which light is known.
    virtual std::vector<glm::dvec2> spots() const = 0;

    /// Colours all over what is lit.
    virtual void paint(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at) const = 0;
    /// The outlines of things, where `paint` does not draw them.
    virtual void draw_outlines(Canvas&, const PlateFrame&) const {}
    /// Lines along which a value above zero is the same; none for bodies.
    virtual std::vector<LevelLines> find_lines(const PlateFrame& frame, const ValueAt& value_at,
                                               const std::vector<double>& levels) const = 0;
    /// The light in the colours of the scale with its lines, names of things and fixtures' marks.
    virtual void draw(Canvas& canvas, const PlateFrame& frame, PanelDetail detail) const = 0;
    /// How high the main level carries is marked on it.
    virtual bool has_reaches() const { return false; }
    /// Fixtures whose marks stand below the frame: x on the page of each and its id.
    struct FootMark {
        double x = 0;
        std::string id;
    };
    virtual std::vector<FootMark> foot_marks(const PlateFrame& frame) const = 0;
};

/// The light of a panel in the colours of the scale.
ColourAt colour_by_lux(const PlatePanel& panel);

/// A colour sample every so many pixels.
Raster shade_frame(const PlateFrame& frame, double every, const ColourAt& colour_at);

/// Lines of the levels a sheet names, without words.
void draw_bare_lines(Canvas& canvas, const std::vector<LevelLines>& levels);

/// The centres of a grid's cells that have sensors.
std::vector<glm::dvec2> list_spots(const SensorGrid& grid);

inline constexpr double least_value = 1e-4; ///< of what lines are found along by `sample_values`

/// A value at each of a grid's sensors, one entry for each of the stage's `count`.
std::vector<double> sample_values(const SensorGrid& grid, std::size_t count, const ValueAt& value_at);

/// The lines of each level, found in (u, v), on the page.
std::vector<LevelLines>
place_lines(const std::vector<double>& levels, const PlateFrame& frame,
            const std::function<std::vector<std::vector<glm::dvec2>>(double level)>& find);

} // namespace duskcast
