#include <algorithm>
#include <cmath>

#include "body_panel.hpp"

namespace duskcast {
namespace {

glm::dvec2 rightwards(const Elevation& elevation) {
    return {-std::cos(elevation.azimuth), std::sin(elevation.azimuth)};
}

} // namespace

BodyPanel::BodyPanel(const BodySheet& sheet, const Elevation& elevation)
    : sheet_(sheet), elevation_(elevation) {
    for (const BodyFixture& fixture : sheet.fixtures)
        fixtures_.push_back(glm::dot(fixture.plan, rightwards(elevation)));
}

/// Its room takes in the fixtures that stand beside the body.
PlateFrame BodyPanel::extent() const {
    PlateFrame frame;
    frame.u0 = elevation_.u0;
    frame.u1 = elevation_.u0 + elevation_.width * elevation_.step;
    for (const double u : fixtures_) {
        frame.u0 = std::min(frame.u0, u);
        frame.u1 = std::max(frame.u1, u);
    }
    frame.v0 = sheet_.foot;
    frame.v1 = sheet_.foot + std::max(sheet_.top - sheet_.foot, 0.1);
    return frame;
}

std::optional<double> BodyPanel::lux_at(const glm::dvec2& uv) const {
    const double column = std::floor((uv.x - elevation_.u0) / elevation_.step);
    const double row = elevation_.height - 1 - std::floor((uv.y - elevation_.v0) / elevation_.step);
    if (column < 0 || row < 0 || column >= elevation_.width || row >= elevation_.height)
        return std::nullopt;
    const float lux =
        elevation_.lux[static_cast<std::size_t>(row) * elevation_.width + static_cast<std::size_t>(column)];
    return lux < 0 ? std::nullopt : std::optional<double>(lux);
}

std::vector<glm::dvec2> BodyPanel::spots() const {
    std::vector<glm::dvec2> spots;
    for (int row = 0; row < elevation_.height; ++row)
        for (int column = 0; column < elevation_.width; ++column)
            if (elevation_.lux[static_cast<std::size_t>(row) * elevation_.width + column] >= 0)
                spots.emplace_back(elevation_.u0 + (column + 0.5) * elevation_.step,
                                   elevation_.v0 + (elevation_.height - row - 0.5) * elevation_.step);
    return spots;
}

void BodyPanel::paint(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at) const {
    paint_body(canvas, frame, colour_at, PanelDetail::small);
}

void BodyPanel::paint_body(Canvas& canvas, const PlateFrame& frame, const ColourAt& colour_at,
                           PanelDetail detail) const {
    Raster raster{elevation_.width, elevation_.height, {}, {}};
    for (int row = 0; row < elevation_.height; ++row)
        for (int column = 0; column < elevation_.width; ++column) {
            const std::optional<Colour> colour =
                colour_at({elevation_.u0 + (column + 0.5) * elevation_.step,
                           elevation_.v0 + (elevation_.height - row - 0.5) * elevation_.step});
            const float cover = elevation_.cover[static_cast<std::size_t>(row) * elevation_.width + column];
            raster.colour.push_back(colour.value_or(Colour{0, 0, 0}));
            raster.opacity.push_back(colour ? cover : 0);
        }
    const glm::dvec2 corner = frame.at({elevation_.u0, elevation_.v0});
    const Box box{corner.x, corner.y - elevation_.height * elevation_.step * frame.scale,
                  frame.at({elevation_.u0 + elevation_.width * elevation_.step, 0}).x, corner.y};
    const bool is_exact = std::abs(elevation_.step * frame.scale - 1) < 1e-6;
    canvas.image(raster, box, {}, !is_exact);
    const double beyond = detail == PanelDetail::small ? 8 : 0;
    canvas.line({{frame.box().left - beyond, frame.bottom}, {frame.box().right + beyond, frame.bottom}},
                false, 2.4, text_ink);
}

void BodyPanel::draw_marks(Canvas& canvas, const PlateFrame& frame) const {
    for (std::size_t i = 0; i < sheet_.fixtures.size(); ++i) {
        const BodyFixture& fixture = sheet_.fixtures[i];
        const double above = fixture.height - sheet_.foot;
        const double y = above > hung_height ? frame.bottom - above * frame.scale : frame.bottom + 17;
        draw_fixture_mark(canvas, {frame.at({fixtures_[i], 0}).x, y},
                          {glm::dot(glm::dvec2(fixture.axis), rightwards(elevation_)), -fixture.axis.z});
    }
}

void BodyPanel::draw(Canvas& canvas, const PlateFrame& frame, PanelDetail detail) const {
    paint_body(canvas, frame, colour_by_lux(*this), detail);
    if (detail == PanelDetail::small)
        draw_marks(canvas, frame);
}

std::vector<PlatePanel::FootMark> BodyPanel::foot_marks(const PlateFrame& frame) const {
    std::vector<FootMark> marks;
    for (std::size_t i = 0; i < fixtures_.size(); ++i)
        marks.push_back({frame.at({fixtures_[i], 0}).x, sheet_.fixtures[i].text.id});
    return marks;
}

} // namespace duskcast
