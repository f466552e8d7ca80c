#pragma once
// What differs between two variants of a plate, and the scale that shows it.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "plate_picture.hpp"

namespace duskcast {

/// What changes from one variant to another, side by side of their plate.
class PlateChange {
public:
    /// `unit_lx`: lux in the unit of the difference's scale.
    PlateChange(const PlatePicture& from, const PlatePicture& to, double unit_lx);

    std::size_t sides() const { return std::min(from_.size(), to_.size()); }
    const PlatePanel& panel(std::size_t side) const { return *to_[side]; }
    /// To minus from, in the unit; none where not both are known.
    std::optional<double> difference(std::size_t side, const glm::dvec2& uv) const;
    /// To over from, each at least the lower end of the light's scale.
    std::optional<double> ratio(std::size_t side, const glm::dvec2& uv) const;
    /// Round end of the difference's scale, in the unit: 95 % of the spots lie within.
    double end() const { return end_; }
    bool goes_beyond() const { return goes_beyond_; }

private:
    double unit_lx_;
    std::vector<std::unique_ptr<PlatePanel>> from_, to_;
    double end_ = 1;
    bool goes_beyond_ = false;
};

/// The end of a scale even about zero: 1, 2 or 5 times a power of ten that no more than one in
/// twenty values exceeds in size; 0.01 at least.
double find_change_end(std::vector<double> values);

/// A horizontal bar of change_colour with figures below it.
void draw_change_scale(Canvas& canvas, const Box& bar, const std::vector<std::string>& figures);

/// The bar's figures for a difference of -end to end: five, with their signs.
std::vector<std::string> print_change_figures(double end);

} // namespace duskcast
