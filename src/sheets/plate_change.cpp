#include <algorithm>
#include <cmath>

#include "plate_change.hpp"

namespace duskcast {
namespace {

// Of the spots, by the difference's scale: with all of them the bright feet of the beams would leave the rest
// without colour.
constexpr double taken_in = 0.95;
constexpr double least_end = 0.01;

} // namespace

double find_change_end(std::vector<double> values) {
    for (double& value : values)
        value = std::abs(value);
    std::sort(values.begin(), values.end());
    const double wanted =
        values.empty()
            ? 0
            : values[static_cast<std::size_t>(std::ceil(taken_in * static_cast<double>(values.size()))) - 1];
    if (wanted <= least_end)
        return least_end;
    const double power = std::pow(10.0, std::floor(std::log10(wanted)));
    for (const double factor : {1.0, 2.0, 5.0})
        if (wanted <= factor * power * (1 + 1e-9))
            return factor * power;
    return 10 * power;
}

std::vector<std::string> print_change_figures(double end) {
    std::vector<std::string> figures;
    for (const double share : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
        const std::string size = print_number(std::abs(share) * end);
        figures.push_back((share < 0 ? "\u2212" : share > 0 ? "+" : "") + size);
    }
    return figures;
}

PlateChange::PlateChange(const PlatePicture& from, const PlatePicture& to, double unit_lx)
    : unit_lx_(unit_lx), from_(from.make_exact_panels()), to_(to.make_exact_panels()) {
    std::vector<double> differences;
    for (std::size_t side = 0; side < sides(); ++side)
        for (const glm::dvec2& spot : to_[side]->spots())
            if (const std::optional<double> value = difference(side, spot))
                differences.push_back(*value);
    end_ = find_change_end(differences);
    goes_beyond_ = std::any_of(differences.begin(), differences.end(),
                               [&](double value) { return std::abs(value) > end_ * (1 + 1e-9); });
}

std::optional<double> PlateChange::difference(std::size_t side, const glm::dvec2& uv) const {
    const std::optional<double> from = from_[side]->lux_at(uv), to = to_[side]->lux_at(uv);
    if (!from || !to)
        return std::nullopt;
    return (*to - *from) / unit_lx_;
}

std::optional<double> PlateChange::ratio(std::size_t side, const glm::dvec2& uv) const {
    const std::optional<double> from = from_[side]->lux_at(uv), to = to_[side]->lux_at(uv);
    if (!from || !to)
        return std::nullopt;
    return std::max(*to, scale_low_lx) / std::max(*from, scale_low_lx);
}

void draw_change_scale(Canvas& canvas, const Box& bar, const std::vector<std::string>& figures) {
    draw_colour_bar(canvas, bar, [](double place) { return change_colour(2 * place - 1); });
    canvas.line(bar.corners(), true, 0.8, hairline_ink);
    std::vector<BarFigure> placed;
    for (std::size_t i = 0; i < figures.size(); ++i)
        placed.push_back({static_cast<double>(i) / (static_cast<double>(figures.size()) - 1), figures[i]});
    draw_bar_figures(canvas, bar, placed, 1, text_ink, quiet_ink);
}

} // namespace duskcast
