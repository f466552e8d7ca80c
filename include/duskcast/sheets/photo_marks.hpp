#pragma once
// A photo by day with the fixtures marked on it, for those who plant them.

#include <optional>
#include <string>
#include <vector>

#include "duskcast/draw/page.hpp"
#include "duskcast/photo/photo_report.hpp"
#include "duskcast/stage/stage.hpp"

namespace duskcast {

/// A fixture of a site as a photo has it.
struct FixtureOnPhoto {
    std::size_t fixture = 0; ///< index into the site's
    std::string id;
    std::optional<glm::dvec2> pixel; ///< of its foot on the ground, or of a lens that hangs; none: outside
    glm::dvec2 lean{0};              ///< the way of its beam on the picture; 1 long when it is seen in full
    std::string hidden_by;           ///< id of what stands before it; empty: nothing
    bool is_hidden_by_plant = false; ///< which need not be where the picture has it
    bool is_standing = true;         ///< in the ground; else it hangs
    MeasuredPlace place;             ///< what the picture tells of its place, with the doubt of a pixel
    double across = 0, deep = 0;     ///< metres that hold nine times of ten: across the picture; away from
                                     ///< the camera, or up where it hangs
};

/// All fixtures of the site, in its order. `stage`: of the site.
std::vector<FixtureOnPhoto> find_on_photo(const Site& site, const Stage& stage, const PhotoReport& report);

/// The photo with a mark and a name at each fixture, and below it where each stands, which way it leans, how
/// sure that is, and what is not seen: the first of `picture_formats`.
DrawnPage draw_photo_marks(const Site& site, const PhotoReport& report, const PhotoPixels& photo,
                           const std::vector<FixtureOnPhoto>& fixtures);

} // namespace duskcast
