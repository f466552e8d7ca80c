#pragma once
// From luminance to what the eye makes of it, and to bare figures.

#include <string>
#include <vector>

#include "duskcast/base/colour.hpp"
#include "duskcast/view/view_trace.hpp"

namespace duskcast {

/// Luminance that the eye of somebody in a lit garden is adapted to; it comes out as middle grey before the
/// highlights are compressed. One figure for all sites, so that any two pictures can be compared. (0.1 to 1
/// cd/m2 is what night street scenes have; from memory.)
inline constexpr double night_adaptation = 0.6; ///< cd/m2
inline constexpr double night_white = 100;      ///< cd/m2; from here on white

/// Darker than about that, an eye tells steps apart by the square root of luminance and no longer by its
/// share of it (de Vries 1943, Rose 1948; where the one law gives way to the other is by eye). So what dusk
/// lights, such as a roof, is not lost beside the sky.
inline constexpr double night_toe = 0.1; ///< cd/m2

/// Share 0..1 of the screen's luminance for cd/m2. Photographic operator of Reinhard, Stark, Shirley and
/// Ferwerda (SIGGRAPH 2002, eq. 4): s (1 + s / w2) / (1 + s), s = 0.18 at night_adaptation, w = s at
/// night_white. s goes with sqrt(L (L + night_toe)), L = cd/m2 x 2^stops. Rises all the way; 0 at 0, 1 at
/// night_white (stops 0) and clamped there.
double night_tone(double luminance, double stops = 0);

/// The colour on the screen, gamma-encoded: half the luminance's tone in the light's own colour, half the
/// tone of each channel, which bleaches gently. White lies two thirds of the way from the screen's to 2700 K:
/// chromatic adaptation to lamps is partial, 0.66 in dark surroundings of less than 1 cd/m2 by CIECAM02's
/// degree of adaptation (CIE 159:2004, from memory). Below 1 cd/m2 colours fade towards a faint blue, to be
/// gone at 0.003: in the mesopic range (CIE 191: 0.005 to 5 cd/m2) the rods, blind to colour, take over; the
/// straight line in log luminance and its ends are ours.
Colour night_colour(const glm::dvec3& luminance, double stops = 0);

/// Its parts: what counts as white, the grey of what is too dark for colour (both of luminance 1 but for a
/// factor), and how much of its own colour light of so many cd/m2 keeps, 0..1.
glm::dvec3 night_white_colour();
glm::dvec3 night_grey_colour();
double night_colourfulness(double luminance);

/// The lenses seen directly, spread by the eye's optics: cd/m2 per channel to add to the image. Each lens
/// sends eye_lx; the core keeps its share as a disk, the rest is spread as the mesopic glare function
/// 0.368 f0 + 0.478 f1 + 0.138 f2 + 0.016 f3 of Spencer, Shirley, Zimmerman and Greenberg (SIGGRAPH 1995;
/// from memory; f3, the coloured rays, goes to f2), tapered to nothing at 4 degrees. The sum of cd/m2 times
/// solid angle is what the lenses send, as far as it falls on the image.
std::vector<glm::vec3> make_glare(const ViewImage& image);

/// Ends of the fixed logarithmic luminance scale.
inline constexpr double luminance_low = 0.01; ///< cd/m2
inline constexpr double luminance_high = 100; ///< cd/m2

/// Place on that scale, 0..1, clamped.
double luminance_place(double luminance);

/// Portable float map, colour: "PF\nW H\n-1.0\n", then rows from the lowest, little-endian floats. cd/m2 per
/// channel with the lenses in it (without glare in the eye: their light on their disks).
std::string print_pfm(int width, int height, const std::vector<glm::vec3>& pixels);

/// Parts of the same: what stands before the rows, and some whole rows of pixels.
std::string print_pfm_head(int width, int height);
std::string print_pfm_rows(int width, const std::vector<glm::vec3>& pixels);

/// Luminance with the lenses as disks.
std::vector<glm::vec3> luminance_with_lenses(const ViewImage& image);

} // namespace duskcast
