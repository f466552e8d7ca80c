#pragma once
// Pictures of a view: by night as the eye sees it, in false colour, by day; and of a photo by day and night.
// Each in the first of `picture_formats`.

#include <string>
#include <vector>

#include "duskcast/draw/canvas.hpp"
#include "duskcast/photo/photo_file.hpp"
#include "duskcast/view/backdrop.hpp"
#include "duskcast/view/tone.hpp"

namespace duskcast {

struct ViewLook {
    double stops = 0;              ///< exposure: doublings against night_adaptation, not of the backdrop
    double ambient_lx = 0;         ///< Site::ambient, already in the image
    NightSky sky = NightSky::late; ///< behind the property
    std::vector<LitFixture> marks; ///< fixtures to be marked; hidden ones as faint dashed rings
};

/// What reaches the eye of a night picture: the image's light, glare about its lenses, and what is behind.
class NightLight {
public:
    NightLight(const ViewImage& image, const ViewLook& look); ///< the image must outlive it

    glm::dvec3 at(std::size_t pixel) const; ///< cd/m2 per channel
    const ViewImage& image() const { return image_; }

private:
    const ViewImage& image_;
    double ambient_lx_, brighter_;
    Backdrop backdrop_;
    std::vector<glm::vec3> glare_;
};
Raster make_night_raster(const NightLight& light, int first_row = 0);

/// The pixels of the night and the day picture, without marks. `first_row`: of an image that is part of a
/// larger one.
Raster make_night_raster(const ViewImage& image, const ViewLook& look, int first_row = 0);
Raster make_day_raster(const ViewImage& image);

std::string draw_night_picture(const ViewImage& image, const ViewLook& look);

/// Tonight without the lighting and, to the right of it, with it, side by side in one picture, by the same
/// exposure; no marks.
std::string draw_night_pair(const ViewImage& before, const ViewImage& after, const ViewLook& look);

/// Sun of 60,000 lux and a sky of 15,000 lux (a fair day; working figures) on the same materials.
std::string draw_day_picture(const ViewImage& image, const ViewLook& look);

/// The false-colour plate of luminance, with scale and caption.
std::string draw_luminance_plate(const ViewImage& image, const ViewLook& look, const std::string& title,
                                 const std::string& detail);

/// The night picture of a photo, drawn strip by strip.
class NightPicture {
public:
    NightPicture(const Camera& camera, const ViewLook& look); ///< camera: of the photo

    /// Rows of the photo by night, from `from` on. Any order; with no row twice.
    void add(const ViewImage& strip, int from);

    std::string finish(); ///< the picture's bytes, with the marks

    struct Mark {
        std::size_t fixture = 0; ///< of ViewLook::marks
        glm::dvec2 place{0};
        bool is_hidden = false;
    };

private:
    ViewLook look_;
    Box box_;
    Canvas canvas_;
    std::vector<Mark> marks_;
};

/// The photo and, to the right of it, the same by night, side by side in one picture. `night`: in pixels
/// `find_shrink` times as large. Figures and names are not in it: it is for the client.
std::string draw_photo_pair(const PhotoPixels& photo, const ViewImage& night, const ViewLook& look);

/// A photo as it was taken, and the same by night of the photo's size; large ones smaller.
Raster make_photo_raster(const PhotoPixels& photo);
Raster make_photo_raster(const ViewImage& night, const ViewLook& look);

/// At how many of its pixels for one across a photo is measured and drawn beside another: the fewest that
/// leave at most 1,600.
int find_shrink(glm::ivec2 size);

} // namespace duskcast
