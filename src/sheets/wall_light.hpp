#pragma once
// The light on an upright surface between its sensors.

#include <optional>
#include <vector>

#include "duskcast/draw/field.hpp"
#include "duskcast/stage/surface.hpp"

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

} // namespace duskcast
