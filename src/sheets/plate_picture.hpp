#pragma once
// One plate of whichever sort: as a page, or as panels to be drawn at any size.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "body_sheet.hpp"
#include "duskcast/sheets/plate.hpp"
#include "ground_sheet.hpp"
#include "plate_panel.hpp"
#include "wall_sheet.hpp"

namespace duskcast {

/// The panels of one plate, with the sheet that they show.
class PlatePicture {
public:
    /// Bodies are traced `pixels` high from so many sides, two at most.
    PlatePicture(const PlateSource& source, const Plate& plate, int pixels, std::size_t sides);
    PlatePicture(const PlatePicture&) = delete; // its panels refer to its sheet
    PlatePicture& operator=(const PlatePicture&) = delete;
    ~PlatePicture() = default;

    const PlateText& text() const;
    const std::vector<RulerMark>& heights() const; ///< above the frame's lower end; none of the plan
    /// Of the levels this one alone is drawn.
    void keep_level(double level_lx);
    bool is_plan() const { return ground_.has_value(); }
    bool is_body() const { return body_.has_value(); }
    std::string reach_key() const { return wall_ ? wall_->reach_key : ""; }
    const std::vector<std::unique_ptr<PlatePanel>>& panels() const { return panels_; }
    /// The same panels with light down to next to nothing kept, for differences.
    std::vector<std::unique_ptr<PlatePanel>> make_exact_panels() const;

private:
    std::vector<std::unique_ptr<PlatePanel>> make_panels(double least_lx) const;

    std::optional<WallSheet> wall_;
    std::optional<BodySheet> body_;
    std::optional<GroundSheet> ground_;
    std::vector<std::unique_ptr<PlatePanel>> panels_;
};

bool is_wall_plate(const Surface& surface);
bool is_body_plate(const Surface& surface);

/// The whole page of a plate, whichever sort it is.
DrawnPage make_plate_page(const PlateSource& source, const Plate& plate, PictureFormat format);

/// The plate of that id. Throws InputError when there is none.
Plate find_plate(const PlateSource& source, const std::string& id);

} // namespace duskcast
