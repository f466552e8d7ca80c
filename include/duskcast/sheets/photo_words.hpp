#pragma once
// What is said of a site's photos.

#include <functional>

#include "duskcast/photo/photo_report.hpp"
#include "duskcast/photo/relight.hpp"
#include "duskcast/sheets/photo_marks.hpp"
#include "duskcast/sheets/view_words.hpp"

namespace duskcast {

/// A photo by night.
struct PhotoNight {
    std::string variant; ///< id of the site's variant that it shows; empty: the site as it is
    PhotoScan scan;
    ViewResult seen; ///< what stands out on it, with the files written
    std::vector<FixtureOnPhoto> fixtures;

    /// Of a sunny photo the sun's share is taken out by estimate: its night is to look at, not to measure in.
    bool has_figures() const { return !scan.is_sunny; }
};

struct PhotoAnswer {
    PhotoReport report;
    std::vector<PhotoNight> nights; ///< the site as it is, then its variants; empty: it was not relit
    std::vector<Click> clicks;
    std::vector<std::optional<MeasuredHeight>>
        heights; ///< of what stands upright; none: its foot is not on the ground
};

/// `lit_luminance`: from which things read as lit, cd/m2.
std::vector<std::string> print_photos(const Site& site, const std::vector<PhotoAnswer>& photos,
                                      double lit_luminance);

/// The same as JSON, one row a photo, SI.
std::string print_photos_json(const std::vector<PhotoAnswer>& photos);

/// Of one camera: "eye_ft", "azimuth", "pitch", "roll" (degrees), "focal_px", and how far off each may be.
std::string print_camera_json(const PhotoReport& report);

/// "22 ft 4 in (within 3 in)": nine times of ten it is.
std::string print_within(double metres, double deviation, LengthUnit unit);

/// Which mark looks wrong, and what the marks leave open; empty where all is well. `name`: what a mark is
/// called; empty: "mark" and its id.
std::vector<std::string> print_mark_doubts(const CameraFit& fit, LengthUnit unit,
                                           const std::function<std::string(std::size_t mark)>& name = {});

/// What the picture cannot tell by night, and what would help.
std::vector<std::string> print_scan_doubts(const PhotoScan& scan);

} // namespace duskcast
