#pragma once
// Colours for figures, and the bars that explain them.

#include <array>
#include <functional>
#include <string>
#include <vector>

#include "duskcast/draw/canvas.hpp"

namespace duskcast {

/// The dusk ramp: lightness rises evenly from night blue through violet and ember to pale straw (OKLab),
/// so that it reads in greyscale and to the colour-blind. `t` 0..1, clamped.
Colour dusk_colour(double t);

/// Less through as much to more: blue at -1, light grey at 0, brown at 1 (OKLab). As dark on one side as
/// on the other; blue and brown are told apart by the red- and green-blind. `t` is clamped.
Colour change_colour(double t);

/// The eight colours of Okabe and Ito, "Color Universal Design" (2008), which the colour-blind tell apart
/// (from memory), those that stand out best on paper first; grey instead of yellow, too pale there.
inline constexpr std::array<Colour, 8> curve_colours = {{{0.0, 0.447, 0.698},
                                                         {0.835, 0.369, 0.0},
                                                         {0.0, 0.0, 0.0},
                                                         {0.8, 0.475, 0.655},
                                                         {0.0, 0.62, 0.451},
                                                         {0.902, 0.624, 0.0},
                                                         {0.337, 0.706, 0.914},
                                                         {0.5, 0.5, 0.5}}};

/// Whether a small thing of this colour wants white letters on it.
bool is_dark(const Colour& colour);

/// Fills a bar with a scale's colours, from its left (upright: lower) end at 0 to 1.
void draw_colour_bar(Canvas& canvas, const Box& bar, const std::function<Colour(double)>& colour_at,
                     bool is_upright = false);

/// A figure beside a bar, at a place from 0 to 1 along it.
struct BarFigure {
    double place = 0;
    std::string text;
};

/// Figures with ticks along the upper (`side` -1) or lower edge (1) of a level bar.
void draw_bar_figures(Canvas& canvas, const Box& bar, const std::vector<BarFigure>& figures, int side,
                      const Ink& ink, const Ink& tick_ink);

/// The unit of such figures, to the left of the bar and in their line.
void draw_bar_unit(Canvas& canvas, const Box& bar, const std::string& unit, int side, const Ink& ink);

} // namespace duskcast
