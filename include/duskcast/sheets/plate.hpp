#pragma once
// Plates: finished false-colour pictures with scale, contours, captions and the answer in words.

#include <string>
#include <vector>

#include "duskcast/draw/canvas.hpp"
#include "duskcast/measure/report.hpp"
#include "duskcast/sheets/wall_photo.hpp"

namespace duskcast {

/// What a set of plates is drawn from.
struct PlateSource {
    const Site& site;
    const Stage& stage;
    const Lighting& lighting;
    const Report& report;
    /// Photos beneath the plates of walls; null: none. Must outlive what is drawn.
    const std::vector<CameraPhoto>* photos = nullptr;
};

/// A plate to be drawn: a wall unfolded to scale, a crown or mesh from two sides, or the ground plan.
struct Plate {
    std::string id;   ///< file name without extension
    int surface = -1; ///< index into Stage::surfaces; -1: the ground plan with all areas
    int face = -1;    ///< of a closed wall: index into Surface::run; -1: all of it unfolded
};

/// The plates of a site: one for each wall, projection, tree, shrub and mesh, and "ground". A closed wall has
/// one for each face that light falls on or that a fixture stands at: "house.south", "house.south-2".
std::vector<Plate> list_plates(const PlateSource& source);

/// Those of walls that the source's photos show: "front.photo", to be drawn from the same source.
std::vector<Plate> list_photo_plates(const PlateSource& source);

/// The bytes of a PNG or SVG, 1600 pixels wide.
std::string draw_plate(const PlateSource& source, const Plate& plate, PictureFormat format);

} // namespace duskcast
