#pragma once
// The plate of a wall as a pure drawing: everything it shows is handed to it.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/sheets/wall_photo.hpp"
#include "duskcast/stage/stage.hpp"
#include "fixture_marks.hpp"
#include "light_scale.hpp"

namespace duskcast {

/// A fixture before a wall.
struct WallFixture {
    FixtureText text;
    double along = 0;            ///< u on the surface
    double height = 0;           ///< of its lens above the foot
    glm::dvec2 stem{0, 1};       ///< way it points, along and up
    std::optional<double> reach; ///< how high the main level carries on its line
    std::string reach_text;      ///< "13 ft"
};

/// An upright surface unfolded.
struct WallSheet {
    PlateText text;
    Surface surface;                ///< or one face of it
    const std::vector<double>& lux; ///< one a sensor of the stage
    std::vector<WallFixture> fixtures;
    std::string reach_key;                  ///< what the reach marks say
    std::vector<RulerMark> heights;         ///< peaks, eaves
    std::shared_ptr<const WallPhoto> photo; ///< beneath the contours; null: colours are
};

/// One straight piece of an upright surface's run by itself: what of its drawing and of its grid lies there.
Surface face_of(const Surface& surface, std::size_t segment);

/// "south" by the way that a face looks, "south-2" for the second such one.
std::string name_side(const Surface& surface, int face);

DrawnPage draw_wall_sheet(const WallSheet& sheet, PictureFormat format);

} // namespace duskcast
