#pragma once
// How curves look, and the legend that names them.

#include <string>
#include <vector>

#include "duskcast/draw/chart.hpp"

namespace duskcast {

/// How a curve looks.
struct CurveStyle {
    Ink ink;
    std::vector<double> dash;
    int marker = 0; ///< 0 to 7
};

/// `count`: of all curves that are to be told apart; a single one takes the colour of the plates.
CurveStyle find_curve_style(std::size_t index, std::size_t count);
void draw_marker(Canvas& canvas, const CurveStyle& style, const glm::dvec2& at);

/// The names of all series of a page, each once, in the order they come.
std::vector<std::string> list_series(const std::vector<Chart>& charts);

/// Names with a sample of each curve, in rows.
class Legend {
public:
    Legend(const std::vector<std::string>& names, double width);
    double height() const;
    void draw(Canvas& chart, const glm::dvec2& corner) const;

private:
    struct Item {
        std::string name;
        CurveStyle style;
        glm::dvec2 at{0}; ///< of the sample's left end, from the corner
    };
    std::vector<Item> items_;
};

} // namespace duskcast
