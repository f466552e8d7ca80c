#include <algorithm>

#include "duskcast/site/layout.hpp"
#include "wall_light.hpp"

namespace duskcast {
namespace {

using Polygon = std::vector<glm::dvec2>;

/// The closed lines of the surface's edge in (u, v). A mesh gives its edge as loose pieces: they are joined.
std::vector<Polygon> find_rings(const Surface& surface) {
    constexpr double same = 1e-3; // metres
    std::vector<Polygon> rings, pieces;
    for (const OutlineShape& shape : surface.outline)
        if (shape.role == OutlineShape::Role::edge && shape.points.size() > 1)
            (shape.is_closed ? rings : pieces).push_back(shape.points);
    while (!pieces.empty()) {
        Polygon ring = pieces.back();
        pieces.pop_back();
        for (std::size_t i = 0; i < pieces.size(); ++i) {
            const bool goes_on = glm::distance(pieces[i].front(), ring.back()) < same;
            if (!goes_on && glm::distance(pieces[i].back(), ring.back()) >= same)
                continue;
            ring.push_back(goes_on ? pieces[i].back() : pieces[i].front());
            pieces.erase(pieces.begin() + static_cast<std::ptrdiff_t>(i));
            i = static_cast<std::size_t>(-1); // from the start again: wraps to 0
        }
        if (ring.size() > 3 && glm::distance(ring.front(), ring.back()) < same)
            rings.push_back(ring);
    }
    return rings;
}

} // namespace

WallLight::WallLight(const Surface& surface, const std::vector<double>& lux, double least)
    : rings_(find_rings(surface)) {
    for (const RunSegment& segment : surface.run) {
        ends_.push_back(segment.along + segment.length);
        fields_.emplace_back(surface.grid, lux, segment.along, ends_.back(), least);
    }
    for (const OutlineShape& shape : surface.outline)
        if (shape.role == OutlineShape::Role::opening || shape.role == OutlineShape::Role::projection)
            holes_.push_back(shape.points);
}

std::optional<double> WallLight::lux_at(const glm::dvec2& uv) const {
    return fields_[piece_at(uv.x)].value_at(uv.x, uv.y);
}

std::vector<Polygon> WallLight::contours(double level) const {
    std::vector<Polygon> lines;
    for (std::size_t i = 0; i < fields_.size(); ++i)
        for (const Polygon& line : fields_[i].contours(level))
            for (Polygon& part :
                 cut_line(line, [&](const glm::dvec2& uv) { return piece_at(uv.x) == i && is_face(uv); }))
                lines.push_back(std::move(part));
    return lines;
}

std::size_t WallLight::piece_at(double u) const {
    std::size_t i = 0;
    while (i + 1 < ends_.size() && u >= ends_[i])
        ++i;
    return i;
}

/// Inside the outline by the even-odd rule, and not on an opening or under a projection.
bool WallLight::is_face(const glm::dvec2& uv) const {
    const auto holds = [&](const Polygon& polygon) { return is_inside(polygon, uv); };
    const auto crossings = std::count_if(rings_.begin(), rings_.end(), holds);
    return (rings_.empty() || crossings % 2 == 1) && std::none_of(holes_.begin(), holes_.end(), holds);
}

} // namespace duskcast
