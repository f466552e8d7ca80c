#pragma once
// One heat map on a page.

#include <optional>
#include <vector>

#include "chart_axis.hpp"
#include "duskcast/draw/colour_scale.hpp"
#include "duskcast/draw/heat_map.hpp"

namespace duskcast {

/// A heat map in a box.
class HeatPlot {
public:
    HeatPlot(const HeatMap& map, const Box& box);

    const Box& frame() const { return frame_; } ///< of all cells
    Box cell(std::size_t index) const;
    Colour colour(double value) const;
    void draw(Canvas& canvas) const;

private:
    std::optional<double> value_of(std::size_t index) const;
    bool has_room_for_values() const;
    void draw_cells(Canvas& canvas) const;
    void draw_axes(Canvas& canvas) const;
    void draw_scale(Canvas& canvas) const;
    void draw_best(Canvas& canvas) const;
    std::vector<double> list_middles() const; ///< of the columns, from the frame's left

    const HeatMap& map_;
    Box box_;
    Box frame_;
    FittedAxis scale_;
};

} // namespace duskcast
