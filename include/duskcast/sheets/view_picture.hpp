#pragma once
// Pictures of a view: by night as the eye sees it, in false colour, by day; each in the first of
// `picture_formats`.

#include <string>
#include <vector>

#include "duskcast/draw/canvas.hpp"
#include "duskcast/view/tone.hpp"

namespace duskcast {

struct ViewLook {
    double stops = 0;              ///< exposure: doublings against night_adaptation
    double ambient_lx = 0;         ///< Site::ambient, already in the image
    std::vector<LitFixture> marks; ///< fixtures to be marked; hidden ones as faint dashed rings
};

/// The pixels of the night and the day picture, without marks.
Raster make_night_raster(const ViewImage& image, const ViewLook& look);
Raster make_day_raster(const ViewImage& image);

std::string draw_night_picture(const ViewImage& image, const ViewLook& look);

/// Sun of 60,000 lux and a sky of 15,000 lux (a fair day; working figures) on the same materials.
std::string draw_day_picture(const ViewImage& image, const ViewLook& look);

/// The false-colour plate of luminance, with scale and caption.
std::string draw_luminance_plate(const ViewImage& image, const ViewLook& look, const std::string& title,
                                 const std::string& detail);

} // namespace duskcast
