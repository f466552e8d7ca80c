#pragma once
// Many small plates of one surface on one page, to see at a glance what a change does.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "duskcast/sheets/plate.hpp"

namespace duskcast {

struct ContactCell {
    PlateSource source;
    std::string caption; ///< one line: "17 ft, 42 %"; may be empty
};

inline constexpr std::size_t most_contact_cells = 60;

struct ContactSheet {
    std::string title;
    std::string detail; ///< below the title; what the lines show is added
    std::string plate;  ///< the plate's id as list_plates gives it: a surface's, or "ground"
    std::vector<std::string> titles; ///< one a cell: "tilt 6°"
    /// Called once for each index, in order. What the source refers to is needed until the next call, or
    /// until the sheet is drawn.
    std::function<ContactCell(std::size_t index)> cell;
    std::optional<std::size_t> best;  ///< the cell to be outlined
    std::vector<std::string> answers; ///< sentences at the foot
};

/// Draws the cells in rows, all on the fixed scale of light and to the same scale of length: the
/// bytes of a PNG or SVG, 1600 pixels wide. Trees and other bodies are shown from the first of their plate's
/// sides. Throws InputError when there is no cell or more than `most_contact_cells`, and when a cell's site
/// has no such plate.
std::string draw_contact_sheet(const ContactSheet& sheet, PictureFormat format);

} // namespace duskcast
